//! The heaters: what balances them, what their winding carries, and each heater against its
//! cathode.

use maud::{Markup, html};
use tapwright_core::caution::heaters::Told;
use tapwright_core::heaters::HeaterReport;
use tapwright_core::setup::{self, Field};

mod bewares;
mod numbers;
mod sentence;

use crate::view::fold::Fold;
use crate::view::parts::{self, FoldedFields};
use crate::view::working::show;
use crate::view::{Region, Scene, region};

/// Fields that are folded away.
const FIELDS: [FoldedFields; 2] = [
    FoldedFields {
        id: "heaters-typed",
        title: "The heater winding",
        fold: setup::Fold::Heaters,
    },
    FoldedFields {
        id: "heaters-more",
        title: "Raised above ground, lamps, volts as read",
        fold: setup::Fold::MoreOfHeaters,
    },
];

/// What is folded away, in this order.
const FOLDS: [Fold; 3] = [
    Fold {
        id: "heaters-numbers",
        title: "In numbers",
        brief: numbers::in_brief,
        content: |scene| numbers::numbers(&scene.heaters().report),
    },
    Fold {
        id: "heaters-workings",
        title: "By hand, with workings",
        brief: |_| html! { "current, heat, balance, load" },
        content: |scene| workings(&scene.heaters().report),
    },
    Fold {
        id: "heaters-wiring",
        title: "How they are wired",
        brief: |_| html! { "twisted, one way to ground" },
        content: |_| wiring(),
    },
];

/// Whether a field is one of the heaters.
pub(super) fn has(field: Field) -> bool {
    matches!(
        field,
        Field::Heater(_) | Field::HeaterTap | Field::HeatedRectifier
    )
}

/// The regions of this section, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let Told { report, cautions } = scene.heaters();
    let mut regions = vec![
        region("heat-heaters", frame()),
        region("heaters-say", sentence::sentence(scene)),
        region("heaters-fields", fields(scene)),
        region("heaters-bewares", bewares::bewares(report, cautions)),
    ];
    regions.extend(FIELDS.iter().map(|fields| fields.brief(scene)));
    regions.extend(parts::echoes_of(scene, has));
    regions.extend(FOLDS.iter().flat_map(|fold| fold.regions(scene)));
    regions
}

fn frame() -> Markup {
    html! {
        h3 { "Heaters" }
        div #heaters-say {}
        div #heaters-fields {}
        div #heaters-bewares {}
        div .folds { @for fold in FOLDS { (fold.line()) } }
    }
}

/// The texts themselves are put in by the event layer.
fn fields(scene: &Scene) -> Markup {
    html! {
        @for fields in FIELDS { (fields.line(scene)) }
    }
}

/// Each number by its formula.
fn workings(report: &HeaterReport) -> Markup {
    html! {
        @for working in &report.workings {
            (show(&format!("heaters-working.{}", working.symbol), working, html! {}))
        }
    }
}

/// Common practice, no source.
fn wiring() -> Markup {
    html! {
        ul {
            li { "Twist the two heater wires tightly, and lay them in the corner of the chassis, away from grids; bring them to each socket from above, at a right angle to the signal." }
            li { "Feed the output tubes first and the first stage last. No heater current through the chassis: both wires run the whole way." }
            li { "One way to ground and no more: the centre tap, or the two resistors, at the point where the first filter capacitor is grounded." }
        }
        p .source { "Common practice, no source." }
    }
}
