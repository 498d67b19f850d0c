//! One connection in a cell of a grid, and the verdict on it as the ranked list shows it too.

use maud::{Markup, html};
use tapwright_core::judged::Judged;
use tapwright_iron::transformer::Transformer;
use tapwright_units::Unit;

use crate::view::Scene;
use crate::{number, words};

/// Between values in one line: a wide space, at which the line may break.
const APART: &str = "\u{2002}";

/// The cell of a connection; a button that chooses it.
pub(super) fn cell(scene: &Scene, transformer: &Transformer, judged: &Judged) -> Markup {
    let choice = judged.connection.choice;
    let pressed = is_chosen(scene, judged);
    html! {
        td class={ (tint(judged)) @if pressed { " chosen" } } {
            button type="button" id={ "c-" (choice) } data-choose=(choice) aria-pressed=(pressed) {
                i { (transformer.leads.get(choice.lead).map(words::lead).unwrap_or_default()) }
                span class={ "mark " (tint(judged)) } aria-hidden="true" { (mark(judged)) }
                " " b { (words::ohms(judged.connection.load.reflected)) }
                @match &judged.output {
                    Some(output) => {
                        span .gives {
                            (number::computed(output.watts.0, Unit::Watt)) " · " (number::percent_short(output.thd))
                        }
                        span .more {
                            (number::times(judged.connection.ratio)) (APART) (number::decibels_short(output.against_target.0))
                        }
                    }
                    None => {
                        span .gives {
                            (number::times(judged.connection.ratio)) (APART) (number::decibels(judged.connection.mismatch_loss.0))
                        }
                    }
                }
                em { (word(judged)) (words::because(judged)) }
            }
        }
    }
}

fn mark(judged: &Judged) -> &'static str {
    match judged.connection.degenerate {
        Some(_) => "–",
        None => words::mark(judged.verdict()),
    }
}

fn word(judged: &Judged) -> &'static str {
    match judged.connection.degenerate {
        Some(_) => "too few turns",
        None => words::verdict(judged.verdict()),
    }
}

/// A verdict as mark and word, in its tint.
pub(super) fn verdict(judged: &Judged) -> Markup {
    html! { (mark(judged)) " " (word(judged)) }
}

/// The style of a verdict; a degenerate pair has none.
pub(super) fn tint(judged: &Judged) -> &'static str {
    if judged.connection.degenerate.is_some() {
        "none"
    } else {
        words::verdict(judged.verdict())
    }
}

/// Whether the rest of the page follows this connection.
pub(super) fn is_chosen(scene: &Scene, judged: &Judged) -> bool {
    (scene.report.solved.followed())
        .is_some_and(|followed| followed.connection.choice == judged.connection.choice)
}
