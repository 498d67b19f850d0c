//! The windings that readings tell, and which reading tells more.

use maud::{Markup, html};
use tapwright_core::setup::Topology;
use tapwright_iron::measured::Pair;
use tapwright_iron::measured::findings::{Doubt, Evidence, Findings, InnerTap, TapKind};
use tapwright_iron::measured::windings::Winding;
use tapwright_units::Unit;

use super::next::{is_in_volts, next};
use super::{in_order, is_contradicted, name, pair};
use crate::number;
use crate::view::Scene;

/// The windings, and what to measure next.
pub(in crate::view::parts::echo) fn windings(scene: &Scene) -> Markup {
    let Some(findings) = scene
        .report
        .solved
        .measured
        .as_ref()
        .filter(|found| !found.leads.is_empty())
    else {
        return html! {};
    };
    html! {
        ul .found {
            @for (at, winding) in findings.found.windings.iter().enumerate() {
                li { (one_winding(scene, findings, at, winding)) }
            }
        }
        @if is_contradicted(scene) {
            p .echo { span .bad { "Readings contradict each other: what stands here is not certain." } }
        }
        @for one in &findings.doubts {
            p .echo { span .bad { (doubt(findings, one)) } }
        }
        @if !is_in_volts(findings) { (next(scene)) }
    }
}

fn one_winding(scene: &Scene, findings: &Findings, at: usize, winding: &Winding) -> Markup {
    if winding.leads.len() == 1 {
        return html! {
            b { (in_order(findings, &winding.leads)) } ": "
            @if winding.closed {
                "open to every other lead: a screen, or a broken winding"
            } @else { "no partner so far" }
        };
    }
    let primary = findings.primary.filter(|primary| primary.winding == at);
    html! {
        b { (in_order(findings, &winding.leads)) }
        @if let Some(ohms) = winding.ohms { ", " (number::about(ohms.value, Unit::Ohm)) }
        @if let Some(primary) = primary {
            @match primary.evidence {
                Evidence::Typed => {
                    ": the primary, as you say"
                    @if let Some(times) = findings.outweighed {
                        span .bad { ", though another winding has " (number::times(times)) " its ohms" }
                    }
                }
                Evidence::Turns(times) => {
                    ": the primary, " (number::times(times)) " the turns of the next"
                }
                Evidence::Resistance(times) => {
                    ": likely the primary, " (number::times(times)) " the ohms of the next"
                }
            }
        } @else if findings.secondary == Some(at) { ": the secondary" }
        @if let (Some(_), [first, .., last]) = (primary, &winding.leads[..]) {
            @for tap in &findings.inner_taps {
                (inner_tap(findings, scene.report.solved.topology, (*first, *last), tap))
            }
        }
        @if !winding.tied || !winding.closed || (winding.leads.len() > 2 && !winding.order_known) {
            span .hint {
                @if !winding.tied { ". Held together by volts only" }
                @if !winding.closed { ". More leads may belong to it" }
                @if winding.leads.len() > 2 && !winding.order_known {
                    @if winding.ends_known { ". The order between the ends is not certain" }
                    @else { ". Ends and order are not certain" }
                }
            }
        }
    }
}

/// What a lead between the ends of the primary probably is.
fn inner_tap(findings: &Findings, topology: Topology, ends: Pair, tap: &InnerTap) -> Markup {
    let share = number::percent_short(tap.part);
    let of = if tap.by_turns { "turns" } else { "ohms" };
    let (single, at_end) = (
        topology == Topology::SingleEnded,
        [ends.0, ends.1].contains(&tap.from),
    );
    let other_end = if tap.from == ends.0 { ends.1 } else { ends.0 };
    html! {
        "; " (name(findings, tap.lead))
        @match tap.kind {
            TapKind::Middle => {
                " is in the middle, by turns"
                @if single { "; push-pull wants that, and such a core has no gap as a rule" }
            }
            TapKind::PerhapsMiddle if !findings.order_known => {
                " may be the middle, if this order is the right one"
            }
            TapKind::PerhapsMiddle if tap.by_turns => {
                " may be the middle: the volts have too few digits to say"
            }
            TapKind::PerhapsMiddle => { " may be the middle: a guess by ohms, volts will tell" }
            TapKind::Screen => {
                " at " (share) " of the " (of) " from " (name(findings, tap.from)) " is probably a screen tap"
                @if at_end && single {
                    ": then B+ goes to " (name(findings, tap.from)) " and the plate to " (name(findings, other_end))
                }
            }
            TapKind::Other => { " is at " (share) " of the " (of) " from " (name(findings, tap.from)) }
        }
    }
}

fn doubt(findings: &Findings, doubt: &Doubt) -> Markup {
    html! {
        "The ohms of " (pair(findings, doubt.pair)) " do not go with the volts: "
        (number::about(doubt.ohms.0, Unit::Ohm)) " by the meter, about "
        (number::about(doubt.expected.0, Unit::Ohm)) " by its turns and the ohms of "
        (pair(findings, doubt.by)) ". Has a decimal point slipped?"
    }
}
