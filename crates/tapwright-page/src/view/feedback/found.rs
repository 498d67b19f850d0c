//! Backwards: the resistor, or the fixed part and the control, for the decibels wanted.

use maud::{Markup, html};
use tapwright_core::feedback::Found;
use tapwright_units::Unit;

use super::answered;
use super::sentence::signless;
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
                    "For " (signless(wanted)) ": " b { (number::computed(exact, Unit::Ohm)) } ". The nearest of E12 is "
                    b { (ohms(e12.0)) } ", which gives " (signless(e12.1))
                    @if e24.0 != e12.0 { "; of E24 " b { (ohms(e24.0)) } ", " (signless(e24.1)) }
                    "."
                }
                Found::Control { wanted, fixed, control } => {
                    "From " (signless(wanted.0)) " to " (signless(wanted.1)) ": a fixed part of " b { (ohms(fixed.0)) }
                    ", which gives at most " (signless(fixed.1)) ", and a control of " b { (ohms(control.0)) }
                    ", with all of which " (signless(control.1)) " is left."
                }
                Found::OutOfReach { wanted, most, least } => {
                    b { (signless(wanted)) " cannot be had here. " }
                    "From " (signless(least)) " to " (signless(most)) " can."
                }
            }
        }
    }
}
