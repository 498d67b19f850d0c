//! How the numbers of the heaters came about.

use tapwright_units::Unit;

use super::{HeaterReport, Raised, Tie, Tied};
use crate::working::{Working, input};

const OHM: &str = "Ohm’s law and P = I² R";
const TWO_RESISTORS: &str = "two resistors as a divider";

/// Every number that has a formula.
pub(super) fn every(report: &HeaterReport) -> Vec<Working> {
    let mut all = Vec::new();
    if let Tie::Resistors(tied) = report.tie {
        all.extend(resistors(&tied));
    }
    if report.load_amps > 0.0 {
        all.push(load(report));
    }
    all.extend(volts(report));
    all.extend(report.raised.iter().flat_map(raised));
    all
}

fn resistors(tied: &Tied) -> [Working; 3] {
    let balance = tied.balance;
    let volts = input("V", balance.volts, Unit::AcVolt, "across the heaters, rms");
    let larger = input("R_a", balance.larger(), Unit::Ohm, "the larger resistor");
    let smaller = input("R_b", balance.smaller(), Unit::Ohm, "the smaller resistor");
    let current = Working {
        quantity: "Current through the two resistors",
        symbol: "I",
        formula: "V / (R_a + R_b)",
        inputs: vec![volts.clone(), larger.clone(), smaller.clone()],
        result: tied.amps,
        unit: Unit::Ampere,
        source: "Ohm’s law",
        note: "",
    };
    let watts = Working {
        quantity: "Heat in the larger of them",
        symbol: "P",
        formula: "(V / (R_a + R_b))² × R_a",
        inputs: vec![volts.clone(), larger.clone(), smaller.clone()],
        result: tied.watts[0].max(tied.watts[1]),
        unit: Unit::Watt,
        source: OHM,
        note: "",
    };
    let residual = Working {
        quantity: "Off balance, in the worst case of the tolerance",
        symbol: "U",
        formula: "V × (R_a × (1 + t) / (R_a × (1 + t) + R_b × (1 − t)) − 0.5)",
        inputs: vec![
            volts,
            larger,
            smaller,
            input("t", balance.tolerance, Unit::One, "tolerance"),
        ],
        result: tied.worst,
        unit: Unit::AcVolt,
        source: TWO_RESISTORS,
        note: "Volts rms from ground in the middle of the heaters, where a grounded centre tap has none.",
    };
    [current, watts, residual]
}

fn load(report: &HeaterReport) -> Working {
    let tied = match report.tie {
        Tie::Resistors(tied) => tied.amps,
        _ => 0.0,
    };
    let amps = |symbol, value, meaning| input(symbol, value, Unit::Ampere, meaning);
    Working {
        quantity: "Load on the winding",
        symbol: "I_h",
        formula: "I_t + I_x + I_r",
        inputs: vec![
            amps("I_t", report.tube_amps, "rated current of the tubes on it"),
            amps("I_x", report.extra_amps, "what else was typed"),
            amps("I_r", tied, "the two resistors"),
        ],
        result: report.load_amps,
        unit: Unit::Ampere,
        source: "the tubes’ data",
        note: "",
    }
}

/// The volts at the heaters, where the winding's stamped current is known.
fn volts(report: &HeaterReport) -> Option<Working> {
    let winding = report.winding;
    let rated = winding.rated_amps?;
    if report.present.is_read {
        return None;
    }
    Some(Working {
        quantity: "Volts at the heaters",
        symbol: "V_h",
        formula: "(V_s + I_s × R) × m − I_h × R",
        inputs: vec![
            input("V_s", winding.volts, Unit::AcVolt, "stamped on the winding"),
            input("I_s", rated, Unit::Ampere, "its stamped current"),
            input("R", winding.ohms, Unit::Ohm, "resistance behind it"),
            input(
                "m",
                report.present.mains.unwrap_or(1.0),
                Unit::One,
                "mains over rated mains",
            ),
            input("I_h", report.load_amps, Unit::Ampere, "load on it"),
        ],
        result: report.present.volts,
        unit: Unit::AcVolt,
        source: "stamped volts are loaded volts; common practice, no source",
        note: "",
    })
}

fn raised(raised: &Raised) -> Vec<Working> {
    let (Some(divider), Some(volts), Some(watts)) = (raised.divider, raised.volts, raised.watts)
    else {
        return Vec::new();
    };
    let inputs = || {
        vec![
            input("V_b", divider.supply, Unit::Volt, "B+"),
            input("R_1", divider.upper, Unit::Ohm, "B+ to the joint"),
            input("R_2", divider.lower, Unit::Ohm, "the joint to ground"),
        ]
    };
    vec![
        Working {
            quantity: "Heaters above ground",
            symbol: "V_r",
            formula: "V_b × R_2 / (R_1 + R_2)",
            inputs: inputs(),
            result: volts,
            unit: Unit::Volt,
            source: TWO_RESISTORS,
            note: "What leaks between heaters and cathodes is left out.",
        },
        Working {
            quantity: "Heat in the upper resistor",
            symbol: "P_1",
            formula: "(V_b / (R_1 + R_2))² × R_1",
            inputs: inputs(),
            result: watts[0],
            unit: Unit::Watt,
            source: OHM,
            note: "",
        },
    ]
}
