//! The leaf of connections: every way to connect what is on the bench, and the chosen one in
//! numbers.

use maud::{Markup, html};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::report::Report;

mod cautions;
mod cell;
mod chosen;
mod grid;
mod health;
mod hookups;
mod iron;
mod legend;
mod list;
mod scale;
mod selector;
mod speakers;
mod tools;
mod wiring;

use super::fold::Fold;
use super::{Region, Scene, View, answer, parts, region};
use crate::chart::Chart;

/// What is folded away on a narrow page only, in this order.
static NARROW_FOLDS: [Fold; 5] = [
    Fold {
        id: "wiring",
        title: "Where every lead goes",
        brief: wiring::in_brief,
        content: wiring::wiring,
    },
    Fold {
        id: "numbers",
        title: "Its numbers and workings",
        brief: chosen::numbers_in_brief,
        content: chosen::numbers,
    },
    Fold {
        id: "bewares",
        title: "Beware",
        brief: chosen::bewares_in_brief,
        content: chosen::bewares,
    },
    Fold {
        id: "scale",
        title: "All loads",
        brief: chosen::place_in_brief,
        content: chosen::place,
    },
    Fold {
        id: "shares",
        title: "What each speaker gets",
        brief: chosen::speakers_get_in_brief,
        content: chosen::speakers_get,
    },
];

/// What is folded away, in this order.
static FOLDS: [Fold; 3] = [
    Fold {
        id: "speakers",
        title: "Speakers over frequency",
        brief: speakers::in_brief,
        content: speakers::speakers,
    },
    Fold {
        id: "iron",
        title: "What the iron does",
        brief: iron::in_brief,
        content: iron::iron,
    },
    Fold {
        id: "cautions",
        title: "Before you touch anything",
        brief: cautions::in_brief,
        content: cautions::cautions,
    },
];

/// The regions that stand there with every set-up.
const FIXED: [(&str, View); 11] = [
    ("dangers", parts::dangers),
    ("hookups", hookups::hookups),
    ("beware", answer::beware),
    ("connections", table),
    ("tools", tools::tools),
    ("health", health::health),
    ("legend", legend::legend),
    ("selector", selector::selector),
    ("wiring", wiring::wiring),
    ("chosen", chosen::chosen),
    ("numbers", chosen::numbers),
];

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("leaf", frame(scene))];
    let connected = !scene.report.solved.connections.is_empty();
    let folded = |id: &str| folds(scene).any(|fold| fold.id == id);
    for (id, view) in FIXED {
        let there = connected || !["tools", "health", "legend"].contains(&id);
        if there && !folded(id) {
            regions.push(region(id, view(scene)));
        }
    }
    if connected && scene.typed.shown.list {
        regions.push(region("list", list::list(scene)));
    } else if connected {
        for hookup in scene.hookups_shown() {
            regions.push(region(&grid_id(hookup), grid::grid(scene, hookup)));
        }
    }
    regions.extend(folds(scene).flat_map(|fold| fold.regions(scene)));
    regions
}

/// The charts of this leaf.
pub(super) fn charts(report: &Report) -> Vec<Chart> {
    let mut charts = iron::charts(report);
    charts.extend(speakers::charts(report));
    charts
}

/// What is folded away, in order; all but the last says something of a connection.
fn folds(scene: &Scene) -> impl Iterator<Item = &'static Fold> {
    let connected = scene.report.solved.followed().is_some();
    let narrow = (NARROW_FOLDS.iter()).filter(move |_| connected && !scene.wide);
    let always = FOLDS
        .iter()
        .skip(if connected { 0 } else { FOLDS.len() - 1 });
    narrow.chain(always)
}

fn frame(scene: &Scene) -> Markup {
    html! {
        section #dangers aria-label="Dangerous tests" {}
        nav #hookups aria-label="Hookups" {}
        section #connections aria-label="Every connection" {}
        section #beware aria-label="What to beware of" {}
        section #selector aria-label="What a selector would do" {}
        @if scene.wide { section #wiring aria-label="Where every lead goes" {} }
        section #chosen aria-label="The chosen connection" {}
        @if scene.wide { section #numbers aria-label="The numbers and their workings" {} }
        section .folds aria-label="More of this connection" {
            @for fold in folds(scene) { (fold.line()) }
        }
    }
}

/// What stands around the table.
fn table(scene: &Scene) -> Markup {
    html! {
        h2 .unseen { "Every connection" }
        @if scene.report.solved.connections.is_empty() {
            p .hint { "Once the primary, the taps and a speaker are typed, every way to connect them stands here." }
        } @else {
            div #health .health {}
            div #legend .legend {}
            @if scene.typed.shown.list {
                div #list {}
            } @else {
                div .grids .wide[has_many_leads(scene)] {
                    @for hookup in scene.hookups_shown() { div .grid id=(grid_id(hookup)) {} }
                }
            }
            div #tools .tools {}
        }
    }
}

/// Whether there are more leads than fit side by side in half a page.
fn has_many_leads(scene: &Scene) -> bool {
    let transformer = scene.report.solved.transformer.as_ref();
    transformer.is_some_and(|transformer| transformer.leads.len() > 2)
}

fn grid_id(hookup: &SolvedHookup) -> String {
    format!("grid-{}", hookup.place + 1)
}
