//! A against now: what is pinned beside what is here, in numbers.

use maud::{Markup, html};
use tapwright_core::report::Report;
use tapwright_core::setup::Leaf;
use tapwright_units::Unit;

use super::Scene;
use crate::action::Action;
use crate::number;

/// One number of both.
struct Row {
    what: &'static str,
    a: Option<String>,
    now: Option<String>,
    difference: Option<String>,
}

pub(super) fn against(scene: &Scene) -> Markup {
    let Some(pinned) = scene.pinned else {
        return html! {};
    };
    let rows = rows(scene, &pinned.report);
    html! {
        details .against data-open="against" {
            summary {
                b { "A is pinned" @if !pinned.setup.name.is_empty() { ": " (pinned.setup.name) } }
                @for row in rows.iter().take(IN_BRIEF) {
                    span .says { (row.what) " " (or_dash(&row.a)) " → " (or_dash(&row.now)) }
                }
            }
            table .shares {
                caption .unseen { "A against now" }
                thead { tr {
                    th scope="col" { "quantity" }
                    th scope="col" { "A" }
                    th scope="col" { "now" }
                    th scope="col" { "difference" }
                } }
                tbody {
                    @for row in &rows {
                        tr {
                            th scope="row" { (row.what) }
                            td .number { (or_dash(&row.a)) }
                            td .number { (or_dash(&row.now)) }
                            td .number { (row.difference.as_deref().unwrap_or_default()) }
                        }
                    }
                }
            }
            div .acts {
                button type="button" data-do=(Action::TakeBack) { "Go back to A" }
                button type="button" data-do=(Action::Swap) { "Swap" }
                button type="button" data-do=(Action::Unpin) { "Unpin" }
            }
        }
    }
}

/// What is compared in the line that stands while the table is folded.
const IN_BRIEF: usize = 2;

fn or_dash(number: &Option<String>) -> &str {
    number.as_deref().unwrap_or("–")
}

/// What is compared, what the leaf in sight is about first.
fn rows(scene: &Scene, pinned: &Report) -> Vec<Row> {
    let both = [pinned, scene.report];
    let mut rows = match scene.leaf() {
        Leaf::Feedback => of_the_feedback(scene),
        Leaf::Heat => of_the_supply(scene),
        _ => Vec::new(),
    };
    rows.extend([
        row(
            "watts at full drive",
            both.map(watts),
            |watts| number::computed(watts, Unit::Watt),
            decibels,
        ),
        row(
            "reflected load",
            both.map(load),
            |ohms| number::computed(ohms, Unit::Ohm),
            ratio,
        ),
        row(
            "distortion",
            both.map(distortion),
            number::percent_short,
            points,
        ),
        row(
            "plate at idle",
            both.map(plate),
            |watts| number::computed(watts, Unit::Watt),
            ratio,
        ),
    ]);
    rows.retain(|row| row.a.is_some() || row.now.is_some());
    rows
}

fn of_the_feedback(scene: &Scene) -> Vec<Row> {
    let here = scene.feedback().and_then(|looped| looped.as_ref().ok());
    let there = scene
        .pinned_feedback()
        .and_then(|looped| looped.as_ref().ok());
    let both = [there, here];
    let feedback = both.map(|looped| looped?.now?.headline.decibels);
    let source = both.map(|looped| {
        let looped = looped?;
        let now = looped.now.map_or(looped.without, |now| now.headline);
        Some(now.source_ohms)
    });
    vec![
        row(
            "feedback",
            feedback,
            number::decibels_one_place,
            |a, now| number::decibels_short(now - a),
        ),
        row(
            "source impedance",
            source,
            |ohms| number::computed(ohms, Unit::Ohm),
            ratio,
        ),
    ]
}

fn of_the_supply(scene: &Scene) -> Vec<Row> {
    let here = scene.supply().and_then(|supply| supply.as_ref().ok());
    let there = (scene.pinned_supply()).and_then(|supply| supply.as_ref().ok());
    let both = [there, here];
    let volts = |volts| number::computed(volts, Unit::Volt);
    vec![
        row(
            "B+, computed",
            both.map(|one| Some(one?.volts)),
            volts,
            ratio,
        ),
        row(
            "ripple at the first capacitor",
            both.map(|one| Some(one?.nodes.first()?.ripple)),
            volts,
            ratio,
        ),
    ]
}

fn row(
    what: &'static str,
    [a, now]: [Option<f64>; 2],
    say: impl Fn(f64) -> String,
    difference: impl Fn(f64, f64) -> String,
) -> Row {
    Row {
        what,
        difference: a.zip(now).map(|(a, now)| difference(a, now)),
        a: a.map(&say),
        now: now.map(&say),
    }
}

fn load(report: &Report) -> Option<f64> {
    Some(report.solved.followed()?.connection.load.reflected.0)
}

fn watts(report: &Report) -> Option<f64> {
    Some(report.solved.followed()?.output?.watts.0)
}

fn distortion(report: &Report) -> Option<f64> {
    Some(report.solved.followed()?.output?.thd)
}

fn plate(report: &Report) -> Option<f64> {
    Some(report.solved.stage()?.idle.plate_watts)
}

fn ratio(a: f64, now: f64) -> String {
    number::times(now / a)
}

fn decibels(a: f64, now: f64) -> String {
    number::decibels_short(10.0 * (now / a).log10())
}

/// A difference of two percentages, in points of a percent.
fn points(a: f64, now: f64) -> String {
    number::percent_points(100.0 * (now - a))
}
