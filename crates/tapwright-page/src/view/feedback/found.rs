//! Backwards: the resistor, or the fixed part and the control, for the decibels wanted.

use maud::{Markup, html};
use tapwright_core::feedback::Found;
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;

pub(super) fn found(scene: &Scene) -> Markup {
    let Some(found) = answered(scene).and_then(|report| report.found) else {
        return html! {};
    };
    let ohms = |value: f64| number::given(value, Unit::Ohm);
    html! {
        p .standing {
            @match found {
                Found::Resistor { wanted, ohms: exact, e12, e24 } => {
                    "For " (number::decibels_one_place(wanted)) ": " b { (number::computed(exact, Unit::Ohm)) } ". The nearest of E12 is "
                    b { (ohms(e12.0)) } ", which gives " (number::decibels_one_place(e12.1))
                    @if e24.0 != e12.0 { "; of E24 " b { (ohms(e24.0)) } ", " (number::decibels_one_place(e24.1)) }
                    "."
                }
                Found::Control { wanted, fixed, control } => {
                    "From " (number::decibels_one_place(wanted.0)) " to " (number::decibels_one_place(wanted.1)) ": a fixed part of " b { (ohms(fixed.0)) }
                    ", which gives at most " (number::decibels_one_place(fixed.1)) ", and a control of " b { (ohms(control.0)) }
                    ", with all of which " (number::decibels_one_place(control.1)) " is left."
                }
                Found::OutOfReach { wanted, most, least } => {
                    b { (number::decibels_one_place(wanted)) " cannot be had here. " }
                    "From " (number::decibels_one_place(least)) " to " (number::decibels_one_place(most)) " can."
                }
            }
        }
    }
}
