//! The leaf of parts: what is typed about stage, iron and speakers. The texts themselves are put in by the event
//! layer, so that this markup changes only when a field comes or goes.

use maud::{Markup, html};
use tapwright_core::setup::{Field, Fold, HookupText, List};

mod control;
mod driver;
mod drivers;
mod echo;
mod iron;
mod measured;
mod stage;

pub(super) use echo::{
    dangers, echoes_of, iron_fields, is_dangerous, measured_fields, next_reading, stage_fields,
};
pub use measured::opens_itself;

use crate::action::Action;
use crate::view::{Region, Scene, region};
use control::control;

/// The lines of a fold that stands on a leaf of its own.
pub(super) fn lines(scene: &Scene, fold: Fold) -> Markup {
    control::lines(scene, fold, scene.typed.fields())
}

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("parts", form(scene))];
    regions.extend(echo::echoes(scene));
    regions
}

fn form(scene: &Scene) -> Markup {
    html! {
        (stage::stage(scene))
        (driver::driver(scene))
        (iron::iron(scene))
        (speakers(scene))
    }
}

fn speakers(scene: &Scene) -> Markup {
    html! {
        fieldset {
            legend { "Speakers" }
            @for place in 0..scene.typed.hookups.len() {
                (hookup(scene, place))
            }
            button type="button" #add-hookup data-do=(Action::Add(List::Hookup)) { "Add a hookup" }
            (drivers::drivers(scene))
        }
    }
}

fn hookup(scene: &Scene, place: usize) -> Markup {
    let number = place + 1;
    let name = Field::Hookup(place, HookupText::Name);
    html! {
        div .hookup role="group" aria-label={ "Hookup " (number) } {
            div .field.named {
                label .unseen for={ "field-" (name) } { "Name of hookup " (number) }
                input .quiet id={ "field-" (name) } data-field=(name) type="text"
                    placeholder={ "Hookup " (number) } autocomplete="off" spellcheck="false" enterkeyhint="next";
                button type="button" .plain data-do=(Action::Remove(List::Hookup, place))
                    aria-label={ "Remove hookup " (number) } { "Remove" }
            }
            (control(scene, Field::Hookup(place, HookupText::Speakers)))
            details data-open={ "rating." (number) } {
                summary {
                    "Power rating"
                    span .adds id={ "echo-rating-" (number) } {}
                }
                (control(scene, Field::Hookup(place, HookupText::Rating)))
            }
        }
    }
}
