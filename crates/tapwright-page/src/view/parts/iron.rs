//! What is typed about the iron.

use maud::{Markup, html};
use tapwright_core::setup::{Field, Fold, Marking};

use super::control::{control, lines};
use super::measured;
use crate::view::Scene;

pub(super) fn iron(scene: &Scene) -> Markup {
    html! {
        fieldset {
            legend { "Iron" }
            (control(scene, Field::Marking))
            @match scene.typed.marking {
                Marking::Impedance => (control(scene, Field::Primary)),
                Marking::Line => {
                    (control(scene, Field::LineVolts))
                    (control(scene, Field::LineTaps))
                }
                Marking::Measured => (measured::form(scene)),
            }
            @if scene.typed.marking != Marking::Measured { (control(scene, Field::Taps)) }
            details data-open="losses" {
                summary {
                    "What the iron loses"
                    span .adds #echo-losses {}
                }
                (lines(scene, Fold::Losses, scene.typed.fields()))
            }
        }
    }
}
