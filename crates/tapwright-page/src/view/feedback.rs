//! The leaf of the feedback: how many decibels, what the selector does to them, what they do to
//! gain, tone and stability.

use maud::{Markup, html};
use tapwright_core::feedback::LoopReport;
use tapwright_core::setup::{FeedbackText, Field, Fold};
use tapwright_core::values::is_asked;

mod charts;
mod found;
mod numbers;
mod reduced;
mod sentence;
mod stability;
mod taps;

use super::parts;
use super::{Region, Scene, View, region};

pub(super) use charts::charts;

const FIXED: [(&str, View); 7] = [
    ("loop", sentence::sentence),
    ("loop-fields", fields),
    ("loop-taps", taps::taps),
    ("loop-numbers", numbers::numbers),
    ("loop-stability", stability::stability),
    ("loop-found", found::found),
    ("loop-workings", reduced::workings),
];

/// The charts, in the order in which they stand.
const CHARTS: [&str; 4] = ["along", "at-speaker", "speaker-sees", "loop-gain"];

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("leaf", frame())];
    regions.extend(FIXED.map(|(id, view)| region(id, view(scene))));
    regions.extend(parts::echoes_of(scene, is_of_this_leaf));
    regions.extend(CHARTS.map(|id| region(&format!("chart-{id}"), scene.drawn(id))));
    regions
}

/// Whether a field stands on this leaf and not among the parts.
pub(super) fn is_of_this_leaf(field: Field) -> bool {
    matches!(field, Field::Feedback(_) | Field::Taper | Field::Polarity)
}

fn frame() -> Markup {
    html! {
        h2 .unseen { "What the feedback does" }
        section #loop aria-label="The feedback in a sentence" {}
        section #loop-fields aria-label="The feedback as it is wired" {}
        section #loop-found aria-label="The resistor for the decibels wanted" {}
        div .charts {
            section #loop-taps aria-label="What the selector does to it" {}
            section #chart-along aria-label="Along the control" {}
            section #chart-at-speaker aria-label="At the speaker" {}
            section #loop-numbers aria-label="In numbers" {}
            section #loop-stability aria-label="Whether it is stable" {}
            section #chart-loop-gain aria-label="The loop gain" {}
            section #chart-speaker-sees aria-label="The source impedance" {}
            section #loop-workings aria-label="The workings" {}
        }
    }
}

/// The fields of the feedback. The texts themselves are put in by the event layer.
fn fields(scene: &Scene) -> Markup {
    html! {
        form .row-of-fields autocomplete="off" {
            (parts::lines(scene, Fold::Feedback))
        }
    }
}

/// What the feedback does, where it could be computed.
fn answered<'a>(scene: &'a Scene) -> Option<&'a LoopReport> {
    scene.feedback()?.as_ref().ok()
}

/// Whether a field of the feedback is asked for now.
fn is_taken(scene: &Scene) -> bool {
    is_asked(scene.typed, Field::Feedback(FeedbackText::Fixed))
}
