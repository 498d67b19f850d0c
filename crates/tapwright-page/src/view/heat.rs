//! The leaf of the heat: the tube at idle, the heaters, and the supply behind both.

use maud::{Markup, html};
use tapwright_core::setup::Field;

mod heaters;
mod idle;
mod supply;

pub(super) use supply::charts as supply_charts;

use super::{Region, Scene, region};

pub(super) use idle::charts;

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("leaf", frame())];
    regions.extend(idle::regions(scene));
    regions.extend(heaters::regions(scene));
    regions.extend(supply::regions(scene));
    regions
}

/// Whether a field stands on this leaf and not among the parts.
pub(super) fn is_of_this_leaf(field: Field) -> bool {
    idle::is_of_this_part(field) || heaters::has(field)
}

fn frame() -> Markup {
    html! {
        h2 .unseen { "Idle, heaters and supply" }
        section #heat-idle aria-label="The tube at idle" {}
        section #heat-heaters aria-label="The heaters" {}
        section #heat-supply aria-label="The supply" {}
    }
}
