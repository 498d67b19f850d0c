//! How the connections are shown.

use maud::{Markup, html};

use crate::action::{Action, Shape};
use crate::view::Scene;
use crate::words;

pub(super) fn tools(scene: &Scene) -> Markup {
    let shown = scene.typed.shown;
    html! {
        div .either role="group" aria-label="How connections are shown" {
            button type="button" #show-grids data-do=(Action::Show(Shape::Grids)) aria-pressed=(!shown.list) { "Grids" }
            button type="button" #show-list data-do=(Action::Show(Shape::List)) aria-pressed=(shown.list) { "Ranked list" }
        }
        @if scene.wide && scene.report.solved.hookups.len() > 1 {
            label {
                span .unseen { "Hookup shown" }
                select #field-only data-field="only" {
                    option value="" { "all hookups" }
                    @for hookup in &scene.report.solved.hookups {
                        option value=(hookup.place + 1) { (words::hookup(scene.good, hookup.place)) }
                    }
                }
            }
        }
    }
}
