//! The page as pure functions from a scene to markup: what stands around the leaves, and a
//! folder for each leaf with one file for each of its regions.
//!
//! Markup comes from `maud` templates, which escape what is put into them.

use maud::Markup;
use tapwright_core::setup::Leaf;

mod against;
mod answer;
mod bar;
mod brief;
mod connections;
mod feedback;
mod fold;
mod frame;
mod heat;
mod leaf;
mod name;
mod on_paper;
mod parts;
mod plain;
mod recent;
mod scene;
mod stale;
mod status;
mod tube;
mod working;

pub use bar::MENU;
pub use frame::{frame, progress};
pub use name::{name, title};
pub use on_paper::on_paper;
pub use parts::{hookup_key, incomplete, opens_itself};
pub use plain::plain;
pub use scene::{Notice, Scene};

/// One region of the page: the element with this id holds this markup.
pub struct Region {
    /// Id of the element.
    pub id: String,
    /// What it holds.
    pub markup: Markup,
}

type View = fn(&Scene) -> Markup;

/// The regions around the leaves.
const AROUND: [(&str, View); 10] = [
    ("standing", bar::standing),
    ("acts", bar::acts),
    ("echo-open", bar::no_link),
    ("warning", bar::warning),
    ("notices", bar::notices),
    ("answer", answer::answer),
    ("status", status::status),
    ("recent", recent::recent),
    ("against", against::against),
    ("leaves", leaf::row),
];

/// The regions of the page, outer ones before those inside them.
pub struct Regions {
    /// What follows a letter at once: what stands around the leaves, and the parts.
    pub first: Vec<Region>,
    /// The leaf beside the parts, or in their place.
    pub leaf: Vec<Region>,
}

/// Every region that is in sight.
pub fn regions(scene: &Scene) -> Regions {
    let around = AROUND.into_iter();
    let mut first: Vec<Region> = around.map(|(id, view)| region(id, view(scene))).collect();
    let [parts, leaf] = leaf::in_sight(scene);
    first.extend(parts);
    Regions { first, leaf }
}

/// Every region of a leaf, in sight or not.
pub fn leaf(scene: &Scene, leaf: Leaf) -> Vec<Region> {
    leaf::of(scene, leaf)
}

/// The answer in two lines, as a text; empty while there is none.
pub fn in_brief(scene: &Scene) -> String {
    answer::in_brief(scene).map_or_else(String::new, |brief| plain(&brief.0))
}

fn region(id: &str, markup: Markup) -> Region {
    Region {
        id: id.into(),
        markup,
    }
}
