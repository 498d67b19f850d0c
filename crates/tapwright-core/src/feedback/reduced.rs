//! The reduced formulas of the textbook beside the full solution: how a number can be redone by
//! hand, and how near that comes.

use serde::Serialize;
use tapwright_amplifier::feedback::{HEADLINE_HERTZ, Headline, Linear, opened, unloaded};
use tapwright_amplifier::{Amplifier, Bypass, Load};
use tapwright_units::Unit;

use super::{Setting, Unanswered};
use crate::working::{Input, Working};

/// A number by a formula, and by the whole circuit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reduced {
    /// By the formula.
    #[serde(flatten)]
    pub working: Working,
    /// By the whole circuit; `None` for a definition, which is the same by either.
    pub full: Option<f64>,
}

/// Every number that a formula comes near to.
pub(super) fn every(
    amplifier: &Amplifier,
    without: Headline,
    now: Option<Setting>,
    rated: f64,
) -> Result<Vec<Reduced>, Unanswered> {
    // Headlines are for the rated resistance.
    let amplifier = &Amplifier {
        load: Some(Load::rated(rated)),
        ..amplifier.clone()
    };
    let mut all = Vec::new();
    all.extend(driver(amplifier, &Linear::of(&opened(amplifier))?));
    let Some(now) = now else { return Ok(all) };
    let linear = Linear::of(amplifier)?;
    let falls = linear.divided_by(HEADLINE_HERTZ);
    let measured = linear.gain_falls_by(HEADLINE_HERTZ);
    all.push(Reduced {
        full: measured.map(|ratio| 20.0 * ratio.log10()),
        working: Working {
            quantity: "Feedback",
            symbol: "F",
            formula: "20 × log10(N)",
            inputs: vec![number("N", falls, "1 and the loop gain together, modulus")],
            result: 20.0 * falls.log10(),
            unit: Unit::Decibel,
            source: "H. S. Black, Bell System Technical Journal 13, 1934",
            note: "The whole circuit’s number is the gain with the network’s end grounded over that \
                   with it connected.",
        },
    });
    all.push(Reduced {
        full: Some(now.headline.gain),
        working: Working {
            quantity: "Gain with feedback",
            symbol: "A_f",
            formula: "A / N",
            inputs: vec![
                number("A", without.gain, "gain without feedback"),
                number("N", falls, "1 and the loop gain together, modulus"),
            ],
            result: without.gain / falls,
            unit: Unit::One,
            source: "H. S. Black, Bell System Technical Journal 13, 1934",
            note: "What the network itself takes from the jack and adds to the cathode is left out.",
        },
    });
    let open = Linear::of(&unloaded(amplifier))?.divided_by(HEADLINE_HERTZ);
    all.push(Reduced {
        full: Some(now.headline.source_ohms),
        working: Working {
            quantity: "Source impedance with feedback",
            symbol: "Z_f",
            formula: "Z_0 / N_o",
            inputs: vec![
                ohms(
                    "Z_0",
                    without.source_ohms,
                    "source impedance without feedback",
                ),
                number("N_o", open, "1 and the loop gain together, with no speaker"),
            ],
            result: without.source_ohms / open,
            unit: Unit::Ohm,
            source: "R. B. Blackman, Bell System Technical Journal 22, 1943",
            note: "With the jack shorted the loop has no gain.",
        },
    });
    all.push(Reduced {
        full: None,
        working: Working {
            quantity: "Damping factor",
            symbol: "d_f",
            formula: "R / Z",
            inputs: vec![
                ohms("R", rated, "rated impedance of the hookup"),
                ohms("Z", now.headline.source_ohms, "source impedance"),
            ],
            result: rated / now.headline.source_ohms,
            unit: Unit::One,
            source: "definition",
            note: "",
        },
    });
    Ok(all)
}

/// The gain of the first driver: `µ R/(R + r_p + (µ + 1) R_u)`.
fn driver(amplifier: &Amplifier, linear: &Linear) -> Option<Reduced> {
    let driver = amplifier.drivers.first()?;
    let last = amplifier.drivers.len() == 1 && amplifier.splitter.is_none();
    let leak = match last {
        true => amplifier.output.leak_ohms,
        false => driver.volume.map_or(driver.leak_ohms, |volume| volume.ohms),
    };
    let plate = linear.volts_between("v1 plate", "v1 cathode")?;
    let grid = linear.volts_between("v1 grid", "v1 cathode")?;
    let flow = driver.tube.model.flow(plate, 0.0, grid.min(0.0));
    let plate_resistance = 1.0 / flow.plate.by_plate;
    let mu = flow.plate.by_grid * plate_resistance;
    let load = 1.0 / (1.0 / driver.plate_ohms + 1.0 / leak);
    let bare = match driver.bypass {
        Bypass::None => driver.cathode_ohms,
        Bypass::Whole(_) => 0.0,
        Bypass::Partly(_, lower) => lower,
    };
    let full = linear.ratio("v1 plate", "v1 grid", HEADLINE_HERTZ)?.norm();
    Some(Reduced {
        full: Some(full),
        working: Working {
            quantity: "Gain of the driver",
            symbol: "A_1",
            formula: "µ × R / (R + r_p + (µ + 1) × R_u)",
            inputs: vec![
                number("µ", mu, "amplification factor at its point"),
                ohms("R", load, "plate load beside the next grid leak"),
                ohms("r_p", plate_resistance, "plate resistance at its point"),
                ohms("R_u", bare, "cathode resistor that is not bypassed"),
            ],
            result: mu * load / (load + plate_resistance + (mu + 1.0) * bare),
            unit: Unit::One,
            source: "F. Langford-Smith, Radiotron Designer's Handbook, 4th ed., chapter 12; from memory",
            note: "Without feedback; capacitances are left out.",
        },
    })
}

fn number(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    Input {
        symbol,
        value,
        unit: Unit::One,
        meaning,
    }
}

fn ohms(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    Input {
        unit: Unit::Ohm,
        ..number(symbol, value, meaning)
    }
}
