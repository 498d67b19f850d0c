//! What is typed about the power supply.

use maud::{Markup, html};
use tapwright_core::setup::{Fold, List};

use super::control::lines;
use crate::action::Action;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn supply(scene: &Scene) -> Markup {
    let count = scene.typed.power_supply.filter.len();
    html! {
        (lines(scene, Fold::Mains, scene.typed.fields()))
        (lines(scene, Fold::Rectifier, scene.typed.fields()))
        @for place in 0..count { (section(scene, place)) }
        @if count < List::Section.about().most {
            button type="button" #add-section data-do=(Action::Add(List::Section)) {
                "Add a resistor or choke, and a capacitor"
            }
        }
    }
}

fn section(scene: &Scene, place: usize) -> Markup {
    let number = place + 1;
    html! {
        div .point role="group" aria-label=(say!("Section {number} of the supply", number = number)) {
            div .named {
                span .grow { (say!("Section {number}", number = number)) }
                button type="button" .plain data-do=(Action::Remove(List::Section, place))
                    aria-label=(say!("Remove section {number}", number = number)) { "Remove" }
            }
            (lines(scene, Fold::Section, List::Section.fields(place)))
        }
    }
}
