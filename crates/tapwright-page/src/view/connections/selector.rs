//! What a selector on the chosen primary lead would do: each tap with each hookup.

use maud::{Markup, html};
use tapwright_core::selector::Selector;
use tapwright_iron::transformer::{Secondary, Transformer};
use tapwright_units::Unit;

use super::cell::tint;
use crate::view::Scene;
use crate::words::say::say;
use crate::words::selector as word;
use crate::{number, words};

pub(super) fn selector(scene: &Scene) -> Markup {
    let report = scene.report;
    let (Some(selector), Some(transformer)) = (&report.selector, &report.solved.transformer) else {
        return html! {};
    };
    let lead = transformer
        .leads
        .get(selector.lead)
        .map(words::lead)
        .unwrap_or_default();
    html! {
        h3 { (say!("A selector on the {lead} {noun}", lead = lead, noun = words::lead_noun(transformer))) }
        (table(scene, transformer, selector))
        @if let Some(words) = word::positions(scene.good, report, selector) { p .standing { (words) } }
        @let wrongs: Vec<String> = selector.wrong(&report.solved)
            .filter_map(|wrong| word::wrong(scene.good, report, &wrong)).collect();
        @if !wrongs.is_empty() {
            details data-open="wrong-positions" {
                summary { "In the wrong position" span .adds { (worst(selector.wrong(&report.solved).map(|wrong| wrong.load))) } }
                ul .bewares { @for words in &wrongs { li { (words) } } }
            }
        }
        @if selector.worth().count() > 1 {
            p .hint {
                "Between positions of a switch that breaks before it makes, the load is gone, and so is \
                 feedback taken from the selected tap: the plates swing freely. Switch while it is quiet, and leave \
                 a resistor across the secondary that loads it lightly. A switch that makes before it breaks joins \
                 two taps for a moment, which shorts the turns between them: for a moment only."
            }
        }
    }
}

/// How far off the load is in the wrong positions.
fn worst(loads: impl Iterator<Item = f64>) -> String {
    let (least, most) = loads.fold((f64::INFINITY, 0.0_f64), |(least, most), load| {
        (least.min(load), most.max(load))
    });
    match (least < 1.0, most > 1.0) {
        (true, true) => format!(
            "{} to {} the load",
            number::times(least),
            number::times(most)
        ),
        (true, false) => format!("down to {} the load", number::times(least)),
        _ => format!("up to {} the load", number::times(most)),
    }
}

fn table(scene: &Scene, transformer: &Transformer, selector: &Selector) -> Markup {
    let report = scene.report;
    let hookups = &report.solved.hookups;
    html! {
        table .cells .selector {
            thead { tr {
                th scope="col" { "at" }
                @for hookup in hookups {
                    th scope="col" {
                        (words::hookup(scene.good, hookup.place))
                        span .muted { (words::about(hookup.impedance)) }
                    }
                }
            } }
            tbody {
                @for position in &selector.positions {
                    tr {
                        th scope="row" { (words::secondary(transformer, Secondary::Tap(position.tap))) }
                        @for hookup in hookups {
                            @match position.of(&report.solved, hookup.place) {
                                None => td {},
                                Some(judged) => td class={ (tint(judged)) @if position.serves.contains(&hookup.place) { " own" } } {
                                    (words::mark(judged.verdict())) " " b { (words::ohms(judged.connection.load.reflected)) }
                                    @if let Some(output) = &judged.output {
                                        span {
                                            (number::computed(output.watts.0, Unit::Watt)) " · "
                                            (number::percent_short(output.thd))
                                        }
                                    }
                                    span .unseen { (words::verdict(judged.verdict())) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
