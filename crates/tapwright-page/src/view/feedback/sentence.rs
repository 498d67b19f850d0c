//! The answer of the leaf: one or two sentences.

use maud::{Markup, html};
use tapwright_core::feedback::{LoopReport, Setting};
use tapwright_core::values::TakeOff;
use tapwright_iron::transformer::Secondary;
use tapwright_units::Unit;

use super::{is_taken, stability};
use crate::number;
use crate::view::Scene;
use crate::words;
use crate::words::say::say;

pub(super) fn sentence(scene: &Scene) -> Markup {
    match scene.feedback() {
        None => missing(scene),
        Some(Err(why)) => html! {
            p .leaf-answer { (say!("<b>This cannot be computed:</b> {why}.", why = why)) }
        },
        Some(Ok(report)) => match &report.now {
            Some(now) => with(scene, report, now),
            None => without(scene, report),
        },
    }
}

/// What is still to be typed.
fn missing(scene: &Scene) -> Markup {
    let solved = &scene.report.solved;
    let mut needs = Vec::new();
    if solved.connections.is_empty() {
        needs.push("the transformer and a speaker".to_owned());
    }
    if solved.stage().is_none() {
        needs.push("the output tube".to_owned());
    }
    if scene.values.amplifier.driver.is_none() {
        needs.push("the driver tube".to_owned());
    }
    html! {
        p .leaf-answer { (say!("Still unknown: <b>{needs}</b>.", needs = words::in_a_row(&needs))) }
        p .reason {
            "With them this leaf says how many decibels a feedback resistor gives, what the selector does to them, \
             and whether the loop is stable."
        }
    }
}

fn without(scene: &Scene, report: &LoopReport) -> Markup {
    html! {
        p .leaf-answer {
            (say!(
                "<b>No feedback.</b> The gain from the input to the speaker is {gain}, and the speaker sees {ohms} of source.",
                gain = decibels(report.without.gain),
                ohms = number::about(report.without.source_ohms, Unit::Ohm),
            ))
        }
        p .reason {
            @if is_taken(scene) { "Type the resistor, or the fixed part and the control." }
            @else { "Say where feedback is taken from, and what it gives stands here." }
        }
    }
}

fn with(scene: &Scene, report: &LoopReport, now: &Setting) -> Markup {
    let feedback = now.headline.decibels.unwrap_or_default();
    let stable = report.stability.iter().all(|judged| judged.stable);
    html! {
        p .leaf-answer {
            @if feedback < 0.0 {
                (say!(
                    "<b>The wrong way round: the gain rises by {decibels}.</b> Swap the plate and B+ leads of the primary, or the \
                     two plate leads of a pair together with their screen taps; never the secondary’s ends.",
                    decibels = number::decibels_one_place(-feedback),
                ))
            } @else {
                b { (gives(scene, now, feedback)) }
                (costs_and_cleans(report))
            }
            " " span class=(if stable { "" } else { "bad" }) { (stability::in_brief(scene, report)) }
        }
    }
}

fn gives(scene: &Scene, now: &Setting, feedback: f64) -> Markup {
    let ohms = number::about(now.ohms, Unit::Ohm);
    let decibels = number::decibels_one_place(feedback);
    match scene.report.solved.amplifier.from {
        Some(TakeOff::Tap(at)) => say!(
            "{ohms} from the {tap} tap gives {decibels} of feedback.",
            ohms = ohms,
            tap = tap(scene, at),
            decibels = decibels,
        ),
        _ => say!(
            "{ohms} from the tap in use gives {decibels} of feedback.",
            ohms = ohms,
            decibels = decibels,
        ),
    }
}

/// What the feedback costs in input, and what it takes off the distortion.
fn costs_and_cleans(report: &LoopReport) -> Markup {
    html! {
        @if let Some([before, after]) = report.input_for_full {
            " "
            (say!("Full output takes {times} times the input.", times = number::about(after / before, Unit::One)))
        }
        @if let Some(at) = report.cleaned.first() {
            " "
            (say!(
                "Distortion at {watts} falls from {open} to about {closed}.",
                watts = number::about(at.watts, Unit::Watt),
                open = number::percent_short(at.open),
                closed = number::percent_short(at.closed),
            ))
        }
    }
}

/// The tap at a place.
pub(super) fn tap(scene: &Scene, at: usize) -> String {
    let transformer = scene.report.solved.transformer.as_ref();
    transformer.map_or_else(String::new, |transformer| {
        words::secondary(transformer, Secondary::Tap(at))
    })
}

/// A ratio of volts in decibels, with one place: `33.8 dB`.
pub(super) fn decibels(ratio: f64) -> String {
    number::decibels_one_place(20.0 * ratio.log10())
}
