//! The workings of the output stage: the tube's curve at idle step by step, what the solved
//! cycle adds up to, and the equations that were solved for it.

use super::input;
use crate::connection::Connection;
use crate::output::{ChosenOutput, StageReport};
use crate::stage::stress::Stress;
use crate::tube::pentode::KVB;
use crate::tube::{Bias, Model, Pentode, Topology, Triode};
use crate::units::Unit;
use crate::working::{Input, Solved, Working};

const MODEL: &str = "the tube's static model, fitted to published values";
const KOREN: &str =
    "N. Koren, Glass Audio 8/5, 1996, with a contact potential; fitted to published values";

/// Every number of the stage that has a formula.
pub(crate) fn of(
    stage: &StageReport,
    output: &ChosenOutput,
    connection: &Connection,
) -> Vec<Working> {
    let mut workings = match stage.stage.model {
        Model::Pentode(model) => pentode(stage, &model),
        Model::Triode(model) => triode(stage, &model),
    };
    workings.push(dissipation(stage));
    workings.extend(delivered(output));
    workings.extend(against_target(stage, connection));
    workings.extend(efficiency(output));
    workings
}

fn number(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    input(symbol, value, Unit::One, meaning)
}

fn volts(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    input(symbol, value, Unit::Volt, meaning)
}

fn amps(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    input(symbol, value, Unit::Ampere, meaning)
}

fn pentode(stage: &StageReport, model: &Pentode) -> Vec<Working> {
    let idle = &stage.idle;
    let (plate, screen) = (idle.plate_volts, idle.screen_volts);
    if screen <= 0.0 || plate <= 0.0 {
        return Vec::new();
    }
    let root = (KVB + screen.powi(2)).sqrt();
    let inside = model.kp * (1.0 / model.mu + (idle.grid_volts + model.contact) / root);
    let drive = screen / model.kp * crate::tube::softplus(inside).0;
    let emitted = model.perveance * drive.powf(model.exponent);
    let field = 0.25 * screen + 0.75 * plate;
    let share = model.share
        * (screen / field).powf(model.share_slope)
        * (model.mu * drive / screen).powf(model.share_drive);
    let limited =
        emitted / (1.0 + share) * (1.0 + model.early * plate) / (1.0 + model.early * screen);
    let charge = model.line * plate.powf(1.5);
    let flow = model.flow(plate, screen, idle.grid_volts);
    let working = |quantity, symbol, formula, inputs, result, unit, note| Working {
        quantity,
        symbol,
        formula,
        inputs,
        result,
        unit,
        source: MODEL,
        note,
    };
    vec![
        Working {
            source: KOREN,
            ..working(
                "Drive on the space charge at idle",
                "E",
                "V_s / k_p × ln(1 + exp(k_p × (1 / µ + (V_g + V_c) / √(k_vb + V_s²))))",
                vec![
                    volts("V_s", screen, "screen from cathode"),
                    number("k_p", model.kp, "sharpness of the cut-off"),
                    number("µ", model.mu, "amplification factor, grid 1 to screen"),
                    volts("V_g", idle.grid_volts, "grid from cathode"),
                    volts("V_c", model.contact, "contact potential"),
                    number("k_vb", KVB, "bend at low screen voltage, volts squared"),
                ],
                drive,
                Unit::Volt,
                "",
            )
        },
        Working {
            source: KOREN,
            ..working(
                "Emission at idle",
                "I_k",
                "p × E^x",
                vec![
                    number(
                        "p",
                        model.perveance,
                        "perveance, amperes at one volt of drive",
                    ),
                    volts("E", drive, "drive on the space charge"),
                    number("x", model.exponent, "exponent of the emission law"),
                ],
                emitted,
                Unit::Ampere,
                "",
            )
        },
        working(
            "Screen current over plate current",
            "u",
            "α × (V_s / (0.25 × V_s + 0.75 × V_a))^s × (µ × E / V_s)^q",
            vec![
                number(
                    "α",
                    model.share,
                    "where plate and screen are at one voltage",
                ),
                volts("V_s", screen, "screen from cathode"),
                volts("V_a", plate, "plate from cathode"),
                number("s", model.share_slope, "how it falls as the plate rises"),
                number("µ", model.mu, "amplification factor, grid 1 to screen"),
                volts("E", drive, "drive on the space charge"),
                number("q", model.share_drive, "how it falls as the beam thins"),
            ],
            share,
            Unit::One,
            "",
        ),
        working(
            "Plate current as emission limits it",
            "A",
            "I_k / (1 + u) × (1 + λ × V_a) / (1 + λ × V_s)",
            vec![
                amps("I_k", emitted, "emission"),
                number("u", share, "screen current over plate current"),
                number("λ", model.early, "rise with plate volts, per volt"),
                volts("V_a", plate, "plate from cathode"),
                volts("V_s", screen, "screen from cathode"),
            ],
            limited,
            Unit::Ampere,
            "",
        ),
        working(
            "Plate current as space charge limits it",
            "B",
            "c × V_a^1.5",
            vec![
                number("c", model.line, "space-charge line, amperes at one volt"),
                volts("V_a", plate, "plate from cathode"),
            ],
            charge,
            Unit::Ampere,
            "Child's law: it decides below the knee.",
        ),
        working(
            "Plate current of one tube at idle",
            "I_a",
            "A × B / (A^m + B^m)^(1 / m)",
            vec![
                amps("A", limited, "as emission limits it"),
                amps("B", charge, "as space charge limits it"),
                number("m", model.knee, "sharpness of the knee"),
            ],
            flow.plate.amps,
            Unit::Ampere,
            average_tube(stage),
        ),
        working(
            "Screen current of one tube at idle",
            "I_s",
            "I_k × u / (1 + u) + ρ × (A − I_a)",
            vec![
                amps("I_k", emitted, "emission"),
                number("u", share, "screen current over plate current"),
                number("ρ", model.returned, "part of what the knee turns back"),
                amps("A", limited, "plate current as emission limits it"),
                amps("I_a", flow.plate.amps, "plate current"),
            ],
            flow.screen.amps,
            Unit::Ampere,
            average_tube(stage),
        ),
    ]
}

fn triode(stage: &StageReport, model: &Triode) -> Vec<Working> {
    let idle = &stage.idle;
    if idle.plate_volts <= 0.0 {
        return Vec::new();
    }
    let root = (model.kvb + idle.plate_volts.powi(2)).sqrt();
    let inside = model.kp * (1.0 / model.mu + (idle.grid_volts + model.contact) / root);
    let drive = idle.plate_volts / model.kp * crate::tube::softplus(inside).0;
    vec![
        Working {
            quantity: "Drive on the space charge at idle",
            symbol: "E",
            formula: "V_a / k_p × ln(1 + exp(k_p × (1 / µ + (V_g + V_c) / √(k_vb + V_a²))))",
            inputs: vec![
                volts("V_a", idle.plate_volts, "plate from cathode"),
                number("k_p", model.kp, "sharpness of the cut-off"),
                number("µ", model.mu, "amplification factor"),
                volts("V_g", idle.grid_volts, "grid from cathode"),
                volts("V_c", model.contact, "contact potential"),
                number(
                    "k_vb",
                    model.kvb,
                    "bend at low plate voltage, volts squared",
                ),
            ],
            result: drive,
            unit: Unit::Volt,
            source: KOREN,
            note: "",
        },
        Working {
            quantity: "Plate current of one tube at idle",
            symbol: "I_a",
            formula: "p × E^x",
            inputs: vec![
                number(
                    "p",
                    model.perveance,
                    "perveance, amperes at one volt of drive",
                ),
                volts("E", drive, "drive on the space charge"),
                number("x", model.exponent, "exponent of the current law"),
            ],
            result: model.flow(idle.plate_volts, idle.grid_volts).amps,
            unit: Unit::Ampere,
            source: KOREN,
            note: average_tube(stage),
        },
    ]
}

fn average_tube(stage: &StageReport) -> &'static str {
    if stage.stage.imbalance.current == 0.0 {
        ""
    } else {
        "An average tube: the two sides are typed as unlike, one above it and one below."
    }
}

fn dissipation(stage: &StageReport) -> Working {
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

fn delivered(output: &ChosenOutput) -> [Working; 2] {
    let cycle = &output.onset;
    let h = cycle.harmonics;
    let named: f64 = h.iter().map(|h| h * h).sum::<f64>() / (2.0 * cycle.load_ohms);
    let mut inputs: Vec<Input> = ["H_1", "H_2", "H_3", "H_4", "H_5", "H_6", "H_7"]
        .into_iter()
        .zip(h)
        .map(|(symbol, peak)| volts(symbol, peak, "harmonic across the load, peak"))
        .collect();
    inputs.push(input("Z′", cycle.load_ohms, Unit::Ohm, "reflected load"));
    inputs.push(input(
        "P_h",
        cycle.watts - named,
        Unit::Watt,
        "power of all harmonics above",
    ));
    [
        Working {
            quantity: "Power in the speakers before it clips",
            symbol: "P",
            formula: "(H_1² + H_2² + H_3² + H_4² + H_5² + H_6² + H_7²) / (2 × Z′) + P_h",
            inputs,
            result: cycle.watts,
            unit: Unit::Watt,
            source: "Fourier projection of the solved cycle at the onset of grid current",
            note: "Losses of the secondary and the core are not counted.",
        },
        Working {
            quantity: "Distortion before it clips",
            symbol: "d",
            formula: "√(2 × Z′ × P / H_1² − 1)",
            inputs: vec![
                input("Z′", cycle.load_ohms, Unit::Ohm, "reflected load"),
                input("P", cycle.watts, Unit::Watt, "power of all harmonics"),
                volts("H_1", h[0], "fundamental, peak"),
            ],
            result: cycle.thd,
            unit: Unit::One,
            source: "all harmonics over the first: √(H_2² + H_3² + …) / H_1",
            note: "",
        },
    ]
}

fn against_target(stage: &StageReport, connection: &Connection) -> Option<Working> {
    let output = connection.output?;
    Some(Working {
        quantity: "Power against the target load",
        symbol: "D",
        formula: "10 × log10(P / P_t)",
        inputs: vec![
            input("P", output.watts.0, Unit::Watt, "power into this load"),
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
        note: "What this stage really loses; beside the mismatch loss, which a matched source would.",
    })
}

fn efficiency(output: &ChosenOutput) -> Option<Working> {
    let cycle = &output.onset;
    let plates: f64 = cycle.sides.iter().map(|side| side.plate_watts).sum();
    (cycle.watts > 0.0).then(|| Working {
        quantity: "Plate efficiency before it clips",
        symbol: "η",
        formula: "P / (P + P_a + P_c)",
        inputs: vec![
            input("P", cycle.watts, Unit::Watt, "power in the speakers"),
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

/// What was solved numerically: the equations, the solution, and what is left of them.
pub(crate) fn solved(stage: &StageReport, output: &ChosenOutput) -> Vec<Solved> {
    let mut solved = vec![idle(stage), cycle(stage, output)];
    if let Some(Ok(found)) = &output.reactive {
        solved.push(Solved {
            quantity: "The cycle with the speakers' reactance",
            equations: vec![
                "u_n = Σ c_(n−m) × T_m at 64 instants n, m",
                "c: the load's impedance at 1, 2, … 32 times the frequency, as an impulse response",
                "T: ampere-turns of the tubes at that instant, from their curves",
            ],
            solution: vec![
                input("f", found.hertz, Unit::Hertz, "frequency"),
                input(
                    "Z′",
                    found.load_ohms,
                    Unit::Ohm,
                    "load at that frequency, modulus",
                ),
                input("P", found.watts, Unit::Watt, "real power in the load"),
                input("d", found.thd, Unit::One, "distortion of the load's volts"),
            ],
            residual: found.residual_volts,
            source: "harmonic balance, Newton's method",
        });
    }
    solved
}

fn idle(stage: &StageReport) -> Solved {
    let idle = &stage.idle;
    let mut equations = vec![
        "V_b = V_0 − R_0 × (I_a + I_s) of all tubes on B+",
        "V_a = V_b − R_w × I_a − V_k",
    ];
    if stage.stage.is_strapped() {
        equations.push("V_s = V_a: the screen is the plate");
    } else {
        equations
            .push("V_s = screen supply − R_s × I_s − V_k, or its share of V_b and V_a at a tap");
    }
    equations.push(match stage.stage.bias {
        Bias::Fixed(_) => "V_g = fixed, V_k = 0",
        Bias::Cathode(_) => "V_g = −V_k, V_k = R_k × (I_a + I_s) of all tubes",
    });
    equations.push("I_a, I_s = the tube's curves at V_a, V_s, V_g");
    Solved {
        quantity: "Operating point at idle",
        equations,
        solution: vec![
            volts("V_b", idle.supply_volts, "B+ at the primary"),
            volts("V_a", idle.plate_volts, "plate from cathode"),
            volts("V_s", idle.screen_volts, "screen from cathode"),
            volts("V_g", idle.grid_volts, "grid from cathode"),
            volts("V_k", idle.cathode_volts, "cathode from ground"),
            amps("I_a", idle.plate_amps, "plate current, one tube"),
            amps("I_s", idle.screen_amps, "screen current, one tube"),
        ],
        residual: idle.residual_volts,
        source: "Kirchhoff's laws, Newton's method",
    }
}

fn cycle(stage: &StageReport, output: &ChosenOutput) -> Solved {
    let cycle = &output.onset;
    let stress = Stress::of(&stage.stage, cycle, 1.0);
    let equations = match stage.stage.topology {
        Topology::SingleEnded => vec![
            "v + V_k = V_b − R_w × i − u at each of 64 instants",
            "u = Z′ × (i − mean of i)",
            "i = the tubes' curves at v, V_s and V_g + V_p × cos θ",
            "V_b, V_s, V_k from the means of the currents, as at idle",
        ],
        Topology::PushPull => vec![
            "v_1 + V_k = V_b − R_w/2 × i_1 − u, v_2 + V_k = V_b − R_w/2 × i_2 + u at each of 64 instants",
            "u = Z′/4 × (i_1 − i_2 − mean of it)",
            "i_1, i_2 = the tubes' curves at v_1, v_2, V_s and V_g ± V_p × cos θ",
            "V_b, V_s, V_k from the means of the currents, as at idle",
        ],
    };
    Solved {
        quantity: "The cycle at the onset of grid current",
        equations,
        solution: vec![
            volts("V_p", cycle.drive_peak, "drive on each grid, peak"),
            volts("V_b", cycle.supply_volts, "B+ at the primary"),
            volts("V_k", cycle.cathode_volts, "cathode from ground"),
            amps(
                "I_a",
                cycle.plate_amps(),
                "plate current of all tubes, mean",
            ),
            amps(
                "I_s",
                cycle.screen_amps(),
                "screen current of all tubes, mean",
            ),
            input(
                "P_a",
                stress.plate_watts,
                Unit::Watt,
                "dissipation of one plate",
            ),
            volts("v_max", stress.peak_plate_volts, "highest plate volts"),
        ],
        residual: cycle.residual_volts,
        source: "the tube's curves against the load at every instant; the power supplied comes out again",
    }
}
