//! The windings that readings tell, and which reading tells more.

use maud::{Markup, html};
use tapwright_core::setup::Topology;
use tapwright_iron::measured::findings::{Evidence, Findings};
use tapwright_iron::measured::windings::{Question, Winding};
use tapwright_units::Unit;

use super::super::super::Scene;
use super::{in_order, is_contradicted, name, pair};
use crate::number;

/// The windings, and what to measure next.
pub(in crate::view::echo) fn windings(scene: &Scene) -> Markup {
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
        @if let Some(question) = findings.found.questions.first() {
            p .echo { b { "Next: " } (ask(findings, *question)) }
        }
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
        @if let Some(tap) = winding.centre_tap {
            "; " (name(findings, tap.lead)) " is in the middle"
            @if primary.is_some() && scene.report.solved.topology == Topology::SingleEnded {
                ", as push-pull wants it: such a core has no gap as a rule"
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

fn ask(findings: &Findings, question: Question) -> Markup {
    let between = pair(findings, question.pair());
    html! {
        @match question {
            Question::OneWinding(_) => { "ohms " (between) ", or open: are they on one winding?" }
            Question::Order(_) => { (between) ", ohms or volts: it settles the order." }
            Question::Volts(_) => { "volts AC " (between) ", with the same pair fed: they tell the order where ohms do not." }
        }
    }
}
