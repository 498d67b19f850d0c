//! The estimate of the distortion, held against the circuit's own wave.

use maud::{Markup, html};
use tapwright_core::feedback::{Cleaned, LoopReport, ThroughTime};
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

/// The estimate and the wave part where one is more than so many times the other.
const APART: f64 = 1.5;

pub(super) fn brief(scene: &Scene) -> Markup {
    html! {
        @if answered(scene).is_some_and(|report| !report.cleaned.is_empty()) {
            "open it to compute one period"
        } @else {
            "nothing to check yet"
        }
    }
}

pub(super) fn wave(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    match scene.through_time() {
        None => html! {},
        Some(Err(why)) => {
            html! { p .reason { (say!("The wave cannot be computed: {why}.", why = why)) } }
        }
        Some(Ok(waves)) => table(report, waves),
    }
}

fn table(report: &LoopReport, waves: &[ThroughTime]) -> Markup {
    let both = || report.cleaned.iter().zip(waves);
    let estimate = |at: &Cleaned| match report.now {
        Some(_) => at.closed,
        None => at.open,
    };
    let parts = both().any(|(at, wave)| {
        let ratio = wave.distortion.map(|wave| wave / estimate(at));
        ratio.is_some_and(|ratio| !(1.0 / APART..=APART).contains(&ratio))
    });
    let cannot = waves.iter().any(|wave| wave.distortion.is_none());
    html! {
        table .shares {
            thead { tr {
                th scope="col" { "output" }
                th scope="col" { "estimate" }
                th scope="col" { "by the wave" }
            } }
            tbody {
                @for (at, wave) in both() {
                    tr {
                        th scope="row" { (number::about(at.watts, Unit::Watt)) }
                        td .number { (number::percent_short(estimate(at))) }
                        td .number { (wave.distortion.map_or("not reached".into(), number::percent_short)) }
                    }
                }
            }
        }
        p .hint {
            "The estimate counts the output stage alone. The wave is that of the whole circuit at 1 kHz, drivers and their \
             curvature included, into the rated resistance."
            @if parts {
                " "
                "Here they part: the driver distorts too, or the stage is near its limits, or a pair in class AB has no one \
                 loop gain. Trust the wave."
            } @else if !cannot {
                " " "Here they agree."
            }
            @if cannot { " " "Where it is not reached, the drivers or the stage clip before it." }
        }
    }
}
