//! The page as pure functions from a scene to markup, one file for each region.
//!
//! Markup comes from `maud` templates, which escape what is put into them.

use maud::Markup;

mod answer;
mod bar;
mod cautions;
mod cell;
mod chosen;
mod connections;
mod echo;
mod form;
mod frame;
mod grid;
mod iron;
mod list;
mod name;
mod scale;
mod scene;
mod selector;
mod speakers;
mod stage;
mod stale;
mod wiring;

pub use form::opens_itself;
pub use frame::{frame, progress};
pub use name::{name, title};
pub use scene::{Notice, Scene};

/// One region of the page: the element with this id holds this markup.
pub struct Region {
    /// Id of the element.
    pub id: String,
    /// What it holds.
    pub markup: Markup,
}

/// How the ids of the regions inside a region start.
pub fn inside(id: &str) -> &'static [&'static str] {
    match id {
        "form" => &["echo-"],
        "connections" => &["grid-", "list", "tools", "legend"],
        _ => &[],
    }
}

/// The regions below the connections, from the top down.
const CAN_WAIT: [&str; 8] = [
    "selector", "wiring", "chosen", "stage", "speakers", "iron", "numbers", "cautions",
];

/// Whether a region off the screen may be repainted a moment after the rest.
pub fn can_wait(id: &str) -> bool {
    id.starts_with("grid-") || CAN_WAIT.contains(&id)
}

/// Whether a region is repainted part by part where no more than parts changed.
pub fn comes_in_parts(id: &str) -> bool {
    id.starts_with("grid-") || id == "hookups"
}

/// The regions that can wait, from the top down.
pub fn waiting(scene: &Scene) -> Vec<String> {
    let mut ids = connections::grids(scene);
    ids.extend(CAN_WAIT.map(String::from));
    ids
}

type View = fn(&Scene) -> Markup;

/// The regions that are always there, outer ones before those inside them.
const FIXED: [(&str, View); 16] = [
    ("standing", bar::standing),
    ("acts", bar::acts),
    ("notices", bar::notices),
    ("hookups", answer::hookups),
    ("answer", answer::answer),
    ("beware", answer::beware),
    ("form", form::form),
    ("connections", connections::frame),
    ("selector", selector::selector),
    ("wiring", wiring::wiring),
    ("chosen", chosen::chosen),
    ("stage", stage::stage),
    ("speakers", speakers::speakers),
    ("iron", iron::iron),
    ("numbers", chosen::numbers),
    ("cautions", cautions::cautions),
];

/// Every region whose id is `wanted`, outer ones before those inside them. The others are not
/// drawn at all.
pub fn regions(scene: &Scene, wanted: &dyn Fn(&str) -> bool) -> Vec<Region> {
    let fixed = FIXED.into_iter().filter(|(id, _)| wanted(id));
    let mut regions: Vec<Region> = fixed.map(|(id, view)| region(id, view(scene))).collect();
    regions.extend(echo::echoes(scene, wanted));
    regions.extend(connections::parts(scene, wanted));
    regions
}

fn region(id: &str, markup: Markup) -> Region {
    Region {
        id: id.into(),
        markup,
    }
}
