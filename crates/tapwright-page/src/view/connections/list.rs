//! The ranked list: every connection in one table that sorts by what matters.

use std::cmp::Ordering;

use maud::{Markup, html};
use tapwright_core::judged::Judged;
use tapwright_core::output::Output;
use tapwright_core::setup::SortBy;
use tapwright_units::Unit;

use super::cell::{is_chosen, tint, verdict};
use crate::action::Action;
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

/// As many rows as a person looks through. A button shows the rest.
const FIRST_ROWS: usize = 24;

pub(super) fn list(scene: &Scene) -> Markup {
    let Some(transformer) = &scene.report.solved.transformer else {
        return html! {};
    };
    let places: Vec<usize> = scene.hookups_shown().map(|hookup| hookup.place).collect();
    let mut rows: Vec<&Judged> = (scene.report.solved.connections.iter())
        .filter(|judged| places.contains(&judged.connection.choice.hookup))
        .collect();
    rows.sort_by(|a, b| order(scene.typed.shown.sort, a, b));
    // A rank counts within its hookup: beside those of others it would say nothing.
    let is_one = places.len() == 1;
    let with_stage = scene.report.solved.stage().is_some();
    let all = scene.is_open("all-rows");
    let cut = if all {
        rows.len()
    } else {
        FIRST_ROWS.min(rows.len())
    };
    html! {
        table .ranked {
            thead { tr {
                @if is_one { (heading(scene, SortBy::Rank, "Rank")) }
                @else { (heading(scene, SortBy::Hookup, "Hookup")) }
                th scope="col" { "Connection" }
                (heading(scene, SortBy::Load, "Reflected load"))
                (heading(scene, SortBy::Ratio, "Against target"))
                (heading(scene, SortBy::Loss, "Mismatch loss"))
                @if with_stage {
                    (heading(scene, SortBy::Watts, "Power"))
                    th scope="col" { "To target" }
                    (heading(scene, SortBy::Distortion, "THD"))
                }
                @if is_one { th scope="col" { "Verdict" } }
                @else { (heading(scene, SortBy::Rank, "Verdict")) }
            } }
            tbody {
                @for judged in &rows[..cut] {
                    @let choice = judged.connection.choice;
                    tr .chosen[is_chosen(scene, judged)] .stale[scene.is_stale(choice.hookup)] {
                        @if is_one { td .rank { (judged.rank) } }
                        @else { td .of { (words::hookup(scene.good, choice.hookup)) } }
                        td .what {
                            button type="button" .plain id={ "c-" (choice) } data-choose=(choice) aria-pressed=(is_chosen(scene, judged)) {
                                (words::connection(transformer, judged))
                            }
                        }
                        td .number data-name="load" { (words::ohms(judged.connection.load.reflected)) }
                        td .number data-name="against target" { (number::times_aligned(judged.connection.ratio)) }
                        td .number data-name="mismatch" { (number::decibels(judged.connection.mismatch_loss.0)) }
                        @if with_stage {
                            @match &judged.output {
                                Some(output) => {
                                    td .number data-name="power" { (number::computed(output.watts.0, Unit::Watt)) }
                                    td .number data-name="to target" { (number::signed_decibels(output.against_target.0)) }
                                    td .number data-name="THD" { (number::percent_short(output.thd)) }
                                }
                                None => { td .number { "not solved" } td {} td {} }
                            }
                        }
                        td class=(tint(judged)) { (verdict(judged)) (words::because(judged)) }
                    }
                }
            }
        }
        @if cut < rows.len() {
            button type="button" #all-rows data-do=(Action::Fold("all-rows".into())) {
                (say!("Show all {count} connections", count = rows.len()))
            }
        }
    }
}

fn heading(scene: &Scene, by: SortBy, words: &str) -> Markup {
    let sorted = scene.typed.shown.sort == by;
    html! {
        th scope="col" aria-sort=(if sorted { "ascending" } else { "none" }) {
            button type="button" .plain id={ "sort-" (<&str>::from(by)) } data-do=(Action::Sort(by)) {
                (words) @if sorted { " ↑" }
            }
        }
    }
}

fn order(by: SortBy, a: &Judged, b: &Judged) -> Ordering {
    let recommended = || {
        (a.rank, a.connection.choice.hookup)
            .cmp(&(b.rank, b.connection.choice.hookup))
            .then(a.connection.choice.cmp(&b.connection.choice))
    };
    match by {
        SortBy::Rank => a.verdict().cmp(&b.verdict()),
        SortBy::Hookup => a.connection.choice.hookup.cmp(&b.connection.choice.hookup),
        SortBy::Load => a
            .connection
            .load
            .reflected
            .0
            .total_cmp(&b.connection.load.reflected.0),
        SortBy::Ratio => a.connection.ratio.total_cmp(&b.connection.ratio),
        SortBy::Loss => a
            .connection
            .mismatch_loss
            .0
            .total_cmp(&b.connection.mismatch_loss.0),
        SortBy::Watts => by_output(a, b, |output| -output.watts.0),
        SortBy::Distortion => by_output(a, b, |output| output.thd),
    }
    .then_with(recommended)
}

/// Those without an output come last.
fn by_output(a: &Judged, b: &Judged, key: fn(&Output) -> f64) -> Ordering {
    let key = |c: &Judged| c.output.as_ref().map_or(f64::INFINITY, key);
    key(a).total_cmp(&key(b))
}
