//! What to do next, in a sentence: the same in the answer and under the readings.

use maud::{Markup, html};
use tapwright_iron::measured::danger::{HAZARDOUS, USUAL_SOURCE};
use tapwright_iron::measured::findings::{Again, Because, Findings, Meter, Next, Open, VoltsNext};
use tapwright_units::Unit;

use super::{in_order, pair};
use crate::number;
use crate::view::Scene;

/// The next step in a sentence; nothing when everything is settled.
pub(in crate::view) fn next(scene: &Scene) -> Markup {
    let Some(findings) = &scene.report.solved.measured else {
        return html! {};
    };
    html! {
        @if findings.leads.is_empty() { p .echo { b { "Next: " } "name the leads." } }
        @match &findings.next {
            Some(Next::CannotTell(open)) => { p .echo { (cannot_tell(findings, open)) } }
            Some(next) => { p .echo { b { "Next: " } (step(findings, next)) } }
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
    html! {
        @match next {
            Next::OneWinding(leads) => { "ohms " (between(*leads)) ", or open: are they on one winding?" }
            Next::Ohms(leads) => { "ohms " (between(*leads)) ": they tell the order of the leads." }
            Next::Volts(volts) => { (read(findings, volts)) }
            Next::FedVolts(leads) => { "with how many volts is " (between(*leads)) " fed?" }
            Next::Again(again) => { (read_again(findings, again)) }
            Next::Contradiction => { "take the marked readings again: they contradict each other." }
            Next::CannotTell(_) => {}
        }
    }
}

fn read(findings: &Findings, volts: &VoltsNext) -> Markup {
    let (feed, between) = (pair(findings, volts.feed), pair(findings, volts.pair));
    html! {
        @if volts.fed {
            "with " (feed) " fed as before, read volts AC on " (between)
        } @else if let Some(most) = volts.most.filter(|most| USUAL_SOURCE.0 * most <= HAZARDOUS.0) {
            "feed " (feed) " with a few volts AC, such as 6.3\u{a0}V of a heater winding, fused, its transformer’s other windings insulated; "
            @if most > 1.0 {
                "with 6.3\u{a0}V there nothing else gets more than " (number::about(USUAL_SOURCE.0 * most, Unit::Volt)) ". "
            } @else { "everything else stays lower. " }
            "Read volts AC on " (between)
        } @else {
            "feed " (feed) " with 1\u{a0}V AC or less, and measure every other winding before you raise it. Read volts AC on "
            (between)
        }
        @if volts.for_order { ": they tell the order of the leads" }
        "."
    }
}

fn read_again(findings: &Findings, again: &Again) -> Markup {
    let between = pair(findings, again.pair);
    html! {
        @match again.meter {
            Meter::Ohms => { "read ohms on " (between) " again" }
            Meter::Volts => { "read volts AC on " (between) " again, with the same leads fed" }
        }
        @match again.because {
            Because::Digits => { ", on a lower range: it takes more digits." }
            Because::Disagrees => { ": it does not go with the other readings." }
        }
        " Type it in a row of its own."
    }
}

fn cannot_tell(findings: &Findings, open: &Open) -> Markup {
    html! {
        @match open {
            Open::Order(leads) => {
                "No reading with these instruments can tell the order of " (in_order(findings, leads)) "."
            }
            Open::Turns(leads) => {
                "No reading with these instruments can tell the turns between " (pair(findings, *leads))
                ": there are too few of them for the digits of the voltmeter."
            }
            Open::Primary => {
                "No reading with these instruments can tell which winding is the primary: choose it, if you know."
            }
            Open::SecondWinding => {
                "No second winding found: a lead without a partner is a screen, or its winding is broken."
            }
            Open::Disagreement => {
                "Readings were taken twice and still disagree: no reading with these instruments can tell which is wrong."
            }
        }
    }
}
