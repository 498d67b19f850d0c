//! What the iron does in the chosen connection: loss, band, the most power of its core.

use maud::{Markup, html};
use tapwright_core::iron::{Passage, SolvedIron, SourceFrom};
use tapwright_core::judged::Judged;
use tapwright_core::report::Report;
use tapwright_iron::iron::{Core, Imperfection};
use tapwright_tube::Topology;
use tapwright_units::Unit;

use crate::view::Scene;
use crate::{number, words};

mod charts;

pub(super) use charts::charts;

pub(super) fn iron(scene: &Scene) -> Markup {
    let report = scene.report;
    let Some(followed) = &report.solved.followed else {
        return html! {};
    };
    let losses = &report.solved.iron;
    let followed = report
        .solved
        .followed()
        .zip(losses.passages.get(followed.place));
    let stale =
        (report.solved.followed()).is_some_and(|c| scene.is_stale(c.connection.choice.hookup));
    html! {
        div .stale[stale] {
            @if let Some((judged, passage)) = followed {
                (passed(scene.report, passage))
                @if losses.direct_current.is_some() {
                    p .hint { "With direct current in a core without a gap the inductance is less, and the bass ends higher." }
                }
                div .charts {
                    @for id in charts::IDS { (scene.drawn(id)) }
                }
                (others(report, judged))
            }
            @if !losses.not_counted.is_empty() {
                p .hint { "Not counted, as nothing is typed: " (not_counted(losses)) "." }
            }
        }
    }
}

/// What it loses, and how low the bass goes.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let solved = &scene.report.solved;
    let followed = solved.followed.as_ref();
    let passage = followed.and_then(|followed| solved.iron.passages.get(followed.place));
    html! {
        @if let Some(passage) = passage {
            @if solved.iron.not_counted.contains(&Imperfection::PrimaryCopper) && passage.insertion_loss.0 == 0.0 {
                "not counted: type an ohmmeter’s reading"
            } @else { (number::decibels(passage.insertion_loss.0)) " lost" }
            @if let Some(low) = passage.band.and_then(|band| band.low) {
                ", bass to " (number::computed(low, Unit::Hertz))
            }
        }
    }
}

/// The numbers in sentences.
fn passed(report: &Report, passage: &Passage) -> Markup {
    let (losses, topology) = (&report.solved.iron, report.solved.topology);
    let leads = report.solved.transformer.iter().flat_map(|all| &all.leads);
    let guessed = leads.into_iter().any(|lead| lead.guessed);
    let hertz = |value: f64| number::computed(value, Unit::Hertz);
    html! {
        p .standing {
            b { (number::decibels(passage.insertion_loss.0)) } " lost: "
            (number::percent(passage.efficiency)) " of the power into the primary reaches the speakers. The load at the plate"
            @if topology == Topology::PushPull { "s" } ", copper and core counted, is " (words::ohms(passage.input))
            "; the reflected loads are by the turns alone. "
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
        SourceFrom::Rated => "taken equal to the load, as no tube is known",
    }
}

fn not_counted(losses: &SolvedIron) -> String {
    words::in_a_row(&left_out(losses))
}

/// What is not counted of the iron, because nothing of it is typed.
pub(super) fn left_out(losses: &SolvedIron) -> Vec<String> {
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
fn others(report: &Report, chosen: &Judged) -> Markup {
    let Some(transformer) = &report.solved.transformer else {
        return html! {};
    };
    let losses = &report.solved.iron;
    let all = (report.solved.connections.iter().zip(&losses.passages))
        .filter(|(judged, _)| judged.connection.choice.hookup == chosen.connection.choice.hookup);
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
                        @for (judged, passage) in all {
                            tr {
                                th scope="row" { (words::connection(transformer, judged)) }
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
