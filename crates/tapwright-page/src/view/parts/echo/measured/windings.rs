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
use crate::words::say::say;

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
    let leads = in_order(findings, &winding.leads);
    if winding.leads.len() == 1 {
        return match winding.closed {
            true => say!(
                "<b>{lead}</b>: open to every other lead: a screen, or a broken winding.",
                lead = leads,
            ),
            false => say!("<b>{lead}</b>: no partner so far.", lead = leads),
        };
    }
    let primary = findings.primary.filter(|primary| primary.winding == at);
    let ends = match (primary, &winding.leads[..]) {
        (Some(_), [first, .., last]) => Some((*first, *last)),
        _ => None,
    };
    html! {
        (which_one(findings, at, winding, leads))
        @if let (Some(Evidence::Typed), Some(times)) = (primary.map(|primary| primary.evidence), findings.outweighed) {
            " "
            span .bad {
                (say!("But another winding has {times} its ohms.", times = number::times(times)))
            }
        }
        @if let Some(ends) = ends {
            @for tap in &findings.inner_taps {
                " " (inner_tap(findings, scene.report.solved.topology, ends, tap))
            }
        }
        (uncertain(winding))
    }
}

/// A winding by its leads, with its ohms, and which of the transformer's it is.
fn which_one(findings: &Findings, at: usize, winding: &Winding, leads: String) -> Markup {
    let winding = match &winding.ohms {
        Some(ohms) => say!(
            "<b>{leads}</b>, {ohms}",
            leads = leads,
            ohms = number::about(ohms.value, Unit::Ohm),
        ),
        None => say!("<b>{leads}</b>", leads = leads),
    };
    match findings.primary.filter(|primary| primary.winding == at) {
        Some(primary) => match primary.evidence {
            Evidence::Typed => say!("{winding}: the primary, as you say.", winding = winding),
            Evidence::Turns(times) => say!(
                "{winding}: the primary, {times} the turns of the next.",
                winding = winding,
                times = number::times(times),
            ),
            Evidence::Resistance(times) => say!(
                "{winding}: likely the primary, {times} the ohms of the next.",
                winding = winding,
                times = number::times(times),
            ),
        },
        None if findings.secondary == Some(at) => {
            say!("{winding}: the secondary.", winding = winding)
        }
        None => say!("{winding}.", winding = winding),
    }
}

/// What the readings do not settle about a winding.
fn uncertain(winding: &Winding) -> Markup {
    let mut said = Vec::new();
    if !winding.tied {
        said.push("It is held together by volts only.");
    }
    if !winding.closed {
        said.push("More leads may belong to it.");
    }
    if winding.leads.len() > 2 && !winding.order_known {
        said.push(match winding.ends_known {
            true => "The order between the ends is not certain.",
            false => "Ends and order are not certain.",
        });
    }
    html! { @if !said.is_empty() { " " span .hint { (said.join(" ")) } } }
}

/// What a lead between the ends of the primary probably is.
fn inner_tap(findings: &Findings, topology: Topology, ends: Pair, tap: &InnerTap) -> Markup {
    let lead = name(findings, tap.lead);
    match tap.kind {
        TapKind::Middle => html! {
            (say!("{lead} is in the middle, by turns.", lead = lead))
            @if topology == Topology::SingleEnded {
                " " "Push-pull wants that, and such a core has no gap as a rule."
            }
        },
        TapKind::PerhapsMiddle if !findings.order_known => {
            say!(
                "{lead} may be the middle, if this order is the right one.",
                lead = lead
            )
        }
        TapKind::PerhapsMiddle if tap.by_turns => {
            say!(
                "{lead} may be the middle: the volts have too few digits to say.",
                lead = lead
            )
        }
        TapKind::PerhapsMiddle => {
            say!(
                "{lead} may be the middle: a guess by ohms, volts will tell.",
                lead = lead
            )
        }
        TapKind::Screen => html! {
            (say!(
                "{lead} at {part} from {from} is probably a screen tap.",
                lead = lead,
                part = part(tap),
                from = name(findings, tap.from),
            ))
            @if topology == Topology::SingleEnded && [ends.0, ends.1].contains(&tap.from) {
                " "
                (say!(
                    "Then B+ goes to {from} and the plate to {other}.",
                    from = name(findings, tap.from),
                    other = name(findings, if tap.from == ends.0 { ends.1 } else { ends.0 }),
                ))
            }
        },
        TapKind::Other => say!(
            "{lead} is at {part} from {from}.",
            lead = lead,
            part = part(tap),
            from = name(findings, tap.from),
        ),
    }
}

/// How much of the primary lies between an end and a lead inside it.
fn part(tap: &InnerTap) -> Markup {
    let share = number::percent_short(tap.part);
    match tap.by_turns {
        true => say!("{share} of the turns", share = share),
        false => say!("{share} of the ohms", share = share),
    }
}

fn doubt(findings: &Findings, doubt: &Doubt) -> Markup {
    say!(
        "The ohms of {pair} do not go with the volts: {ohms} by the meter, about {expected} by its turns \
         and the ohms of {by}. Has a decimal point slipped?",
        pair = pair(findings, doubt.pair),
        ohms = number::about(doubt.ohms.0, Unit::Ohm),
        expected = number::about(doubt.expected.0, Unit::Ohm),
        by = pair(findings, doubt.by),
    )
}
