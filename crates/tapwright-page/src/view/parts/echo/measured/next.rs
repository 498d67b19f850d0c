//! What to do next, in a sentence: the same in the answer and under the readings.

use maud::{Markup, html};
use tapwright_iron::measured::danger::{HAZARDOUS, USUAL_SOURCE};
use tapwright_iron::measured::findings::{Again, Because, Findings, Meter, Next, Open, VoltsNext};
use tapwright_units::Unit;

use super::{in_order, pair};
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

/// The next step in a sentence; nothing when everything is settled.
pub(in crate::view) fn next(scene: &Scene) -> Markup {
    let Some(findings) = &scene.report.solved.measured else {
        return html! {};
    };
    html! {
        @if findings.leads.is_empty() { p .echo { (say!("<b>Next: </b>name the leads.")) } }
        @match &findings.next {
            Some(Next::CannotTell(open)) => { p .echo { (cannot_tell(findings, open)) } }
            Some(next) => { p .echo { (say!("<b>Next: </b>{step}", step = step(findings, next))) } }
            None => {}
        }
    }
}

/// Whether the next step is one with the voltmeter.
pub(super) fn is_in_volts(findings: &Findings) -> bool {
    match &findings.next {
        Some(Next::Volts(_) | Next::FedVolts(_)) => true,
        Some(Next::Again(again)) => again.meter == Meter::Volts,
        Some(Next::CannotTell(open)) => matches!(open, Open::Turns(_) | Open::Disagreement),
        _ => false,
    }
}

fn step(findings: &Findings, next: &Next) -> Markup {
    let between = |leads| pair(findings, leads);
    match next {
        Next::OneWinding(leads) => say!(
            "ohms {leads}, or open: are they on one winding?",
            leads = between(*leads),
        ),
        Next::Ohms(leads) => say!(
            "ohms {leads}: they tell the order of the leads.",
            leads = between(*leads),
        ),
        Next::Volts(volts) => html! {
            (read(findings, volts))
            @if volts.for_order { " " "These volts tell the order of the leads." }
        },
        Next::FedVolts(leads) => {
            say!(
                "with how many volts is {leads} fed?",
                leads = between(*leads)
            )
        }
        Next::Again(again) => {
            html! { (read_again(findings, again)) " " "Type it in a row of its own." }
        }
        Next::Contradiction => {
            say!("take the marked readings again: they contradict each other.")
        }
        Next::CannotTell(_) => html! {},
    }
}

fn read(findings: &Findings, volts: &VoltsNext) -> Markup {
    let (feed, between) = (pair(findings, volts.feed), pair(findings, volts.pair));
    if volts.fed {
        return say!(
            "with {feed} fed as before, read volts AC on {between}.",
            feed = feed,
            between = between,
        );
    }
    match volts
        .most
        .filter(|most| USUAL_SOURCE.0 * most <= HAZARDOUS.0)
    {
        Some(most) if most > 1.0 => say!(
            "feed {feed} with a few volts AC, such as 6.3\u{a0}V of a heater winding, fused, \
             its transformer’s other windings insulated; with 6.3\u{a0}V there nothing else gets more than {most}. \
             Read volts AC on {between}.",
            feed = feed,
            most = number::about(USUAL_SOURCE.0 * most, Unit::Volt),
            between = between,
        ),
        Some(_) => say!(
            "feed {feed} with a few volts AC, such as 6.3\u{a0}V of a heater winding, fused, \
             its transformer’s other windings insulated; everything else stays lower. \
             Read volts AC on {between}.",
            feed = feed,
            between = between,
        ),
        None => say!(
            "feed {feed} with 1\u{a0}V AC or less, and measure every other winding before you raise it. \
             Read volts AC on {between}.",
            feed = feed,
            between = between,
        ),
    }
}

fn read_again(findings: &Findings, again: &Again) -> Markup {
    let between = pair(findings, again.pair);
    match (again.meter, again.because) {
        (Meter::Ohms, Because::Digits) => say!(
            "read ohms on {between} again, on a lower range: it takes more digits.",
            between = between,
        ),
        (Meter::Ohms, Because::Disagrees) => say!(
            "read ohms on {between} again: it does not go with the other readings.",
            between = between,
        ),
        (Meter::Volts, Because::Digits) => say!(
            "read volts AC on {between} again, with the same leads fed, on a lower range: it takes more digits.",
            between = between,
        ),
        (Meter::Volts, Because::Disagrees) => say!(
            "read volts AC on {between} again, with the same leads fed: it does not go with the other readings.",
            between = between,
        ),
    }
}

fn cannot_tell(findings: &Findings, open: &Open) -> Markup {
    match open {
        Open::Order(leads) => say!(
            "No reading with these instruments can tell the order of {leads}.",
            leads = in_order(findings, leads),
        ),
        Open::Turns(leads) => say!(
            "No reading with these instruments can tell the turns between {leads}: there are too few of them \
             for the digits of the voltmeter.",
            leads = pair(findings, *leads),
        ),
        Open::Primary => say!(
            "No reading with these instruments can tell which winding is the primary: choose it, if you know."
        ),
        Open::SecondWinding => say!(
            "No second winding found: a lead without a partner is a screen, or its winding is broken."
        ),
        Open::Disagreement => say!(
            "Readings were taken twice and still disagree: no reading with these instruments can tell which is wrong."
        ),
    }
}
