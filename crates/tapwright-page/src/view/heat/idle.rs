//! What one tube turns into heat at idle: as read, and as it is wanted.

use maud::{Markup, html};
use tapwright_core::idle::{IdleReport, Read};
use tapwright_core::setup::{self, Field, Topology};

mod charts;
mod made;
mod notes;
mod numbers;
mod sentence;
mod wanted;

use crate::view::fold::Fold;
use crate::view::parts::{self, FoldedFields};
use crate::view::working::show;
use crate::view::{Region, Scene, View, region};
use crate::words;

pub(in crate::view) use charts::charts;

const FIXED: [(&str, View); 5] = [
    ("idle-says", sentence::sentence),
    ("idle-notes", notes::notes),
    ("idle-fields", fields),
    ("idle-wanted", wanted::wanted),
    ("idle-readings", readings),
];

/// Fields that are folded away.
const FIELDS: [FoldedFields; 3] = [
    FoldedFields {
        id: "idle-meter",
        title: "What the meter shows",
        fold: setup::Fold::Readings,
    },
    FoldedFields {
        id: "idle-second",
        title: "The other tube’s own readings",
        fold: setup::Fold::SecondTube,
    },
    FoldedFields {
        id: "idle-other",
        title: "A second setting of the resistor",
        fold: setup::Fold::OtherSetting,
    },
];

/// What is folded away, in this order.
const FOLDS: [Fold; 5] = [
    Fold {
        id: "idle-made",
        title: "To make it adjustable",
        brief: made::in_brief,
        content: made::made,
    },
    Fold {
        id: "idle-numbers",
        title: "As read, in numbers",
        brief: numbers::in_brief,
        content: numbers::numbers,
    },
    Fold {
        id: "idle-along",
        title: "Dissipation against the bias",
        brief: |_| html! { "as read, as wanted, the limit" },
        content: |scene| scene.drawn("dissipation"),
    },
    Fold {
        id: "idle-later",
        title: "Another tube in this socket, later",
        brief: |_| html! { "one reading gives its setting" },
        content: made::later,
    },
    Fold {
        id: "idle-workings",
        title: "By hand, with workings",
        brief: count_of_workings,
        content: workings,
    },
];

/// The regions of this part of the leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("heat-idle", frame(answered(scene)))];
    regions.extend(FIXED.map(|(id, view)| region(id, view(scene))));
    let asked = FIELDS.iter().filter(|fields| is_asked_for(fields, scene));
    regions.extend(asked.map(|fields| fields.brief(scene)));
    regions.extend(parts::echoes_of(scene, is_of_this_part));
    if answered(scene).is_some() {
        let folds = FOLDS.iter().filter(|fold| is_there(fold, scene));
        regions.extend(folds.flat_map(|fold| fold.regions(scene)));
    }
    regions
}

/// Whether a field stands here and not among the parts.
pub(super) fn is_of_this_part(field: Field) -> bool {
    matches!(field, Field::Reading(_) | Field::Wanted(_))
}

fn frame(report: Option<&IdleReport>) -> Markup {
    html! {
        h3 { "Idle" }
        section #idle-says aria-label="The idle point in a sentence" {}
        section #idle-notes aria-label="What to beware of at idle" {}
        section #idle-fields aria-label="What is wanted" {}
        section #idle-wanted aria-label="The bias for the dissipation wanted" {}
        section #idle-readings aria-label="Readings" {}
        section .folds aria-label="More of the idle point" {
            @if let Some(report) = report {
                @for fold in FOLDS { @if holds_something(&fold, report) { (fold.line()) } }
            }
        }
    }
}

fn is_there(fold: &Fold, scene: &Scene) -> bool {
    answered(scene).is_some_and(|report| holds_something(fold, report))
}

fn holds_something(fold: &Fold, report: &IdleReport) -> bool {
    match fold.id {
        "idle-made" => made::has_parts(report),
        "idle-numbers" => matches!(report.read, Read::Found(_)),
        "idle-along" => report.along.is_some(),
        "idle-later" => made::has_later(report),
        _ => !report.workings.is_empty(),
    }
}

/// The fields of what is wanted. The texts themselves are put in by the event layer.
fn fields(scene: &Scene) -> Markup {
    html! {
        form .row-of-fields autocomplete="off" { (parts::lines(scene, setup::Fold::Wanted)) }
    }
}

/// The fields of the readings.
fn readings(scene: &Scene) -> Markup {
    html! {
        @for fields in FIELDS.iter().filter(|fields| is_asked_for(fields, scene)) { (fields.line(scene)) }
    }
}

fn is_asked_for(fields: &FoldedFields, scene: &Scene) -> bool {
    fields.fold != setup::Fold::SecondTube || scene.typed.topology == Topology::PushPull
}

/// The idle point, where it could be computed.
fn answered<'a>(scene: &'a Scene) -> Option<&'a IdleReport> {
    scene.idle()?.as_ref().ok()
}

fn count_of_workings(scene: &Scene) -> Markup {
    let count = answered(scene).map_or(0, |report| report.workings.len());
    html! { (words::formulas(count)) }
}

fn workings(scene: &Scene) -> Markup {
    let workings = answered(scene).map_or(&[][..], |report| &report.workings);
    html! {
        @for working in workings {
            (show(&format!("idle-working.{}", working.symbol), working, html! {}))
        }
    }
}
