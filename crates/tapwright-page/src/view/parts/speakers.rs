//! What is typed about a hookup of speakers.

use maud::{Markup, html};
use tapwright_core::setup::{Field, HookupText, List};

use super::control::control;
use crate::action::Action;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn hookup(scene: &Scene, place: usize) -> Markup {
    let number = place + 1;
    let name = Field::Hookup(place, HookupText::Name);
    html! {
        div .hookup role="group" aria-label={ "Hookup " (number) } {
            div .field {
                label for={ "field-" (name) } { (say!("Name of hookup {number}", number = number)) }
                input id={ "field-" (name) } data-field=(name) type="text"
                    placeholder="e.g. Porch 10-inch" autocomplete="off" spellcheck="false" enterkeyhint="next";
            }
            div .pair {
                (control(scene, Field::Hookup(place, HookupText::Speakers)))
                (control(scene, Field::Hookup(place, HookupText::Rating)))
            }
            button type="button" .plain data-do=(Action::Remove(List::Hookup, place)) {
                (say!("Remove hookup {number}", number = number))
            }
        }
    }
}
