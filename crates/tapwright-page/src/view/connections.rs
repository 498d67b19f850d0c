//! Every connection: a grid for each hookup, or one ranked list.

use maud::{Markup, html};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::judged::{FITS_WITHIN_DECIBELS, USABLE_WITHIN_DECIBELS};
use tapwright_core::matching::{FITS_WITHIN, USABLE_WITHIN, Verdict};
use tapwright_core::target::Target;

use super::{Region, Scene, View, grid, list, region};
use crate::action::{Action, Shape};
use crate::{number, words};

pub(super) fn frame(scene: &Scene) -> Markup {
    let report = scene.report;
    html! {
        h2 { "Every connection" }
        @if report.solved.connections.is_empty() {
            p .hint { "Once the primary, the taps and a speaker are typed, every way to connect them stands here." }
        } @else {
            div #tools .tools {}
            div #health .health {}
            p #legend .legend {}
            @if scene.typed.shown.list {
                div #list {}
            } @else {
                div .grids .wide[has_many_leads(scene)] {
                    @for hookup in scene.hookups_shown() { div .grid id=(grid_id(hookup)) {} }
                }
            }
        }
    }
}

/// Whether there are more leads than fit side by side in half a page.
fn has_many_leads(scene: &Scene) -> bool {
    scene
        .report
        .solved
        .transformer
        .as_ref()
        .is_some_and(|transformer| transformer.leads.len() > 2)
}

/// The ids of the grids that are shown.
pub(super) fn grids(scene: &Scene) -> Vec<String> {
    if scene.report.solved.connections.is_empty() || scene.typed.shown.list {
        return Vec::new();
    }
    scene.hookups_shown().map(grid_id).collect()
}

fn grid_id(hookup: &SolvedHookup) -> String {
    format!("grid-{}", hookup.place + 1)
}

pub(super) fn parts(scene: &Scene, wanted: &dyn Fn(&str) -> bool) -> Vec<Region> {
    if scene.report.solved.connections.is_empty() {
        return Vec::new();
    }
    let views: [(&str, View); 3] = [("tools", tools), ("health", health), ("legend", legend)];
    let mut parts: Vec<Region> = (views.into_iter())
        .filter(|(id, _)| wanted(id))
        .map(|(id, view)| region(id, view(scene)))
        .collect();
    if !scene.typed.shown.list {
        for hookup in scene.hookups_shown() {
            let id = grid_id(hookup);
            if wanted(&id) {
                parts.push(region(&id, grid::grid(scene, hookup)));
            }
        }
    } else if wanted("list") {
        parts.push(region("list", list::list(scene)));
    }
    parts
}

fn tools(scene: &Scene) -> Markup {
    let shown = scene.typed.shown;
    html! {
        div .either role="group" aria-label="How connections are shown" {
            button type="button" #show-grids data-do=(Action::Show(Shape::Grids)) aria-pressed=(!shown.list) { "Grids" }
            button type="button" #show-list data-do=(Action::Show(Shape::List)) aria-pressed=(shown.list) { "Ranked list" }
        }
        @if scene.report.solved.hookups.len() > 1 {
            label {
                span .unseen { "Hookup shown" }
                select #field-only data-field="only" {
                    option value="" { "all hookups" }
                    @for hookup in &scene.report.solved.hookups {
                        option value=(hookup.place + 1) { (words::hookup(scene.good, hookup.place)) }
                    }
                }
            }
        }
    }
}

/// What is wrong with the stage, whatever it is connected to.
fn health(scene: &Scene) -> Markup {
    let report = scene.report;
    let health = &report.solved.health;
    html! {
        @if !health.alarms.is_empty() || !health.notes.is_empty() {
            h3 { "The stage, whatever it is connected to" }
            ul .bewares {
                @for alarm in &health.alarms {
                    li .alarm { b { "Alarm: " } (words::health::ailment(report, alarm)) }
                }
                @for note in &health.notes { li { (words::health::ailment(report, note)) } }
            }
        }
    }
}

/// A round number without a unit.
fn plain(value: f64) -> String {
    number::trimmed_to(value, 2)
}

fn legend(scene: &Scene) -> Markup {
    let against = match scene.report.solved.target {
        Target::AsRated => "the lead’s own rating",
        _ => "the target load",
    };
    let with_stage = scene.report.solved.stage().is_some();
    html! {
        span .fits {
            (words::mark(Verdict::Fits)) " fits: load within a factor of " (plain(FITS_WITHIN)) " of " (against)
            @if with_stage { ", at most " (plain(FITS_WITHIN_DECIBELS)) " dB lost, and no harder on the tube than the target load" }
        }
        span .usable {
            (words::mark(Verdict::Usable)) " usable: load within a factor of " (plain(USABLE_WITHIN))
            @if with_stage { " and at most " (plain(USABLE_WITHIN_DECIBELS)) " dB lost; or somewhat harder on the tube, or much more distortion" }
        }
        span .avoid { (words::mark(Verdict::Avoid)) " avoid: further off" @if with_stage { ", or much harder on the tube" } }
        @match (scene.typed.shown.list, with_stage) {
            (true, true) => span .muted .keys {
                "Power and distortion (THD) are those at full drive; “to target” is that power against the target load."
            },
            (false, true) => span .muted .keys {
                "Each cell: load, how far off; then watts and distortion at full drive, and decibels against the target load."
            },
            (_, false) => span .muted .keys {
                "Each cell: load, how far off, and the loss of a plain source of that resistance. Choose the tube: its watts are another matter."
            },
        }
    }
}
