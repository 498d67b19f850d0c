//! The ranked list: every connection in one table that sorts by what matters.

use std::cmp::Ordering;

use maud::{Markup, html};
use tapwright_core::connection::Connection;
use tapwright_core::output::Output;
use tapwright_core::setup::SortBy;
use tapwright_units::Unit;

use super::cell::{is_chosen, tint, verdict};
use super::{Scene, answer};
use crate::{number, words};

/// As many rows as one looks through; the rest is one button away.
const FIRST_ROWS: usize = 24;

pub(super) fn list(scene: &Scene) -> Markup {
    let Some(transformer) = &scene.report.transformer else {
        return html! {};
    };
    let places: Vec<usize> = scene.hookups_shown().map(|hookup| hookup.place).collect();
    let mut rows: Vec<&Connection> = (scene.report.connections.iter())
        .filter(|connection| places.contains(&connection.choice.hookup))
        .collect();
    rows.sort_by(|a, b| order(scene.typed.shown.sort, a, b));
    let with_stage = matches!(scene.report.stage, Some(Ok(_)));
    let all = scene.is_open("all-rows");
    let cut = if all {
        rows.len()
    } else {
        FIRST_ROWS.min(rows.len())
    };
    html! {
        table .ranked {
            thead { tr {
                (heading(scene, SortBy::Rank, "Rank"))
                (heading(scene, SortBy::Hookup, "Hookup"))
                th scope="col" { "Connection" }
                (heading(scene, SortBy::Load, "Reflected load"))
                (heading(scene, SortBy::Ratio, "Against target"))
                (heading(scene, SortBy::Loss, "Mismatch loss"))
                @if with_stage {
                    (heading(scene, SortBy::Watts, "Power"))
                    th scope="col" { "To target" }
                    (heading(scene, SortBy::Distortion, "THD"))
                }
                th scope="col" { "Verdict" }
            } }
            tbody {
                @for connection in &rows[..cut] {
                    @let choice = connection.choice;
                    tr .chosen[is_chosen(scene, connection)] .stale[scene.is_stale(&answer::fields(scene, choice.hookup))] {
                        td .rank { (connection.rank) }
                        td .of { (words::hookup(scene.good, choice.hookup)) }
                        td .what {
                            button type="button" .plain id={ "c-" (choice) } data-choose=(choice) aria-pressed=(is_chosen(scene, connection)) {
                                (words::connection(transformer, connection))
                            }
                        }
                        td .number data-name="load" { (words::ohms(connection.load.reflected)) }
                        td .number data-name="against target" { (number::times_aligned(connection.ratio)) }
                        td .number data-name="mismatch" { (number::decibels(connection.mismatch_loss.0)) }
                        @if with_stage {
                            @match &connection.output {
                                Some(output) => {
                                    td .number data-name="power" { (number::computed(output.watts.0, Unit::Watt)) }
                                    td .number data-name="to target" { (number::signed_decibels(output.against_target.0)) }
                                    td .number data-name="THD" { (number::percent_short(output.thd)) }
                                }
                                None => { td .number { "not solved" } td {} td {} }
                            }
                        }
                        td class=(tint(connection)) { (verdict(connection)) (words::because(connection)) }
                    }
                }
            }
        }
        p .hint { "Ranks count within each hookup." }
        @if cut < rows.len() {
            button type="button" #all-rows data-do="fold.all-rows" { "Show all " (rows.len()) " connections" }
        }
    }
}

fn heading(scene: &Scene, by: SortBy, words: &str) -> Markup {
    let sorted = scene.typed.shown.sort == by;
    html! {
        th scope="col" aria-sort=(if sorted { "ascending" } else { "none" }) {
            button type="button" .plain id={ "sort-" (by.word()) } data-do={ "sort." (by.word()) } {
                (words) @if sorted { " ↑" }
            }
        }
    }
}

fn order(by: SortBy, a: &Connection, b: &Connection) -> Ordering {
    let recommended = || {
        (a.rank, a.choice.hookup)
            .cmp(&(b.rank, b.choice.hookup))
            .then(a.choice.cmp(&b.choice))
    };
    match by {
        SortBy::Rank => Ordering::Equal,
        SortBy::Hookup => a.choice.hookup.cmp(&b.choice.hookup),
        SortBy::Load => a.load.reflected.0.total_cmp(&b.load.reflected.0),
        SortBy::Ratio => a.ratio.total_cmp(&b.ratio),
        SortBy::Loss => a.mismatch_loss.0.total_cmp(&b.mismatch_loss.0),
        SortBy::Watts => by_output(a, b, |output| -output.watts.0),
        SortBy::Distortion => by_output(a, b, |output| output.thd),
    }
    .then_with(recommended)
}

/// Those without an output come last.
fn by_output(a: &Connection, b: &Connection, key: fn(&Output) -> f64) -> Ordering {
    let key = |c: &Connection| c.output.as_ref().map_or(f64::INFINITY, key);
    key(a).total_cmp(&key(b))
}
