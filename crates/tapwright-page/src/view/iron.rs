//! What the iron does in the chosen connection: loss, band, the most power of its core.

use maud::{Markup, html};
use tapwright_core::answer::Caution;
use tapwright_core::connection::Connection;
use tapwright_core::losses::{LossReport, Passage, SourceFrom};
use tapwright_core::report::{Chosen, Report};
use tapwright_iron::iron::{Core, Imperfection};
use tapwright_units::Unit;

use super::{Scene, answer};
use crate::{chart, number, words};

mod charts;

pub(super) use charts::{charts, is_own};

pub(super) fn iron(scene: &Scene) -> Markup {
    let report = scene.report;
    let Some(chosen) = &report.chosen else {
        return html! {};
    };
    let losses = &report.losses;
    let followed = report
        .followed()
        .zip(losses.passages.get(chosen.connection));
    let stale = (report.followed())
        .is_some_and(|c| scene.is_stale(&answer::fields(scene, c.choice.hookup)));
    html! {
        h2 { "What the iron does there" }
        div .stale[stale] {
            @if let Some((connection, passage)) = followed {
                (passed(scene.report, passage))
                @if magnetised(chosen) {
                    p .hint { "With direct current in a core without a gap the inductance is less, and the bass ends higher." }
                }
                div .charts {
                    @for chart in scene.charts().iter().filter(|chart| is_own(chart)) {
                        (chart::draw(chart, scene.is_open(&format!("table.{}", chart.id))))
                    }
                }
                (others(report, connection))
            }
            @if !losses.not_counted.is_empty() {
                p .hint { "Not counted, as nothing is typed: " (not_counted(losses)) "." }
            }
        }
    }
}

/// Whether direct current takes inductance away that the numbers still have.
fn magnetised(chosen: &Chosen) -> bool {
    let direct = |caution: &Caution| matches!(caution, Caution::DirectCurrentInUngappedCore(_));
    chosen.cautions.iter().any(direct)
}

/// The numbers in sentences.
fn passed(report: &Report, passage: &Passage) -> Markup {
    let (losses, topology) = (&report.losses, report.topology);
    let leads = report.transformer.iter().flat_map(|all| &all.leads);
    let guessed = leads.into_iter().any(|lead| lead.guessed);
    let hertz = |value: f64| number::computed(value, Unit::Hertz);
    html! {
        p .standing {
            b { (number::decibels(passage.insertion_loss.0)) } " lost: "
            (number::percent(passage.efficiency)) " of the power into the primary reaches the speakers. With the iron, "
            (words::stage(topology)) " " (words::verb(topology, "see")) " " (words::ohms(passage.input))
            "; the loads above are the ratio’s alone. "
            @match passage.band {
                None => { "Inductance and leakage leave no flat middle. " }
                Some(band) => {
                    @match (band.low, band.high) {
                        (Some(low), Some(high)) => {
                            "−3 dB at " b { (hertz(low)) } " and " b { (hertz(high)) }
                        }
                        (Some(low), None) => { "−3 dB at " b { (hertz(low)) } }
                        (None, Some(high)) => { "−3 dB at " b { (hertz(high)) } }
                        (None, None) => {}
                    }
                    @if band.low.is_some() || band.high.is_some() {
                        " from " (words::ohms(passage.source)) " of source (" (source(losses.source)) "), without feedback. "
                    }
                }
            }
            @if let (Some(watts), Some(lowest)) = (passage.full_power, passage.lowest_hertz) {
                "Its core passes " (number::computed(watts.0, Unit::Watt)) " down to " b { (hertz(lowest)) }
                @if guessed { ", if its ratings are as guessed" }
                @if losses.known.core == Core::Ungapped { ", less what a standing direct current takes of it" }
                "."
            }
        }
    }
}

fn source(from: SourceFrom) -> &'static str {
    match from {
        SourceFrom::Typed => "as typed",
        SourceFrom::Tubes => "the tubes at idle",
        SourceFrom::Rated => "matched, as no tube is known",
    }
}

fn not_counted(losses: &LossReport) -> String {
    words::in_a_row(&left_out(losses))
}

/// What is left out of the iron, as none of it is known.
pub(super) fn left_out(losses: &LossReport) -> Vec<String> {
    let name = |loss: &Imperfection| match loss {
        Imperfection::PrimaryCopper => "the primary’s copper",
        Imperfection::SecondaryCopper => "the secondary’s copper",
        Imperfection::Core => "core loss",
        Imperfection::Inductance => "primary inductance",
        Imperfection::Leakage => "leakage",
        Imperfection::Capacitance => "capacitance",
        Imperfection::Saturation => "saturation",
    };
    losses.not_counted.iter().map(|l| name(l).into()).collect()
}

/// Every connection of the chosen hookup.
fn others(report: &Report, chosen: &Connection) -> Markup {
    let Some(transformer) = &report.transformer else {
        return html! {};
    };
    let losses = &report.losses;
    let all = (report.connections.iter().zip(&losses.passages))
        .filter(|(connection, _)| connection.choice.hookup == chosen.choice.hookup);
    let rated = losses.known.flux_limit().is_some();
    let hertz = |value: Option<f64>| match value {
        Some(value) => number::computed(value, Unit::Hertz),
        None => "–".into(),
    };
    html! {
        details data-open="iron-others" {
            summary { "The same through every connection of this hookup" }
            div .scroller {
                table .shares {
                    thead { tr {
                        th scope="col" { "connection" }
                        th scope="col" { "seen" }
                        th scope="col" { "loss" }
                        th scope="col" { "−3 dB from" }
                        th scope="col" { "to" }
                        @if rated { th scope="col" { "full power from" } }
                    } }
                    tbody {
                        @for (connection, passage) in all {
                            tr {
                                th scope="row" { (words::connection(transformer, connection)) }
                                td .number { (words::ohms(passage.input)) }
                                td .number { (number::decibels(passage.insertion_loss.0)) }
                                @match passage.band {
                                    Some(band) => {
                                        td .number { (hertz(band.low)) }
                                        td .number { (hertz(band.high)) }
                                    }
                                    None => td .number colspan="2" { "no flat middle" },
                                }
                                @if rated { td .number { (hertz(passage.lowest_hertz)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}
