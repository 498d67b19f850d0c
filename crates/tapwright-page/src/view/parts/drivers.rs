//! Speakers as they are: what is typed or read about each kind that hookups name.

use maud::{Markup, html};
use tapwright_core::setup::{DriverText, Field, Fold, List};

use super::control::{control, lines};
use crate::action::Action;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn drivers(scene: &Scene) -> Markup {
    let count = scene.typed.drivers.len();
    html! {
        @for place in 0..count { (driver(scene, place)) }
        @if count < List::Driver.about().most {
            button type="button" #add-driver data-do=(Action::Add(List::Driver)) { "Describe a speaker" }
        }
        (control(scene, Field::Loads))
        p .echo #echo-loads {}
    }
}

fn driver(scene: &Scene, place: usize) -> Markup {
    let number = place + 1;
    let mut fields = List::Driver.fields(place);
    let values = scene.values.drivers.get(place).and_then(Option::as_ref);
    if values.is_some_and(|driver| driver.in_place_of.is_some()) {
        // Its name is its rating.
        fields.retain(|field| *field != Field::Driver(place, DriverText::Rated));
    }
    html! {
        div .hookup role="group" aria-label=(say!("Speaker {number}", number = number)) data-drop=(number) {
            div .named {
                span .grow { (say!("Speaker {number}", number = number)) }
                button type="button" .plain data-do=(Action::Remove(List::Driver, place))
                    aria-label=(say!("Remove speaker {number}", number = number)) { "Remove" }
            }
            (lines(scene, Fold::Driver, fields.clone()))
            p .echo id={ "echo-known-" (number) } {}
            details data-open={ "thiele-small." (number) } {
                summary {
                    "Thiele–Small"
                    span .adds { "type them: its own resonance and peak" }
                }
                (lines(scene, Fold::ThieleSmall, fields.clone()))
            }
            details data-open={ "measured." (number) } {
                summary {
                    "Measured curve"
                    span .adds { "drop a file here, or type points" }
                }
                label { "From a file" " " input type="file" data-file=(number); }
                (lines(scene, Fold::Curve, fields))
            }
        }
    }
}
