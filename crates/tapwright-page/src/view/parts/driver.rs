//! What is typed about the stages before the output stage.

use maud::{Markup, html};
use tapwright_core::setup::{Field, Fold};

use super::control::{control, lines};
use crate::view::Scene;

pub(super) fn driver(scene: &Scene) -> Markup {
    html! {
        (control(scene, Field::DriverTube))
        (lines(scene, Fold::OwnDriver, scene.typed.fields()))
        @if !scene.typed.amplifier.driver.trim().is_empty() {
            details data-open="driver-stage" {
                summary { "More of the driver" span .adds { "what is not typed is taken from common practice" } }
                (lines(scene, Fold::DriverStage, scene.typed.fields()))
            }
        }
    }
}
