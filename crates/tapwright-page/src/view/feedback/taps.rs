//! Tap by tap: feedback from the tap in use, and from one tap always.

use maud::{Markup, html};
use tapwright_units::Unit;

use super::answered;
use super::sentence::tap;
use crate::view::Scene;
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
                th scope="col" { "from the " (tap(scene, report.fixed_tap)) " tap, always" }
            } }
            tbody {
                @for at in &report.by_tap {
                    tr {
                        th scope="row" {
                            (tap(scene, at.tap)) ", "
                            @match at.hookup {
                                Some(hookup) => (words::hookup(scene.good, hookup)),
                                None => { "a load of " (number::about(at.ohms, Unit::Ohm)) }
                            }
                        }
                        td .number { (number::decibels_one_place(at.selected)) }
                        td .number { (number::decibels_one_place(at.fixed)) }
                    }
                }
            }
        }
        p .hint {
            "All taps share the core’s flux: a fixed tap keeps the feedback"
            @if fixed >= 0.05 { " within " (number::decibels_one_place(fixed)) ", which the copper makes" }
            "; from the tap in use it moves by " (number::decibels_one_place(selected)) "."
        }
    }
}

fn spread(values: impl Iterator<Item = f64>) -> f64 {
    let start = (f64::INFINITY, f64::NEG_INFINITY);
    let (least, most) = values.fold(start, |(least, most), value| {
        (least.min(value), most.max(value))
    });
    most - least
}
