//! What is typed about the iron.

use maud::{Markup, html};
use tapwright_core::setup::{Field, Fold, Marking};

use super::control::{control, lines};
use super::measured;
use crate::view::Scene;

pub(super) fn iron(scene: &Scene) -> Markup {
    html! {
        (control(scene, Field::Marking))
        @match scene.typed.marking {
            Marking::Impedance => (control(scene, Field::Primary)),
            Marking::Line => {
                div .pair {
                    (control(scene, Field::LineVolts))
                    (control(scene, Field::LineTaps))
                }
            }
            Marking::Measured => (measured::form(scene)),
        }
        @if scene.typed.marking != Marking::Measured { (control(scene, Field::Taps)) }
    }
}

/// What the iron loses.
pub(super) fn losses(scene: &Scene) -> Markup {
    lines(scene, Fold::Losses, scene.typed.fields())
}
