//! The workings of the tube's curve: its currents at idle, step by step.

use super::{amps, input, volts};
use crate::output::SolvedStage;
use crate::working::{Input, Working};
use tapwright_tube::pentode::KVB;
use tapwright_tube::{Model, Pentode, Triode, softplus};
use tapwright_units::Unit;

const MODEL: &str = "the tube's static model, fitted to published values";
const KOREN: &str =
    "N. Koren, Glass Audio 8/5, 1996, with a contact potential; fitted to published values";

/// The currents of one tube at idle.
pub(super) fn idle_currents(stage: &SolvedStage) -> Vec<Working> {
    match stage.stage.model {
        Model::Pentode(model) => pentode(stage, &model),
        Model::Triode(model) => triode(stage, &model),
    }
}

fn number(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    input(symbol, value, Unit::One, meaning)
}

fn pentode(stage: &SolvedStage, model: &Pentode) -> Vec<Working> {
    let idle = &stage.idle;
    let (plate, screen) = (idle.plate_volts, idle.screen_volts);
    if screen <= 0.0 || plate <= 0.0 {
        return Vec::new();
    }
    let root = (KVB + screen.powi(2)).sqrt();
    let inside = model.kp * (1.0 / model.mu + (idle.grid_volts + model.contact) / root);
    let drive = screen / model.kp * softplus(inside).0;
    let emitted = model.perveance * drive.powf(model.exponent);
    let field = 0.25 * screen + 0.75 * plate;
    let share = model.share
        * (screen / field).powf(model.share_slope)
        * (model.mu * drive / screen).powf(model.share_drive);
    let limited =
        emitted / (1.0 + share) * (1.0 + model.early * plate) / (1.0 + model.early * screen);
    let charge = model.line * plate.powf(1.5);
    let flow = model.flow(plate, screen, idle.grid_volts);
    let working = |quantity, symbol, formula, inputs, result, unit| Working {
        quantity,
        symbol,
        formula,
        inputs,
        result,
        unit,
        source: MODEL,
        note: "",
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
        ),
        Working {
            note: "Child's law: it decides below the knee.",
            ..working(
                "Plate current as space charge limits it",
                "B",
                "c × V_a^1.5",
                vec![
                    number("c", model.line, "space-charge line, amperes at one volt"),
                    volts("V_a", plate, "plate from cathode"),
                ],
                charge,
                Unit::Ampere,
            )
        },
        Working {
            note: average_tube(stage),
            ..working(
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
            )
        },
        Working {
            note: average_tube(stage),
            ..working(
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
            )
        },
    ]
}

fn triode(stage: &SolvedStage, model: &Triode) -> Vec<Working> {
    let idle = &stage.idle;
    if idle.plate_volts <= 0.0 {
        return Vec::new();
    }
    let root = (model.kvb + idle.plate_volts.powi(2)).sqrt();
    let inside = model.kp * (1.0 / model.mu + (idle.grid_volts + model.contact) / root);
    let drive = idle.plate_volts / model.kp * softplus(inside).0;
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

fn average_tube(stage: &SolvedStage) -> &'static str {
    if stage.stage.imbalance.current == 0.0 {
        ""
    } else {
        "An average tube: the two sides are typed as unlike, one above it and one below."
    }
}
