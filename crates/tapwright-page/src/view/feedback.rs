//! The leaf of the feedback: how many decibels, what the selector does to them, what they do to
//! gain, tone and stability.

use maud::{Markup, html};
use tapwright_core::feedback::LoopReport;
use tapwright_core::setup::{self, FeedbackText, Field};
use tapwright_core::values::is_asked;

mod brief;
mod charts;
mod found;
mod numbers;
mod reduced;
mod sentence;
mod stability;
mod taps;
mod wave;

use super::fold::Fold;
use super::parts::{self, FoldedFields};
use super::{Region, Scene, View, region};

pub(super) use charts::charts;

const FIXED: [(&str, View); 5] = [
    ("loop", sentence::sentence),
    ("loop-fields", fields),
    ("loop-taps", taps::taps),
    ("loop-numbers", numbers::numbers),
    ("loop-found", found::found),
];

/// What is seldom there.
const TREBLE: FoldedFields = FoldedFields {
    id: "loop-treble",
    title: "Capacitor across it, presence",
    fold: setup::Fold::FeedbackTreble,
};

/// What is folded away, in this order.
const FOLDS: [Fold; 5] = [
    Fold {
        id: "loop-along",
        title: "The control, end to end",
        brief: brief::along,
        content: |scene| scene.drawn("along"),
    },
    Fold {
        id: "loop-source",
        title: "What the speaker sees",
        brief: brief::source,
        content: |scene| scene.drawn("speaker-sees"),
    },
    Fold {
        id: "loop-around",
        title: "Stable or not",
        brief: stability::least,
        content: |scene| html! { (stability::stability(scene)) (scene.drawn("loop-gain")) },
    },
    Fold {
        id: "loop-wave",
        title: "Distortion, checked with the wave",
        brief: wave::brief,
        content: wave::wave,
    },
    Fold {
        id: "loop-workings",
        title: "By hand, with workings",
        brief: brief::workings,
        content: reduced::workings,
    },
];

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("leaf", frame(answered(scene).is_some()))];
    regions.extend(FIXED.map(|(id, view)| region(id, view(scene))));
    if is_taken(scene) {
        regions.push(TREBLE.brief(scene));
    }
    regions.extend(parts::echoes_of(scene, is_of_this_leaf));
    regions.push(region("chart-at-speaker", scene.drawn("at-speaker")));
    if answered(scene).is_some() {
        regions.extend(FOLDS.iter().flat_map(|fold| fold.regions(scene)));
    }
    regions
}

/// Whether a field stands on this leaf and not among the parts.
pub(super) fn is_of_this_leaf(field: Field) -> bool {
    matches!(field, Field::Feedback(_) | Field::Taper | Field::Polarity)
}

fn frame(is_answered: bool) -> Markup {
    html! {
        h2 .unseen { "What the feedback does" }
        section #loop aria-label="The feedback in a sentence" {}
        section #loop-fields aria-label="The feedback as it is wired" {}
        section #loop-found aria-label="The resistor for the decibels wanted" {}
        div .charts {
            section #loop-taps aria-label="What the selector does to it" {}
            section #chart-at-speaker aria-label="At the speaker" {}
            section #loop-numbers aria-label="In numbers" {}
        }
        section .folds aria-label="More of the feedback" {
            @if is_answered { @for fold in FOLDS { (fold.line()) } }
        }
    }
}

/// The fields of the feedback. The texts themselves are put in by the event layer.
fn fields(scene: &Scene) -> Markup {
    html! {
        form .row-of-fields autocomplete="off" {
            (parts::lines(scene, setup::Fold::Feedback))
        }
        @if is_taken(scene) { (TREBLE.line(scene)) }
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
