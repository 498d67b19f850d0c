//! Backwards: the resistor, or the fixed part and the control, for the decibels wanted.

use maud::{Markup, html};
use tapwright_core::feedback::Found;
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn found(scene: &Scene) -> Markup {
    let Some(found) = answered(scene).and_then(|report| report.found) else {
        return html! {};
    };
    html! {
        p .standing {
            @match found {
                Found::Resistor { wanted, ohms: exact, e12, e24 } => {
                    (say!(
                        "For {decibels}: <b>{ohms}</b>.",
                        decibels = number::decibels_one_place(wanted),
                        ohms = number::computed(exact, Unit::Ohm),
                    ))
                    " " (nearest(e12, e24))
                }
                Found::Control { wanted, fixed, control } => (say!(
                    "From {most} to {least}: a fixed part of <b>{fixed}</b>, which gives at most {at_most}, and a control of \
                     <b>{control}</b>, with all of which {left} is left.",
                    most = number::decibels_one_place(wanted.0),
                    least = number::decibels_one_place(wanted.1),
                    fixed = ohms(fixed.0),
                    at_most = number::decibels_one_place(fixed.1),
                    control = ohms(control.0),
                    left = number::decibels_one_place(control.1),
                )),
                Found::OutOfReach { wanted, most, least } => (say!(
                    "<b>{decibels} cannot be had here.</b> From {least} to {most} can.",
                    decibels = number::decibels_one_place(wanted),
                    least = number::decibels_one_place(least),
                    most = number::decibels_one_place(most),
                )),
            }
        }
    }
}

/// The nearest resistors to be had, each with the decibels that it gives.
fn nearest(e12: (f64, f64), e24: (f64, f64)) -> Markup {
    let decibels = number::decibels_one_place;
    match e24.0 == e12.0 {
        true => say!(
            "The nearest of E12 is <b>{e12}</b>, which gives {by_e12}.",
            e12 = ohms(e12.0),
            by_e12 = decibels(e12.1),
        ),
        false => say!(
            "The nearest of E12 is <b>{e12}</b>, which gives {by_e12}; of E24 <b>{e24}</b>, {by_e24}.",
            e12 = ohms(e12.0),
            by_e12 = decibels(e12.1),
            e24 = ohms(e24.0),
            by_e24 = decibels(e24.1),
        ),
    }
}

fn ohms(ohms: f64) -> String {
    number::given(ohms, Unit::Ohm)
}
