//! The workings of what the iron loses and where it ends.

use super::input;
use crate::connection::Connection;
use crate::losses::{How, Losses, Network, OnLead, Passage, Read};
use crate::report::Report;
use crate::transformer::{Secondary, Transformer};
use crate::units::Unit;
use crate::working::{Input, Solved, Working};

const CIRCUIT: &str = "equivalent circuit referred to the primary (Radiotron Designer's Handbook, \
                       chapter 5, from memory)";

/// Every number of a connection that follows from what is known of the iron, as far as a
/// formula gives it.
pub(crate) fn of(
    report: &Report,
    transformer: &Transformer,
    connection: &Connection,
    passage: &Passage,
) -> Vec<Working> {
    let known = &report.losses.known;
    let mut workings = Vec::new();
    for (quantity, measured) in [
        (Quantity::Inductance, known.inductance),
        (Quantity::Leakage, known.leakage),
    ] {
        let Some(measured) = measured else { continue };
        workings.extend(read(quantity, measured));
        workings.extend(carried(quantity, measured, transformer, connection));
    }
    workings.extend(secondary_wire(known, connection));
    let copper = known.primary.is_some() || known.secondary.is_some() || known.core_ohms.is_some();
    if copper {
        workings.extend(mid_band(connection, passage));
    }
    workings.extend(lowest(known, transformer, connection, passage));
    workings
}

#[derive(Clone, Copy, PartialEq)]
enum Quantity {
    Inductance,
    Leakage,
}

/// An inductance out of what a meter read.
fn read(quantity: Quantity, measured: OnLead) -> Option<Working> {
    let inductance = quantity == Quantity::Inductance;
    let (formula, inputs, source) = match measured.read {
        Read::Typed => return None,
        Read::Edge { hertz, rated } => (
            "Z_r / 2 / (2 × π × f)",
            vec![
                input("Z_r", rated, Unit::Ohm, "rated load of that lead"),
                input("f", hertz, Unit::Hertz, "stated −3 dB point"),
            ],
            "ωL is half the rated load where source and load are both rated",
        ),
        Read::Meter {
            volts,
            amps,
            hertz,
            copper,
            core,
        } => {
            let mut inputs = vec![
                input("V", volts, Unit::Volt, "volts read"),
                input("I", amps, Unit::Ampere, "amperes read"),
                input("f", hertz, Unit::Hertz, "frequency of the reading"),
                input("R", copper, Unit::Ohm, "copper in the way of the current"),
            ];
            match core {
                None => (
                    "√((V / I)² − R²) / (2 × π × f)",
                    inputs,
                    "|Z|² = R² + (ωL)²",
                ),
                Some(core) => {
                    inputs.push(input("R_c", core, Unit::Ohm, "core loss"));
                    (
                        "1 / (2 × π × f × √((1 + 2 × R / R_c) / ((V / I)² − R²) − 1 / R_c²))",
                        inputs,
                        "Z = R + 1 / (1/R_c − j/ωL)",
                    )
                }
            }
        }
    };
    Some(Working {
        quantity: if inductance {
            "Primary inductance"
        } else {
            "Leakage inductance"
        },
        symbol: if inductance { "L_p" } else { "L_s" },
        formula,
        inputs,
        result: measured.value,
        unit: Unit::Henry,
        source,
        note: match (inductance, measured.read) {
            (true, Read::Meter { .. }) => {
                "It grows with the volts up to saturation: read it near those it works at."
            }
            (false, _) => "With the whole secondary shorted; a part of it leaks a little more.",
            _ => "",
        },
    })
}

/// The same on the lead in use.
fn carried(
    quantity: Quantity,
    measured: OnLead,
    transformer: &Transformer,
    connection: &Connection,
) -> Option<Working> {
    let lead = connection.choice.lead;
    if lead == measured.lead {
        return None;
    }
    let rated = |at: usize| transformer.leads.get(at).map(|lead| lead.rated.0);
    let (here, there) = (rated(lead)?, rated(measured.lead)?);
    let (name, symbol) = match quantity {
        Quantity::Inductance => ("Primary inductance on this lead", "L_p"),
        Quantity::Leakage => ("Leakage inductance on this lead", "L_s"),
    };
    Some(Working {
        quantity: name,
        symbol,
        formula: "L × Z_p / Z_m",
        inputs: vec![
            input("L", measured.value, Unit::Henry, "as measured"),
            input("Z_p", here, Unit::Ohm, "this lead, rated"),
            input(
                "Z_m",
                there,
                Unit::Ohm,
                "the lead it was measured on, rated",
            ),
        ],
        result: measured.value * here / there,
        unit: Unit::Henry,
        source: "inductance goes with the turns squared, and so does a rated impedance",
        note: "",
    })
}

/// The wire of a tap pair as the difference of two that were measured.
fn secondary_wire(known: &Losses, connection: &Connection) -> Option<Working> {
    let winding = known.secondary.as_ref()?;
    let Secondary::Pair(pair) = connection.choice.secondary else {
        return None;
    };
    let wire = winding.between(pair)?;
    let (a, b) = pair.taps();
    let (a, b) = (winding.at(a)?.ohms, winding.at(b)?.ohms);
    (wire.how != How::Measured).then(|| Working {
        quantity: "Winding resistance between the taps",
        symbol: "R_s",
        formula: "R_b − R_a",
        inputs: vec![
            input("R_b", a.max(b), Unit::Ohm, "common lead to one tap"),
            input("R_a", a.min(b), Unit::Ohm, "common lead to the other tap"),
        ],
        result: wire.ohms,
        unit: Unit::Ohm,
        source: "resistances add along a wire",
        note: match wire.how {
            How::ByTurns => "A tap that was not measured counts by its turns.",
            _ => "",
        },
    })
}

/// What the tubes see, what reaches the speakers, and what that costs.
fn mid_band(connection: &Connection, passage: &Passage) -> Vec<Working> {
    let Network {
        turns_ratio,
        primary_ohms,
        secondary_ohms,
        core_ohms,
        ..
    } = passage.network;
    let load = connection.impedance.0;
    let behind = passage.network.behind_copper(load);
    let share = passage.network.share_behind_copper(load);
    let with_core = |mut inputs: Vec<Input>| {
        inputs.extend(core_ohms.map(|ohms| input("R_c", ohms, Unit::Ohm, "core loss")));
        inputs
    };
    let secondary = || {
        vec![
            input("n", turns_ratio, Unit::One, "turns ratio"),
            input("R_s", secondary_ohms, Unit::Ohm, "secondary’s wire"),
            input("Z", load, Unit::Ohm, "speaker hookup, rated"),
        ]
    };
    let behind_input = input("Z_b", behind, Unit::Ohm, "load behind the primary’s copper");
    let copper = input("R_p", primary_ohms, Unit::Ohm, "primary’s wire");
    vec![
        Working {
            quantity: "Load behind the primary’s copper",
            symbol: "Z_b",
            formula: match core_ohms {
                None => "n² × (R_s + Z)",
                Some(_) => "1 / (1 / (n² × (R_s + Z)) + 1 / R_c)",
            },
            inputs: with_core(secondary()),
            result: behind,
            unit: Unit::Ohm,
            source: CIRCUIT,
            note: "",
        },
        Working {
            quantity: "What the tubes see, copper and core counted",
            symbol: "Z_in",
            formula: "R_p + Z_b",
            inputs: vec![copper.clone(), behind_input.clone()],
            result: passage.input.0,
            unit: Unit::Ohm,
            source: CIRCUIT,
            note: "The ratio to the target is of the turns alone; watts and distortion count this.",
        },
        Working {
            quantity: "Share behind the copper that reaches the speakers",
            symbol: "η_s",
            formula: "Z_b / (n² × (R_s + Z)) × Z / (R_s + Z)",
            inputs: {
                let mut inputs = secondary();
                inputs.push(behind_input.clone());
                inputs
            },
            result: share,
            unit: Unit::One,
            source: "the currents divide between core and secondary, the volts between wire and speakers",
            note: "",
        },
        Working {
            quantity: "Efficiency of the transformer",
            symbol: "η_t",
            formula: "Z_b / (R_p + Z_b) × η_s",
            inputs: vec![
                behind_input,
                copper,
                input("η_s", share, Unit::One, "share behind the copper"),
            ],
            result: passage.efficiency,
            unit: Unit::One,
            source: "one current through copper and load",
            note: "",
        },
        Working {
            quantity: "Insertion loss",
            symbol: "L",
            formula: "10 × log10(1 / η_t)",
            inputs: vec![input("η_t", passage.efficiency, Unit::One, "efficiency")],
            result: passage.insertion_loss.0,
            unit: Unit::Decibel,
            source: "definition of the decibel",
            note: "",
        },
    ]
}

/// The lowest frequency at which the core passes full power.
fn lowest(
    known: &Losses,
    transformer: &Transformer,
    connection: &Connection,
    passage: &Passage,
) -> Option<Working> {
    let rated = known.rated()?;
    let lead = transformer.leads.get(connection.choice.lead)?;
    Some(Working {
        quantity: "Lowest frequency at full power",
        symbol: "f_P",
        formula: "f_r × √(P / P_r × Z′ / Z_r)",
        inputs: vec![
            input("f_r", rated.hertz, Unit::Hertz, "lowest frequency, rated"),
            input(
                "P",
                passage.full_power?.0,
                Unit::Watt,
                "power in the speakers",
            ),
            input("P_r", rated.watts, Unit::Watt, "rated power"),
            input(
                "Z′",
                connection.load.reflected.0,
                Unit::Ohm,
                "reflected load",
            ),
            input("Z_r", lead.rated.0, Unit::Ohm, "rated load of this lead"),
        ],
        result: passage.lowest_hertz?,
        unit: Unit::Hertz,
        source: "V = 4.44 × f × N × A × B with V² = P × Z′: the flux of the rated point",
        note: "",
    })
}

/// The −3 dB points, which only the whole network gives.
pub(crate) fn band(connection: &Connection, passage: &Passage) -> Option<Solved> {
    let (network, band) = (&passage.network, passage.band?);
    let (source, load) = (passage.source.0, connection.impedance.0);
    let half = network.transfer_at_mid_band(source, load) / 2_f64.sqrt();
    let off = |hertz: f64| (network.transfer(hertz, source, load.into()).norm() - half).abs();
    let mut solution = vec![
        input("R_a", source, Unit::Ohm, "source resistance"),
        input("Z", load, Unit::Ohm, "speaker hookup, rated"),
    ];
    solution
        .extend((network.inductance).map(|l| input("L_p", l, Unit::Henry, "primary inductance")));
    for (symbol, value, unit, meaning) in [
        ("L_s", network.leakage, Unit::Henry, "leakage inductance"),
        (
            "C",
            network.capacitance,
            Unit::Farad,
            "capacitance across the primary",
        ),
    ] {
        solution.extend((value > 0.0).then(|| input(symbol, value, unit, meaning)));
    }
    let edges = [
        (band.low, "f_l", "lower −3 dB point"),
        (band.high, "f_h", "upper −3 dB point"),
    ];
    let mut residual: f64 = 0.0;
    let mut found = false;
    for (edge, symbol, meaning) in edges {
        if let Some(hertz) = edge {
            solution.push(input(symbol, hertz, Unit::Hertz, meaning));
            residual = residual.max(off(hertz));
            found = true;
        }
    }
    found.then_some(Solved {
        quantity: "The −3 dB points",
        equations: vec![
            "|U(f)| = U_mid / √2, U: volts at the speakers for one volt behind R_a",
            "Z_b = 1 / (1/(n² × (R_s + Z)) + 1/R_c + 1/jωL_p), behind R_p + jωL_s, C across it all",
        ],
        solution,
        residual,
        source: CIRCUIT,
    })
}
