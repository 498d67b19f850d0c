//! What is wrong with the stage, whatever it is connected to.

use maud::{Markup, html};

use crate::view::Scene;
use crate::words;
use crate::words::say::say;

pub(super) fn health(scene: &Scene) -> Markup {
    let report = scene.report;
    let health = &report.solved.health;
    html! {
        @if !health.alarms.is_empty() || !health.notes.is_empty() {
            h3 { "The stage, whatever it is connected to" }
            ul .bewares {
                @for alarm in &health.alarms {
                    li .alarm { (say!("<b>Mend this first:</b> {ailment}", ailment = words::health::ailment(report, alarm))) }
                }
                @for note in &health.notes { li { (words::health::ailment(report, note)) } }
            }
        }
    }
}
