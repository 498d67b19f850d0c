//! How a measured turns ratio and its uncertainty came about.

use super::input;
use crate::connection::Connection;
use crate::working::{Input, Working};
use tapwright_iron::measured::findings::{Findings, MeasuredTransformer};
use tapwright_units::Unit;
use tapwright_units::uncertainty::Uncertain;

const FLUX: &str = "equal volts per turn on one core";
const PROPAGATION: &str = "JCGM 100:2008, 5.1";

/// Turns of the whole primary, in which the others are counted.
const WHOLE: f64 = 1_000.0;

/// The turns ratio, and its uncertainty where a formula gives it.
pub(super) fn ratio(findings: &Findings, connection: &Connection) -> Vec<Working> {
    let choice = connection.choice;
    let Some(transformer) = &findings.transformer else {
        return Vec::new();
    };
    match transformer.readings(choice.lead, choice.secondary) {
        Some((above, below)) => direct(connection, above, below).into(),
        None => fitted(transformer, connection).into_iter().collect(),
    }
}

/// Out of two readings of one test.
fn direct(connection: &Connection, above: Uncertain, below: Uncertain) -> [Working; 2] {
    let volts =
        |symbol, measured: Uncertain, meaning| input(symbol, measured.value, Unit::Volt, meaning);
    let doubt = |symbol, measured: Uncertain, meaning| {
        let relative = measured.uncertainty / measured.value;
        input(symbol, relative, Unit::One, meaning)
    };
    [
        Working {
            quantity: "Turns ratio, measured",
            symbol: "n",
            formula: "V_p / V_s",
            inputs: vec![
                volts("V_p", above, "read across the primary lead"),
                volts("V_s", below, "read across the secondary, in the same test"),
            ],
            result: connection.turns_ratio,
            unit: Unit::One,
            source: FLUX,
            note: "Unloaded: nothing flows, so no copper counts.",
        },
        Working {
            quantity: "Uncertainty of the turns ratio",
            symbol: "d",
            formula: "√(d_p² + d_s²)",
            inputs: vec![
                doubt(
                    "d_p",
                    above,
                    "the meter's part of the primary reading, relative",
                ),
                doubt("d_s", below, "of the secondary reading"),
            ],
            result: connection.uncertainty.unwrap_or_default(),
            unit: Unit::One,
            source: PROPAGATION,
            note: "The meter's stated accuracy, % of reading and counts, is taken as one standard \
                   uncertainty.",
        },
    ]
}

/// Out of more readings than that.
fn fitted(transformer: &MeasuredTransformer, connection: &Connection) -> Option<Working> {
    let choice = connection.choice;
    let (over, under) = transformer.turns(choice.lead, choice.secondary)?;
    Some(Working {
        quantity: "Turns ratio, measured",
        symbol: "n",
        formula: "N_p / N_s",
        inputs: vec![
            input(
                "N_p",
                WHOLE * over,
                Unit::One,
                "turns of the primary lead, of 1000 in all",
            ),
            input(
                "N_s",
                WHOLE * under,
                Unit::One,
                "turns of the secondary, in the same scale",
            ),
        ],
        result: connection.turns_ratio,
        unit: Unit::One,
        source: "weighted least squares over all readings of the voltmeter",
        note: "How well each reading agrees stands under the readings.",
    })
}

/// What the uncertainty makes of the reflected load.
pub(super) fn range(connection: &Connection) -> Vec<Working> {
    let Some((uncertainty, (low, high))) = connection.uncertainty.zip(connection.range()) else {
        return Vec::new();
    };
    let inputs = || -> Vec<Input> {
        vec![
            input(
                "Z′",
                connection.load.reflected.0,
                Unit::Ohm,
                "reflected load",
            ),
            input(
                "d",
                uncertainty,
                Unit::One,
                "uncertainty of the turns ratio, relative",
            ),
        ]
    };
    let end = |quantity, symbol, formula, result| Working {
        quantity,
        symbol,
        formula,
        inputs: inputs(),
        result,
        unit: Unit::Ohm,
        source: "JCGM 100:2008, 5.1 and table G.1: 95 of 100 lie within 1.96 standard \
                 uncertainties",
        note: "On a logarithmic scale, as the load goes with the square of the ratio.",
    };
    vec![
        Working {
            quantity: "Uncertainty of the reflected load",
            symbol: "u_Z",
            formula: "2 × d × Z′",
            inputs: inputs(),
            result: 2.0 * uncertainty * connection.load.reflected.0,
            unit: Unit::Ohm,
            source: PROPAGATION,
            note: "One standard uncertainty. The speaker's own is not in it.",
        },
        end(
            "Reflected load, lower end",
            "Z′_low",
            "Z′ × exp(−2 × 1.96 × d)",
            low.0,
        ),
        end(
            "Reflected load, upper end",
            "Z′_high",
            "Z′ × exp(2 × 1.96 × d)",
            high.0,
        ),
    ]
}
