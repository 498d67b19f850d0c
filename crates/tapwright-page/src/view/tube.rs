//! The leaf of the tube: what it does in the chosen connection.

use maud::{Markup, html};
use tapwright_core::output::{ChosenOutput, SolvedStage};
use tapwright_core::report::Report;

mod charts;
mod delivered;
mod idle;
mod limits;
mod wave;

use super::fold::Fold;
use super::{Region, Scene, View, region};

pub(super) use charts::charts;

const WAVE: Fold = Fold {
    id: "wave",
    title: "Wave and harmonics",
    brief: wave::in_brief,
    content: wave::wave,
};

const FIXED: [(&str, View); 5] = [
    ("stage", delivered::stage),
    ("plates", plates),
    ("idle", idle::idle),
    ("power", power),
    ("limits", limits::limits),
];

/// The stage and the chosen connection, when both were solved.
fn solved(report: &Report) -> Option<(&SolvedStage, &ChosenOutput)> {
    let output = report.solved.followed.as_ref()?.exact()?;
    Some((report.solved.stage()?, output))
}

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let is_solved = solved(scene.report).is_some();
    let mut regions = vec![region("leaf", frame(is_solved))];
    let there = FIXED
        .into_iter()
        .take(if is_solved { FIXED.len() } else { 1 });
    regions.extend(there.map(|(id, view)| region(id, view(scene))));
    if is_solved {
        regions.extend(WAVE.regions(scene));
    }
    regions
}

fn frame(is_solved: bool) -> Markup {
    html! {
        h2 .unseen { "What the tube does there" }
        section #stage aria-label="What the tube does" {}
        @if is_solved {
            div .charts {
                section #plates aria-label="The load line" {}
                section #power aria-label="Power against load" {}
                section #limits aria-label="The limits of the tube" {}
                section #idle aria-label="At idle" {}
            }
            section .folds aria-label="More of the tube" { (WAVE.line()) }
        }
    }
}

fn plates(scene: &Scene) -> Markup {
    stale(scene, scene.drawn("plates"))
}

fn power(scene: &Scene) -> Markup {
    stale(scene, scene.drawn("power"))
}

/// Greyed where it rests on the last good texts.
fn stale(scene: &Scene, content: Markup) -> Markup {
    let followed = scene.report.solved.followed();
    let stale = followed.is_some_and(|chosen| scene.is_stale(chosen.connection.choice.hookup));
    html! { div .stale[stale] { (content) } }
}

/// Numbers by their names under a heading.
fn numbers(title: &str, rows: impl IntoIterator<Item = (String, String)>) -> Markup {
    html! {
        div {
            h3 { (title) }
            table .shares { tbody {
                @for (what, value) in rows {
                    tr { th scope="row" { (what) } td .number { (value) } }
                }
            } }
        }
    }
}
