//! One connection in a cell of a grid, and the verdict on it as the ranked list shows it too.

use maud::{Markup, html};
use tapwright_core::connection::Connection;
use tapwright_iron::transformer::Transformer;
use tapwright_units::Unit;

use super::Scene;
use crate::{number, words};

/// Between values that stand in one line: wide, and a line may end there.
const APART: &str = "\u{2002}";

/// The cell of a connection; a button that chooses it.
pub(super) fn cell(scene: &Scene, transformer: &Transformer, connection: &Connection) -> Markup {
    let choice = connection.choice;
    let pressed = is_chosen(scene, connection);
    html! {
        td class={ (tint(connection)) @if pressed { " chosen" } } {
            button type="button" id={ "c-" (choice) } data-choose=(choice) aria-pressed=(pressed) {
                i { (transformer.leads.get(choice.lead).map(words::lead).unwrap_or_default()) }
                b { (words::ohms(connection.load.reflected)) }
                (number::times(connection.ratio)) (APART) (number::decibels(connection.mismatch_loss.0))
                @if let Some(output) = &connection.output {
                    span {
                        (number::computed(output.watts.0, Unit::Watt)) (APART)
                        (number::percent_short(output.thd)) (APART)
                        (number::decibels_short(output.against_target.0))
                    }
                }
                em { (verdict(connection)) (words::because(connection)) }
            }
        }
    }
}

/// A verdict as mark and word, in its tint.
pub(super) fn verdict(connection: &Connection) -> Markup {
    html! {
        @if connection.degenerate.is_some() { "– too few turns" }
        @else { (words::mark(connection.verdict)) " " (words::verdict(connection.verdict)) }
    }
}

/// The style of a verdict; a degenerate pair has none.
pub(super) fn tint(connection: &Connection) -> &'static str {
    if connection.degenerate.is_some() {
        "none"
    } else {
        words::verdict(connection.verdict)
    }
}

/// Whether the rest of the page follows this connection.
pub(super) fn is_chosen(scene: &Scene, connection: &Connection) -> bool {
    (scene.report.followed()).is_some_and(|followed| followed.choice == connection.choice)
}
