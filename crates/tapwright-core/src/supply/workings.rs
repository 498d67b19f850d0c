//! How the numbers of the supply come about.

use tapwright_supply::{Circuit, Law, Steady, Supply};
use tapwright_units::Unit;

use crate::described::SolvedSupply;
use crate::working::{Solution, Working, input};

pub(super) fn every(found: &SolvedSupply, idle: &Supply, steady: &Steady) -> Vec<Working> {
    let mut workings = Vec::new();
    if let Some(transformer) = &found.described.transformer {
        let open = transformer.open_volts();
        let turns = open / transformer.rated_volts;
        let reflected = transformer.primary_ohms * turns * turns;
        workings.push(Working {
            quantity: "Wire of the primary, as the secondary sees it",
            symbol: "R′",
            formula: "R_p × (E / U)²",
            inputs: vec![
                input(
                    "R_p",
                    transformer.primary_ohms,
                    Unit::Ohm,
                    "wire of the primary",
                ),
                input(
                    "E",
                    open,
                    Unit::Volt,
                    "secondary without load, or half of it",
                ),
                input(
                    "U",
                    transformer.rated_volts,
                    Unit::Volt,
                    "rating of the mains tap",
                ),
            ],
            result: reflected,
            unit: Unit::Ohm,
            source: "an impedance goes by the turns squared",
            note: "",
        });
        workings.push(Working {
            quantity: "Secondary without load",
            symbol: "E",
            formula: "V + I × (R_s + R′)",
            inputs: vec![
                input(
                    "V",
                    transformer.stamped_volts,
                    Unit::Volt,
                    "stamped, under load",
                ),
                input("I", transformer.stamped_amps, Unit::Ampere, "stamped"),
                input(
                    "R_s",
                    transformer.winding_ohms,
                    Unit::Ohm,
                    "wire of the secondary, or of half of it",
                ),
                input(
                    "R′",
                    reflected,
                    Unit::Ohm,
                    "wire of the primary, as the secondary sees it",
                ),
            ],
            result: open,
            unit: Unit::Volt,
            source: "Ohm’s law; stamped volts are those under load (common practice, no source)",
            note: "E and R′ depend on each other; both equations hold together.",
        });
    }
    let peaks = idle.circuit.peaks();
    workings.push(Working {
        quantity: "The most without load",
        symbol: "V_0",
        formula: "p × √(2) × E_m",
        inputs: vec![
            input(
                "p",
                peaks,
                Unit::One,
                "capacitors on top of each other, 2 in a doubler",
            ),
            input(
                "E_m",
                idle.feed.volts,
                Unit::Volt,
                "secondary without load, with the mains present",
            ),
        ],
        result: peaks * idle.feed.peak(),
        unit: Unit::Volt,
        source: "the peak of a sine",
        note: "",
    });
    let charges = if idle.circuit.is_full_wave() {
        2.0
    } else {
        1.0
    };
    let given = idle.circuit.rectifier_currents() * steady.rectifier.mean;
    if idle.circuit != Circuit::Doubler {
        workings.push(Working {
            quantity: "Ripple at the first capacitor, at most",
            symbol: "r_v",
            formula: "I_d / (h × f × C)",
            inputs: vec![
                input("I_d", given, Unit::Ampere, "direct current"),
                input("h", charges, Unit::One, "charges in a cycle"),
                input("f", idle.feed.hertz, Unit::Hertz, "mains"),
                input("C", idle.first.farads, Unit::Farad, "first capacitor"),
            ],
            result: given / (charges * idle.feed.hertz * idle.first.farads),
            unit: Unit::Volt,
            source: "charge drawn in a whole period between charges",
            note: "The solved ripple is less, for the capacitor is being charged during part of the period.",
        });
    }
    workings.push(Working {
        quantity: "Heat in the wire of the transformer",
        symbol: "P_w",
        formula: "R × I_w²",
        inputs: vec![
            input(
                "R",
                idle.feed.ohms,
                Unit::Ohm,
                "in series with each rectifier",
            ),
            input(
                "I_w",
                steady.both_halves_rms,
                Unit::Ampere,
                "rms, both halves together",
            ),
        ],
        result: steady.winding_watts,
        unit: Unit::Watt,
        source: "Joule’s law",
        note: "",
    });
    workings
}

pub(super) fn solution(found: &SolvedSupply, idle: &Supply, steady: &Steady) -> Solution {
    let mut equations = vec![
        "C dv/dt = i − what is drawn, at every capacitor, through a cycle that ends as it began",
        match idle.circuit {
            Circuit::FullWave => "|e| = v + R i + v_d, while |e| is above v; e: half the winding",
            Circuit::Bridge => "|e| = v + R i + 2 v_d, while |e| is above v",
            Circuit::HalfWave => "e = v + R i + v_d, while e is above v",
            Circuit::Doubler => "±e = v + R i + v_d at each of the two capacitors in its turn",
        },
    ];
    let mut solution = vec![
        input("V_b", found.volts, Unit::Volt, "B+ at the plates, average"),
        input(
            "V_1",
            steady.nodes[0].volts,
            Unit::Volt,
            "at the first capacitor, average",
        ),
        input(
            "r_v",
            steady.nodes[0].ripple,
            Unit::Volt,
            "its ripple, peak to peak",
        ),
        input(
            "I_w",
            steady.winding.rms,
            Unit::Ampere,
            "rms in the winding, or in each half",
        ),
        input(
            "i_p",
            steady.rectifier.peak,
            Unit::Ampere,
            "peak of each rectifier",
        ),
    ];
    match idle.law {
        Law::Vacuum(k) => {
            equations.push("i = K v_d^1.5 (Child, Langmuir), K from one published drop");
            // Milliamperes at ten volts say more than K in amperes.
            let at_ten = k * 10.0_f64.powf(1.5);
            solution.push(input(
                "i_10",
                at_ten,
                Unit::Ampere,
                "of one plate at 10 V across it",
            ));
        }
        Law::Silicon => equations.push("i = I_0 (exp(v_d / 50 mV) − 1): 0.70 V at 10 mA"),
    }
    Solution {
        quantity: "B+, ripple and the winding’s current",
        equations,
        solution,
        residual: 1e-7 * idle.feed.peak(),
        residual_unit: Unit::Volt,
        source: "trapezoidal rule, 400 steps in a cycle; Newton’s method on the state it starts from",
    }
}
