//! The leaves of the page, and which regions each of them has.

use maud::{Markup, html};
use strum::VariantArray;
use tapwright_core::setup::Leaf;

use super::{Region, Scene, connections, feedback, heat, parts, region, tube};
use crate::action::Action;

/// What a leaf is called.
fn name(leaf: Leaf) -> &'static str {
    match leaf {
        Leaf::Parts => "Parts",
        Leaf::Connections => "Connections",
        Leaf::Tube => "Tube",
        Leaf::Feedback => "Feedback",
        Leaf::Heat => "Heat",
    }
}

/// The row of leaves, the one in sight marked. On a wide page the parts are always in sight.
pub(super) fn row(scene: &Scene) -> Markup {
    let leaves = Leaf::VARIANTS.iter().copied();
    let there = leaves.filter(|leaf| !(scene.wide && *leaf == Leaf::Parts));
    html! {
        @for leaf in there {
            @let here = leaf == scene.leaf();
            button type="button" id={ "leaf-" (<&str>::from(leaf)) } data-do=(Action::Turn(leaf))
                aria-current=[here.then_some("page")] { (name(leaf)) }
        }
    }
}

/// The regions of the leaves in sight, outer ones before those inside them: the parts, and
/// what stands beside them or in their place. What is out of sight is empty.
pub(super) fn in_sight(scene: &Scene) -> [Vec<Region>; 2] {
    let empty = |id| vec![region(id, html! {})];
    match (scene.wide, scene.leaf()) {
        (true, leaf) => [of(scene, Leaf::Parts), of(scene, leaf)],
        (false, Leaf::Parts) => [of(scene, Leaf::Parts), empty("leaf")],
        (false, leaf) => [empty("parts"), of(scene, leaf)],
    }
}

/// The regions of a leaf.
pub(super) fn of(scene: &Scene, leaf: Leaf) -> Vec<Region> {
    match leaf {
        Leaf::Parts => parts::regions(scene),
        Leaf::Connections => connections::regions(scene),
        Leaf::Tube => tube::regions(scene),
        Leaf::Feedback => feedback::regions(scene),
        Leaf::Heat => heat::regions(scene),
    }
}
