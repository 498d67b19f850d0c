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

pub(super) fn sentence(scene: &Scene) -> Markup {
    match scene.feedback() {
        None => missing(scene),
        Some(Err(why)) => html! {
            p .leaf-answer { b { "This cannot be computed: " } (why) "." }
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
        p .leaf-answer { "Still unknown: " b { (words::in_a_row(&needs)) } "." }
        p .reason {
            "With them this leaf says how many decibels a feedback resistor gives, what the selector does to them, "
            "and whether the loop is stable."
        }
    }
}

fn without(scene: &Scene, report: &LoopReport) -> Markup {
    html! {
        p .leaf-answer {
            b { "No feedback. " }
            "The gain from the input to the speaker is " (decibels(report.without.gain)) ", and the speaker sees "
            (number::about(report.without.source_ohms, Unit::Ohm)) " of source."
        }
        p .reason {
            @if is_taken(scene) { "Type the resistor, or the fixed part and the control." }
            @else { "Say where feedback is taken from, and what it gives stands here." }
        }
    }
}

fn with(scene: &Scene, report: &LoopReport, now: &Setting) -> Markup {
    let feedback = now.headline.decibels.unwrap_or_default();
    let from = match scene.report.solved.amplifier.from {
        Some(TakeOff::Tap(at)) => format!("the {} tap", tap(scene, at)),
        _ => "the tap in use".into(),
    };
    let stable = report.stability.iter().all(|judged| judged.stable);
    html! {
        p .leaf-answer {
            @if feedback < 0.0 {
                b { "The wrong way round: the gain rises by " (number::decibels_one_place(-feedback)) ". " }
                "Swap the plate and B+ leads of the primary, or the two plate leads of a pair together with their "
                "screen taps; never the secondary’s ends. "
            } @else {
                b {
                    (number::about(now.ohms, Unit::Ohm)) " from " (from) " gives " (number::decibels_one_place(feedback)) " of feedback. "
                }
                @if let Some([before, after]) = report.input_for_full {
                    "Full output takes " (number::about(after / before, Unit::One).trim_end()) " times the input"
                }
                @if let Some(at) = report.cleaned.first() {
                    "; distortion at " (number::about(at.watts, Unit::Watt)) " falls from "
                    (number::percent_short(at.open)) " to about " (number::percent_short(at.closed))
                }
                ". "
            }
            span class=(if stable { "" } else { "bad" }) { (stability::in_brief(scene, report)) }
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
