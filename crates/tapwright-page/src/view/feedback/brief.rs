//! What each fold of this leaf holds, in a few words.

use maud::{Markup, html};
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words;
use crate::words::say::say;

pub(super) fn along(scene: &Scene) -> Markup {
    let ends = answered(scene).and_then(|report| report.ends);
    let decibels = ends.map(|ends| ends.map(|end| end.headline.decibels.unwrap_or_default()));
    html! {
        @match decibels {
            Some([most, least]) => (say!(
                "{most} to {least}",
                most = number::decibels_one_place(most),
                least = number::decibels_one_place(least),
            )),
            None => "no control",
        }
    }
}

pub(super) fn source(scene: &Scene) -> Markup {
    let ohms = answered(scene).map(|report| {
        report
            .now
            .map_or(report.without, |now| now.headline)
            .source_ohms
    });
    html! {
        @if let Some(ohms) = ohms { (say!("{ohms} at 1 kHz", ohms = number::about(ohms, Unit::Ohm))) }
    }
}

pub(super) fn workings(scene: &Scene) -> Markup {
    let count = answered(scene).map_or(0, |report| report.reduced.len());
    html! { (words::formulas(count)) }
}
