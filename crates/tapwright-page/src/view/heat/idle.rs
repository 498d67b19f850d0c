//! What one tube turns into heat at idle.

use maud::{Markup, html};
use tapwright_units::Unit;

use crate::number;
use crate::view::Scene;

pub(super) fn idle(scene: &Scene) -> Markup {
    html! {
        h3 { "Idle" }
        @match scene.report.solved.stage() {
            Some(stage) => p .leaf-answer {
                "At idle the plate of one " (stage.tube.designation.unwrap_or("tube")) " turns "
                b { (number::computed(stage.idle.plate_watts, Unit::Watt)) } " into heat, as computed."
            },
            None => p .reason {
                "Type the output tube and its supply: then the plate’s dissipation at idle stands here."
            },
        }
    }
}
