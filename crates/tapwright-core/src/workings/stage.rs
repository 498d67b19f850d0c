//! The workings of the output stage: the tube at idle, and what the solved cycle adds up to.

use super::{amps, curve, input, volts};
use crate::judged::Judged;
use crate::output::{ChosenOutput, SolvedStage};
use crate::working::{Input, Working};
use tapwright_units::Unit;

const IN_SPEAKERS: &str = "Power in the speakers at full drive";
const LOAD: &str = "load behind the primary’s copper";

/// Every number of the stage that has a formula.
pub(super) fn every(stage: &SolvedStage, output: &ChosenOutput, judged: &Judged) -> Vec<Working> {
    let mut workings = curve::idle_currents(stage);
    workings.push(dissipation(stage));
    workings.extend(delivered(output));
    workings.extend(against_target(stage, judged));
    workings.extend(efficiency(output));
    workings
}

fn dissipation(stage: &SolvedStage) -> Working {
    let idle = &stage.idle;
    Working {
        quantity: "Plate dissipation of one tube at idle",
        symbol: "P_a",
        formula: "V_a × I_a",
        inputs: vec![
            volts("V_a", idle.plate_volts, "plate from cathode"),
            amps("I_a", idle.plate_amps, "plate current"),
        ],
        result: idle.plate_watts,
        unit: Unit::Watt,
        source: "P = V × I",
        note: "",
    }
}

fn delivered(output: &ChosenOutput) -> Vec<Working> {
    let cycle = &output.onset;
    let ideal = output.share == 1.0;
    let h = cycle.harmonics;
    let named: f64 = h.iter().map(|h| h * h).sum::<f64>() / (2.0 * cycle.load_ohms);
    let mut inputs: Vec<Input> = ["H_1", "H_2", "H_3", "H_4", "H_5", "H_6", "H_7"]
        .into_iter()
        .zip(h)
        .map(|(symbol, peak)| volts(symbol, peak, "harmonic across the load, peak"))
        .collect();
    inputs.push(input("Z′", cycle.load_ohms, Unit::Ohm, LOAD));
    inputs.push(input(
        "P_h",
        cycle.watts - named,
        Unit::Watt,
        "power of all harmonics above",
    ));
    let mut workings = vec![
        Working {
            quantity: if ideal {
                IN_SPEAKERS
            } else {
                "Power behind the primary’s copper at full drive"
            },
            symbol: "P",
            formula: "(H_1² + H_2² + H_3² + H_4² + H_5² + H_6² + H_7²) / (2 × Z′) + P_h",
            inputs,
            result: cycle.watts,
            unit: Unit::Watt,
            source: "Fourier projection of the solved cycle at full drive, where grid current starts",
            note: if ideal {
                "Losses of the secondary and the core are not known, and not counted."
            } else {
                ""
            },
        },
        Working {
            quantity: "Distortion at full drive",
            symbol: "d",
            formula: "√(2 × Z′ × P / H_1² − 1)",
            inputs: vec![
                input("Z′", cycle.load_ohms, Unit::Ohm, LOAD),
                input("P", cycle.watts, Unit::Watt, "power of all harmonics"),
                volts("H_1", h[0], "fundamental, peak"),
            ],
            result: cycle.thd,
            unit: Unit::One,
            source: "all harmonics over the first: √(H_2² + H_3² + …) / H_1",
            note: "",
        },
    ];
    if !ideal {
        workings.push(Working {
            quantity: IN_SPEAKERS,
            symbol: "P_s",
            formula: "η_s × P",
            inputs: vec![
                input("η_s", output.share, Unit::One, "share that reaches them"),
                input("P", cycle.watts, Unit::Watt, "power behind the copper"),
            ],
            result: output.at_full.watts,
            unit: Unit::Watt,
            source: "the secondary’s copper and the core take the rest",
            note: "",
        });
    }
    workings
}

fn against_target(stage: &SolvedStage, judged: &Judged) -> Option<Working> {
    let output = judged.output?;
    Some(Working {
        quantity: "Power against the target load",
        symbol: "D",
        formula: "10 × log10(P / P_t)",
        inputs: vec![
            input("P", output.into_load.0, Unit::Watt, "power into this load"),
            input(
                "P_t",
                stage.at_target.watts,
                Unit::Watt,
                "power into the target load",
            ),
        ],
        result: output.against_target.0,
        unit: Unit::Decibel,
        source: "definition of the decibel",
        note: "What this stage really loses. The mismatch loss is that of a plain source with the target’s resistance.",
    })
}

fn efficiency(output: &ChosenOutput) -> Option<Working> {
    let cycle = &output.onset;
    let plates: f64 = cycle.sides.iter().map(|side| side.plate_watts).sum();
    (cycle.watts > 0.0).then(|| Working {
        quantity: "Plate efficiency at full drive",
        symbol: "η",
        formula: "P / (P + P_a + P_c)",
        inputs: vec![
            input("P", cycle.watts, Unit::Watt, "power into the load"),
            input("P_a", plates, Unit::Watt, "dissipation of all plates"),
            input(
                "P_c",
                cycle.copper_watts,
                Unit::Watt,
                "lost in the primary's copper",
            ),
        ],
        result: cycle.efficiency(),
        unit: Unit::One,
        source: "definition",
        note: "",
    })
}
