//! Tap by tap: feedback from the tap in use, and from one tap always.

use maud::{Markup, html};
use tapwright_units::Unit;

use super::answered;
use super::sentence::tap;
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

pub(super) fn taps(scene: &Scene) -> Markup {
    let Some(report) = answered(scene).filter(|report| report.by_tap.len() > 1) else {
        return html! {};
    };
    let selected = spread(report.by_tap.iter().map(|at| at.selected));
    let fixed = spread(report.by_tap.iter().map(|at| at.fixed));
    html! {
        h3 { "What the selector does to it" }
        table .shares .decide {
            thead { tr {
                th scope="col" { "selector and speaker" }
                th scope="col" { "taken from the tap in use" }
                th scope="col" { (say!("from the {tap} tap, always", tap = tap(scene, report.fixed_tap))) }
            } }
            tbody {
                @for at in &report.by_tap {
                    tr {
                        th scope="row" {
                            (tap(scene, at.tap)) ", "
                            @match at.hookup {
                                Some(hookup) => (words::hookup(scene.good, hookup)),
                                None => (say!("a load of {ohms}", ohms = number::about(at.ohms, Unit::Ohm))),
                            }
                        }
                        td .number { (number::decibels_one_place(at.selected)) }
                        td .number { (number::decibels_one_place(at.fixed)) }
                    }
                }
            }
        }
        p .hint { (moves(fixed, selected)) }
    }
}

/// How far the feedback moves from a fixed tap and from the tap in use, dB.
fn moves(fixed: f64, selected: f64) -> Markup {
    let selected = number::decibels_one_place(selected);
    match fixed >= 0.05 {
        true => say!(
            "All taps share the core’s flux: a fixed tap keeps the feedback within {fixed}, which the copper makes; from the \
             tap in use it moves by {selected}.",
            fixed = number::decibels_one_place(fixed),
            selected = selected,
        ),
        false => say!(
            "All taps share the core’s flux: a fixed tap keeps the feedback; from the tap in use it moves by {selected}.",
            selected = selected,
        ),
    }
}

fn spread(values: impl Iterator<Item = f64>) -> f64 {
    let start = (f64::INFINITY, f64::NEG_INFINITY);
    let (least, most) = values.fold(start, |(least, most), value| {
        (least.min(value), most.max(value))
    });
    most - least
}
