//! Amplifiers to hold the circuit against ngspice with, and amplifiers drawn at random.
//!
//! All are invented for the comparison, from parts that such amplifiers use. They differ in how
//! they are wired, not only in their values.

use anyhow::{Context, Result};
use tapwright_amplifier::{
    Amplifier, Bypass, Capacitance, Driver, Feedback, Output, SecondaryTap, TakeOff, Transformer,
    Triode,
};
use tapwright_stage::{Imbalance, ScreenFeed, Stage, Stoppers, Supply};
use tapwright_tube::{Bias, Topology, find};

use crate::grid;

mod drawn;
mod howling;
mod list;
mod pairs;
mod singles;

pub use drawn::drawn;
use list::List;

/// The suite runs one case of so many.
const TENTH: usize = 10;

/// An amplifier, and what it is driven with through time.
#[derive(Debug, Clone)]
pub struct Case {
    /// What is particular about it.
    pub name: String,
    /// The amplifier.
    pub amplifier: Amplifier,
    /// Peak volts at the input of a sine of 1 kHz, where that is compared too.
    pub drive: Option<f64>,
}

/// Capacitances of tubes in pF: grid to plate, input, output. From memory of their data sheets.
fn capacitance(name: &str) -> Capacitance {
    let [grid_plate, input, output] = match name {
        "12AT7" => [1.5, 2.2, 0.5],
        "12AU7" => [1.5, 1.6, 0.4],
        "12AX7" => [1.7, 1.6, 0.4],
        "6SN7" => [4.0, 2.6, 0.7],
        "300B" => [15.0, 9.0, 4.3],
        "EL34" => [1.0, 15.0, 8.0],
        "6L6GC" => [0.6, 10.0, 6.5],
        "6V6GT" => [0.7, 9.0, 7.5],
        _ => [0.5, 10.8, 6.5],
    };
    Capacitance {
        grid_plate: 1e-12 * grid_plate,
        input: 1e-12 * input,
        output: 1e-12 * output,
    }
}

/// A triode of the table.
///
/// # Errors
/// When it is not there.
pub fn triode(name: &str) -> Result<Triode> {
    let tube = find(name).with_context(|| format!("no tube {name} is in the table"))?;
    Ok(Triode {
        model: tube.model,
        capacitance: capacitance(name),
    })
}

/// A driver: plate load and cathode resistor, Ω, and its supply, V.
///
/// # Errors
/// When its tube is not in the table.
pub fn driver(name: &str, [plate, cathode]: [f64; 2], supply: f64) -> Result<Driver> {
    Ok(Driver {
        tube: triode(name)?,
        supply_volts: supply,
        plate_ohms: plate,
        cathode_ohms: cathode,
        bypass: Bypass::None,
        leak_ohms: 1e6,
        volume: None,
        coupling_farads: None,
    })
}

/// An output stage with cathode bias on a supply of some resistance, its screens behind 1 kΩ.
///
/// # Errors
/// When its tube is not in the table.
pub fn output(name: &str, topology: Topology, supply: f64, bias: Bias) -> Result<Output> {
    let tube = find(name).with_context(|| format!("no tube {name} is in the table"))?;
    Ok(Output {
        stage: Stage {
            model: tube.model,
            topology,
            tubes_per_side: 1,
            plate_supply: Supply {
                volts: supply,
                ohms: 100.0,
            },
            screen: ScreenFeed::Dropper(1e3),
            stoppers: Stoppers {
                each: 100.0,
                common: 0.0,
            },
            bias,
            primary_ohms: 0.0,
            imbalance: Imbalance::default(),
        },
        capacitance: capacitance(name),
        coupling_farads: 22e-9,
        leak_ohms: 470e3,
        grid_ohms: 1.5e3,
        cathode_farads: 100e-6,
        supply_farads: 47e-6,
        screen_farads: 10e-6,
    })
}

/// A transformer by the turns and the wire of its taps, the speakers on the second.
pub fn transformer(primary_turns: f64, taps: &[(f64, f64)]) -> Transformer {
    Transformer {
        primary_turns,
        primary_ohms: 240.0,
        inductance: Some(12.0),
        leakage: 18e-3,
        capacitance: 300e-12,
        core_ohms: 60e3,
        unlike_turns: 0.0,
        taps: taps
            .iter()
            .map(|(turns, ohms)| SecondaryTap {
                turns: *turns,
                ohms: *ohms,
            })
            .collect(),
        selected: 1,
        grounded: None,
        reversed: false,
    }
}

/// Feedback by so many ohms.
pub fn feedback(from: TakeOff, into: usize, ohms: f64) -> Option<Feedback> {
    Some(Feedback {
        from,
        into,
        ohms,
        across: None,
        presence: None,
    })
}

/// Every amplifier that is compared.
///
/// # Errors
/// When a tube is not in the table.
pub fn all() -> Result<Vec<Case>> {
    let mut list = List(Vec::new());
    singles::add(&mut list)?;
    pairs::add(&mut list)?;
    howling::add(&mut list)?;
    Ok(list.0)
}

/// What the suite runs: a fixed tenth, and one more by the date.
///
/// # Errors
/// When a tube is not in the table.
pub fn of_today() -> Result<Vec<Case>> {
    let all = all()?;
    let today = grid::today() as usize % all.len();
    let every = |(at, case): (usize, Case)| (at % TENTH == 1 || at == today).then_some(case);
    Ok(all.into_iter().enumerate().filter_map(every).collect())
}

#[cfg(test)]
#[allow(clippy::expect_used, reason = "a test that cannot go on has failed")]
mod tests {
    use super::*;
    use std::collections::HashSet;
    use tapwright_circuit::DirectPoint;

    #[test]
    fn names_differ_and_there_are_enough() {
        let all = all().expect("the tubes are there");
        let names: HashSet<&str> = all.iter().map(|case| case.name.as_str()).collect();
        assert_eq!(names.len(), all.len());
        assert!(all.len() >= 40, "{}", all.len());
    }

    /// A point at rest, not a reason, in 99 of 100 ordinary amplifiers.
    #[test]
    fn nearly_every_ordinary_amplifier_has_a_point_at_rest() {
        const DRAWN: u64 = 1_000;
        let mut without = Vec::new();
        for seed in 0..DRAWN {
            let case = drawn(seed).expect("a case");
            let built = case.amplifier.circuit().expect("it can be wired so");
            if let Err(why) = DirectPoint::of(&built.circuit) {
                without.push(format!("{}: {why}", case.name));
            }
        }
        assert!(without.len() as u64 <= DRAWN / 100, "{without:#?}");
    }
}
