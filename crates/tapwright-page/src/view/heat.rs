//! The leaf of the heat: the tube at idle, the heaters, and the supply behind both.

use maud::{Markup, html};

mod heaters;
mod idle;
mod supply;

use super::{Region, Scene, View, region};

const FIXED: [(&str, View); 3] = [
    ("heat-idle", idle::idle),
    ("heat-heaters", heaters::heaters),
    ("heat-supply", supply::supply),
];

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("leaf", frame())];
    regions.extend(FIXED.map(|(id, view)| region(id, view(scene))));
    regions
}

fn frame() -> Markup {
    html! {
        h2 .unseen { "Idle, heaters and supply" }
        section #heat-idle aria-label="The tube at idle" {}
        section #heat-heaters aria-label="The heaters" {}
        section #heat-supply aria-label="The supply" {}
    }
}
