//! Backwards: from the decibels wanted to the resistor, or to the fixed part and the control.

use serde::Serialize;
use tapwright_amplifier::Amplifier;
use tapwright_amplifier::feedback::{decibels, resistor_for, with_ohms};
use tapwright_units::e_series::{E12, E24, ESeries};

use super::Unanswered;
use crate::amplifier::with_resistor;
use crate::solved::Solved;
use crate::values::Wanted;

/// Feedback resistors that are looked through for a number of decibels, Ω.
const RESISTORS: (f64, f64) = (100.0, 10e6);

/// Controls that are sold, Ω. Common practice, no source.
const CONTROLS: [f64; 10] = [
    1e3, 2.2e3, 4.7e3, 10e3, 22e3, 47e3, 100e3, 220e3, 470e3, 1e6,
];

/// The answer to decibels wanted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Found {
    /// This resistor gives them: exactly, the nearest of E12 and of E24 with what it gives.
    Resistor {
        /// The decibels wanted.
        wanted: f64,
        /// Ω.
        ohms: f64,
        /// The nearest of E12 (IEC 60063), Ω, and its decibels.
        e12: (f64, f64),
        /// The nearest of E24, Ω, and its decibels.
        e24: (f64, f64),
    },
    /// A fixed part and a control.
    Control {
        /// From and to, dB.
        wanted: (f64, f64),
        /// The fixed part of E24, Ω, and the most decibels that it leaves.
        fixed: (f64, f64),
        /// The control, Ω, and the least decibels with all of it.
        control: (f64, f64),
    },
    /// It cannot be had: the most and the least that can, dB.
    OutOfReach {
        /// What was wanted, dB.
        wanted: f64,
        /// The most, dB.
        most: f64,
        /// The least, dB.
        least: f64,
    },
}

/// The resistor, or the fixed part and the control, for the decibels wanted.
pub(super) fn found(solved: &Solved, amplifier: &Amplifier) -> Result<Option<Found>, Unanswered> {
    let Some(wanted) = solved.amplifier.wanted else {
        return Ok(None);
    };
    // The answer does not depend on the resistor that is typed.
    let Some(feedback) = with_resistor(solved, RESISTORS.1) else {
        return Ok(None);
    };
    let amplifier = Amplifier {
        feedback: Some(feedback),
        ..amplifier.clone()
    };
    let decibels = |ohms: f64| -> Result<f64, Unanswered> {
        Ok(decibels(&with_ohms(&amplifier, ohms))?.unwrap_or_default())
    };
    let out_of_reach = |wanted: f64| -> Result<Option<Found>, Unanswered> {
        Ok(Some(Found::OutOfReach {
            wanted,
            most: decibels(RESISTORS.0)?,
            least: decibels(RESISTORS.1)?,
        }))
    };
    let nearest = |series: ESeries, ohms: f64| -> Result<(f64, f64), Unanswered> {
        let value = series.nearest(ohms);
        Ok((value, decibels(value)?))
    };
    match wanted {
        Wanted::One(wanted) => match resistor_for(&amplifier, wanted, RESISTORS)? {
            None => out_of_reach(wanted),
            Some(ohms) => Ok(Some(Found::Resistor {
                wanted,
                ohms,
                e12: nearest(E12, ohms)?,
                e24: nearest(E24, ohms)?,
            })),
        },
        Wanted::Range(least, most) => {
            let Some(smallest) = resistor_for(&amplifier, most, RESISTORS)? else {
                return out_of_reach(most);
            };
            let Some(largest) = resistor_for(&amplifier, least, RESISTORS)? else {
                return out_of_reach(least);
            };
            let fixed = nearest(E24, smallest)?;
            let rest = largest - fixed.0;
            // The least control that reaches as far; the largest there is, where none does.
            let control = CONTROLS.into_iter().find(|ohms| *ohms >= 0.98 * rest);
            let control = control.unwrap_or(CONTROLS[CONTROLS.len() - 1]);
            Ok(Some(Found::Control {
                wanted: (least, most),
                fixed,
                control: (control, decibels(fixed.0 + control)?),
            }))
        }
    }
}
