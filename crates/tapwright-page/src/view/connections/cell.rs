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
                b { (words::ohms(judged.connection.load.reflected)) }
                (number::times(judged.connection.ratio))
                @if judged.output.is_none() { (APART) (number::decibels(judged.connection.mismatch_loss.0)) }
                @if let Some(output) = &judged.output {
                    span {
                        (number::computed(output.watts.0, Unit::Watt)) (APART)
                        (number::percent_short(output.thd)) (APART)
                        (number::decibels_short(output.against_target.0))
                    }
                }
                em { (verdict(judged)) (words::because(judged)) }
            }
        }
    }
}

/// A verdict as mark and word, in its tint.
pub(super) fn verdict(judged: &Judged) -> Markup {
    html! {
        @if judged.connection.degenerate.is_some() { "– too few turns" }
        @else { (words::mark(judged.verdict())) " " (words::verdict(judged.verdict())) }
    }
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
