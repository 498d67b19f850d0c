//! Each number by its formula, and how near that comes to the whole circuit.

use maud::{Markup, html};
use tapwright_core::feedback::Reduced;
use tapwright_core::working::Working;
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::view::working::show;
use crate::words::say::say;

pub(super) fn workings(scene: &Scene) -> Markup {
    let Some(report) = answered(scene).filter(|report| !report.reduced.is_empty()) else {
        return html! {};
    };
    html! {
        @for reduced in &report.reduced {
            (show(&format!("loop-working.{}", reduced.working.symbol), &reduced.working, full(reduced)))
        }
    }
}

/// What the whole circuit gives, and how near the formula comes to it.
fn full(reduced: &Reduced) -> Markup {
    let Some(full) = reduced.full else {
        return html! {};
    };
    let Working { result, unit, .. } = reduced.working;
    let apart = match unit {
        Unit::Decibel => number::signed_decibels(result - full),
        _ => number::percent_off(result / full - 1.0),
    };
    html! {
        p .source {
            (say!(
                "The whole circuit gives {full}; the formula is {apart} off.",
                full = number::computed(full, unit),
                apart = apart,
            ))
        }
    }
}
