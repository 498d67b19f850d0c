//! One button for each hookup, with its answer in brief.

use maud::{Markup, html};
use tapwright_core::answer::Answer;
use tapwright_core::judged::Judged;
use tapwright_core::setup::Selection;
use tapwright_iron::transformer::Transformer;

use crate::action::Action;
use crate::view::{Scene, answer};
use crate::words;

pub(super) fn hookups(scene: &Scene) -> Markup {
    let report = scene.report;
    let Some((answer, _, transformer)) = answer::current(scene) else {
        return html! {};
    };
    html! {
        @if report.answers.len() > 1 { (others(scene, transformer, answer)) }
    }
}

fn others(scene: &Scene, transformer: &Transformer, current: &Answer) -> Markup {
    let report = scene.report;
    html! {
        ul .answers {
            @for answer in &report.answers {
                @if let Some(judged) = report.solved.connections.get(answer.connection) {
                    li {
                        button type="button"
                            id={ "hookup-" (answer.hookup + 1) }
                            data-do=(Action::Select(Selection::Hookup(answer.hookup)))
                            aria-pressed=(answer.hookup == current.hookup)
                            .stale[scene.is_stale(answer.hookup)]
                        {
                            b {
                                span class={ "mark " (words::verdict(judged.verdict())) } { (words::mark(judged.verdict())) }
                                " " (words::hookup(scene.good, answer.hookup))
                            }
                            span { (brief(transformer, judged)) }
                            @if let Some(brief) = answer.cautions.first().and_then(words::caution_in_brief) {
                                span .beware { (brief) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn brief(transformer: &Transformer, judged: &Judged) -> String {
    let choice = judged.connection.choice;
    format!(
        "{} · {} · {}",
        transformer
            .leads
            .get(choice.lead)
            .map(words::lead)
            .unwrap_or_default(),
        words::secondary(transformer, choice.secondary),
        words::verdict(judged.verdict())
    )
}
