//! Whole amplifiers, from the input to the speakers and back.

use anyhow::{Context, ensure};
use tapwright_amplifier::{Amplifier, Load, Transformer};
use tapwright_circuit::Transient;
use tapwright_stage::{Drive, Imbalance, ScreenFeed, Solver, Stage, Supply};
use tapwright_tests::amplifiers::{self, Case};
use tapwright_tests::circuit::amplifier::{HERTZ, closed, compare, distortion, small, sung};
use tapwright_tests::circuit::{Pair, limit};
use tapwright_tube::{Bias, Topology};

use crate::Outcome;

/// Both agree on an amplifier.
pub fn agree(case: &Case) -> Outcome {
    held(&compare(case)?)
}

fn held(pairs: &[Pair]) -> Outcome {
    let lines: Vec<String> = pairs.iter().map(Pair::to_string).collect();
    ensure!(
        pairs.iter().all(|pair| pair.excess() <= 1.0),
        "{}",
        lines.join("\n")
    );
    Ok(())
}

/// A part altered by 2 % in the netlist alone is noticed, so that an agreement says something.
pub fn altered_part_is_noticed() -> Outcome {
    let cases = amplifiers::all()?;
    let of = |name: &str| -> anyhow::Result<Amplifier> {
        let found = cases
            .iter()
            .find(|case| case.name == format!("amplifiers::{name}"));
        Ok(found
            .with_context(|| format!("no case {name}"))?
            .amplifier
            .clone())
    };
    for (name, parts) in [
        (
            "single",
            &[
                "Rv1_plate_resistor ",
                "Rfeedback_resistor ",
                "Ccoupling_capacitor ",
                "Ltransformer_core ",
                "Ltransformer_0 ",
                "Cprimary_capacitor ",
                "Etransformer_2 ",
                "Ftransformer_0 ",
                "Rspeakers ",
            ] as &[&str],
        ),
        (
            "long_tail",
            &[
                "Rpair_tail_resistor ",
                "Rpair_plate_b_resistor ",
                "Rcathode_resistor ",
            ],
        ),
        (
            "split_load",
            &[
                "Rsplit_cathode_resistor ",
                "Rsplit_plate_resistor ",
                "Cv1_grid_to_plate_capacitor ",
            ],
        ),
    ] {
        let amplifier = of(name)?;
        let netlist = closed(&amplifier)?;
        for part in parts {
            let altered = alter(&netlist, part)?;
            let pairs = small(&amplifier, &altered)?;
            ensure!(
                pairs.iter().any(|pair| pair.excess() > 1.0),
                "{part}of {name} went unnoticed"
            );
        }
        // And what is noticed is the part, not a netlist that does not work.
        held(&small(&amplifier, &netlist)?)?;
    }
    Ok(())
}

/// The netlist with the last number of a part's line larger: by 2 %, or, of a capacitor or an
/// inductor of which an amplifier notices less, by 20 %.
fn alter(netlist: &str, part: &str) -> anyhow::Result<String> {
    let line = netlist.lines().find(|line| line.starts_with(part));
    let line = line.with_context(|| format!("{part}is not in\n{netlist}"))?;
    let (rest, value) = line.rsplit_once(' ').context("a part has a value")?;
    let value: f64 = value
        .parse()
        .with_context(|| format!("{line} ends otherwise"))?;
    let more = if part.starts_with(['C', 'L']) {
        1.2
    } else {
        1.02
    };
    Ok(netlist.replacen(line, &format!("{rest} {:e}", more * value), 1))
}

/// The output stage alone, its grids on ideal sources and all that is slow made large, gives what
/// the stage solver finds: the volts of the load at the fundamental within 0.5 %, distortion
/// within 0.2 points.
pub fn stage_alone_agrees() -> Outcome {
    for case in STAGES {
        let mut stage_output =
            amplifiers::output(case.tube, case.topology, case.supply, case.bias)?;
        stage_output.stage = Stage {
            screen: case.screen,
            imbalance: case.imbalance,
            primary_ohms: 200.0,
            ..stage_output.stage
        };
        let stage = stage_output.stage;
        stage_output.grid_ohms = 0.0;
        stage_output.leak_ohms = 1e6;
        for farads in [
            &mut stage_output.coupling_farads,
            &mut stage_output.cathode_farads,
            &mut stage_output.supply_farads,
            &mut stage_output.screen_farads,
        ] {
            *farads = 1.0;
        }
        stage_output.capacitance = tapwright_amplifier::Capacitance {
            grid_plate: 0.0,
            input: 0.0,
            output: 0.0,
        };
        let turns = (case.load / 8.0).sqrt();
        let amplifier = Amplifier {
            source_ohms: 0.0,
            drivers: vec![],
            splitter: None,
            output: stage_output,
            transformer: Transformer {
                primary_turns: turns,
                primary_ohms: 200.0,
                inductance: None,
                leakage: 0.0,
                capacitance: 0.0,
                core_ohms: f64::INFINITY,
                unlike_turns: case.imbalance.turns,
                selected: 0,
                ..amplifiers::transformer(turns, &[(1.0, 0.0)])
            },
            load: Some(Load::rated(8.0)),
            feedback: None,
        };
        let cycle = Solver::new(stage).cycle(case.load, Drive::Peak(case.peak))?;
        let (circuit, jack) = sung(&amplifier, case.peak)?;
        let wave = Transient::periodic(&circuit, HERTZ, 200)?;
        let (first, thd) = distortion(&wave.harmonics(jack, 9));
        let own_first = cycle.harmonics[0].abs() / turns;
        held(&[
            Pair {
                what: format!("fundamental of {}", case.tube),
                spice: first,
                own: own_first,
                whole: own_first,
                limit: limit::SIGNAL,
            },
            Pair {
                what: format!("THD of {}", case.tube),
                spice: thd,
                own: cycle.thd,
                whole: 1.0,
                limit: limit::DISTORTION,
            },
        ])?;
    }
    Ok(())
}

/// An output stage, and the peak volts at each grid.
struct Alone {
    tube: &'static str,
    topology: Topology,
    supply: f64,
    bias: Bias,
    screen: ScreenFeed,
    load: f64,
    peak: f64,
    imbalance: Imbalance,
}

const ALIKE: Imbalance = Imbalance {
    current: 0.0,
    drive: 0.0,
    turns: 0.0,
};

const STAGES: [Alone; 6] = [
    Alone {
        tube: "EL84",
        topology: Topology::SingleEnded,
        supply: 270.0,
        bias: Bias::Cathode(135.0),
        screen: ScreenFeed::Dropper(470.0),
        load: 5.2e3,
        peak: 5.0,
        imbalance: ALIKE,
    },
    Alone {
        tube: "EL84",
        topology: Topology::PushPull,
        supply: 320.0,
        bias: Bias::Cathode(130.0),
        screen: ScreenFeed::Dropper(470.0),
        load: 8e3,
        peak: 8.0,
        imbalance: ALIKE,
    },
    Alone {
        tube: "EL34",
        topology: Topology::PushPull,
        supply: 430.0,
        bias: Bias::Fixed(-36.0),
        screen: ScreenFeed::Own(Supply {
            volts: 400.0,
            ohms: 500.0,
        }),
        load: 3.4e3,
        peak: 30.0,
        imbalance: ALIKE,
    },
    Alone {
        tube: "6V6GT",
        topology: Topology::PushPull,
        supply: 300.0,
        bias: Bias::Cathode(270.0),
        screen: ScreenFeed::Tap(0.4),
        load: 8e3,
        peak: 12.0,
        imbalance: Imbalance {
            current: 0.15,
            drive: 0.0,
            turns: 0.04,
        },
    },
    Alone {
        tube: "6L6GC",
        topology: Topology::SingleEnded,
        supply: 280.0,
        bias: Bias::Fixed(-16.0),
        screen: ScreenFeed::Tap(1.0),
        load: 2.5e3,
        peak: 10.0,
        imbalance: ALIKE,
    },
    Alone {
        tube: "300B",
        topology: Topology::SingleEnded,
        supply: 400.0,
        bias: Bias::Cathode(1e3),
        screen: ScreenFeed::Tap(1.0),
        load: 3.5e3,
        peak: 50.0,
        imbalance: ALIKE,
    },
];
