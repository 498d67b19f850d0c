//! Gain, input, source impedance: without feedback and as it is set.

use maud::{Markup, html};
use tapwright_core::feedback::LoopReport;
use tapwright_core::taken::Taken;
use tapwright_units::Unit;

use super::answered;
use super::sentence::decibels;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn numbers(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    html! {
        h3 { "In numbers, at 1 kHz" }
        (table(report))
        @if let Some(full) = report.at_full_volume.and_then(|full| full.decibels) {
            p {
                (say!(
                    "With the volume at full: <b>{decibels}</b> of feedback, for the control stands inside the loop.",
                    decibels = number::decibels_one_place(full),
                ))
            }
        }
        @if report.now.is_some() && !report.cleaned.is_empty() {
            p .hint {
                "Distortion is that of the output stage, each harmonic divided by 1 + T at its own frequency: an estimate \
                 that holds while nothing is overdriven."
            }
        }
        @if !report.taken.is_empty() { (taken(&report.taken)) }
    }
}

fn table(report: &LoopReport) -> Markup {
    let now = report.now.map(|now| now.headline);
    let ohms = |ohms: f64| number::computed(ohms, Unit::Ohm);
    let rows: Vec<(&str, String, Option<String>)> = vec![
        (
            "gain, input to speaker",
            decibels(report.without.gain),
            now.map(|now| decibels(now.gain)),
        ),
        (
            "source impedance",
            ohms(report.without.source_ohms),
            now.map(|now| ohms(now.source_ohms)),
        ),
        (
            "damping factor",
            number::about(report.rated / report.without.source_ohms, Unit::One),
            now.map(|now| number::about(report.rated / now.source_ohms, Unit::One)),
        ),
    ];
    let volts = |volts: f64| number::computed(volts, Unit::Volt);
    let input = report.input_for_full.map(|[before, after]| {
        (
            "input for full output, rms",
            volts(before),
            now.map(|_| volts(after)),
        )
    });
    let distortion = report.cleaned.iter().map(|at| {
        (
            format!("distortion at {}", number::about(at.watts, Unit::Watt)),
            number::percent_short(at.open),
            now.map(|_| format!("about {}", number::percent_short(at.closed))),
        )
    });
    let rows = rows.into_iter().chain(input);
    let rows = rows.map(|(what, before, after)| (what.to_owned(), before, after));
    html! {
        table .shares {
            thead { tr {
                th scope="col" { "quantity" }
                th scope="col" { "without" }
                @if now.is_some() { th scope="col" { "now" } }
            } }
            tbody {
                @for (what, before, after) in rows.chain(distortion) {
                    tr {
                        th scope="row" { (what) }
                        td .number { (before) }
                        @if let Some(after) = after { td .number { (after) } }
                    }
                }
            }
        }
    }
}

/// What was taken of the driver, each a way to its field.
fn taken(all: &[Taken]) -> Markup {
    let list = html! {
        @for (place, taken) in all.iter().enumerate() {
            @let row = taken.field.row();
            @if place > 0 { " · " }
            button type="button" .plain data-visit=(taken.field) {
                (row.label.to_lowercase()) " "
                @if let Some(range) = row.range() { (number::given(taken.value, range.unit)) }
            }
        }
    };
    html! {
        p .taken { (say!("Taken: {list}. Common practice, no source.", list = list)) }
    }
}
