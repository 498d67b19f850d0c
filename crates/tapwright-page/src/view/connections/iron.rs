//! What the iron does in the chosen connection: loss, band, the most power of its core.

use maud::{Markup, html};
use tapwright_core::iron::{Passage, SolvedIron, SourceFrom};
use tapwright_core::judged::Judged;
use tapwright_core::report::Report;
use tapwright_iron::iron::{Core, Imperfection};
use tapwright_tube::Topology;
use tapwright_units::Unit;

use crate::view::Scene;
use crate::words::say::say;
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
                p .hint { (say!("Not counted, as nothing is typed: {losses}.", losses = not_counted(losses))) }
            }
        }
    }
}

/// What it loses, and how low the bass goes.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let solved = &scene.report.solved;
    let followed = solved.followed.as_ref();
    let passage = followed.and_then(|followed| solved.iron.passages.get(followed.place));
    let Some(passage) = passage else {
        return html! {};
    };
    let loss = passage.insertion_loss.0;
    let nothing = solved
        .iron
        .not_counted
        .contains(&Imperfection::PrimaryCopper)
        && loss == 0.0;
    let loss = (!nothing).then(|| number::decibels(loss));
    let low = passage.band.and_then(|band| band.low);
    let low = low.map(|low| number::computed(low, Unit::Hertz));
    match (loss, low) {
        (None, None) => say!("not counted: type an ohmmeter’s reading"),
        (None, Some(low)) => say!(
            "not counted: type an ohmmeter’s reading, bass to {low}",
            low = low
        ),
        (Some(loss), None) => say!("{loss} lost", loss = loss),
        (Some(loss), Some(low)) => say!("{loss} lost, bass to {low}", loss = loss, low = low),
    }
}

/// The numbers in sentences.
fn passed(report: &Report, passage: &Passage) -> Markup {
    html! {
        p .standing {
            (say!(
                "<b>{loss}</b> lost: {share} of the power into the primary reaches the speakers.",
                loss = number::decibels(passage.insertion_loss.0),
                share = number::percent(passage.efficiency),
            ))
            " " (load(report, passage))
            @if let Some(band) = band(report, passage) { " " (band) }
            @if let Some(power) = full_power(report, passage) { " " (power) }
        }
    }
}

/// The load that the iron makes of the speakers.
fn load(report: &Report, passage: &Passage) -> Markup {
    let load = words::ohms(passage.input);
    match report.solved.topology {
        Topology::PushPull => say!(
            "The load at the plates, copper and core counted, is {load}; the reflected loads are by the turns alone.",
            load = load,
        ),
        Topology::SingleEnded => say!(
            "The load at the plate, copper and core counted, is {load}; the reflected loads are by the turns alone.",
            load = load,
        ),
    }
}

/// Where the response falls off; `None` where it does nowhere.
fn band(report: &Report, passage: &Passage) -> Option<Markup> {
    let Some(band) = passage.band else {
        return Some(say!("Inductance and leakage leave no flat middle."));
    };
    let hertz = |value: f64| number::computed(value, Unit::Hertz);
    let ohms = words::ohms(passage.source);
    let source = source(report.solved.iron.source);
    match (band.low, band.high) {
        (Some(low), Some(high)) => Some(say!(
            "−3 dB at <b>{low}</b> and <b>{high}</b> from {ohms} of source ({source}), without feedback.",
            low = hertz(low),
            high = hertz(high),
            ohms = ohms,
            source = source,
        )),
        (Some(edge), None) | (None, Some(edge)) => Some(say!(
            "−3 dB at <b>{edge}</b> from {ohms} of source ({source}), without feedback.",
            edge = hertz(edge),
            ohms = ohms,
            source = source,
        )),
        (None, None) => None,
    }
}

/// How low the core passes full power; `None` where that is not known.
fn full_power(report: &Report, passage: &Passage) -> Option<Markup> {
    let leads = report.solved.transformer.iter().flat_map(|all| &all.leads);
    let guessed = leads.into_iter().any(|lead| lead.guessed);
    let ungapped = report.solved.iron.known.core == Core::Ungapped;
    let watts = number::computed(passage.full_power?.0, Unit::Watt);
    let hertz = number::computed(passage.lowest_hertz?, Unit::Hertz);
    Some(match (guessed, ungapped) {
        (false, false) => say!(
            "Its core passes {watts} down to <b>{hertz}</b>.",
            watts = watts,
            hertz = hertz,
        ),
        (true, false) => say!(
            "Its core passes {watts} down to <b>{hertz}</b>, if its ratings are as guessed.",
            watts = watts,
            hertz = hertz,
        ),
        (false, true) => say!(
            "Its core passes {watts} down to <b>{hertz}</b>, less what a standing direct current takes of it.",
            watts = watts,
            hertz = hertz,
        ),
        (true, true) => say!(
            "Its core passes {watts} down to <b>{hertz}</b>, if its ratings are as guessed, less what a standing direct \
             current takes of it.",
            watts = watts,
            hertz = hertz,
        ),
    })
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
