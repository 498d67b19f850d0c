//! Whether the loop is stable, in words, with its margins.

use maud::{Markup, html};
use tapwright_core::feedback::{Case, Judgement, LoopReport};
use tapwright_units::Unit;

use super::answered;
use super::sentence::tap;
use crate::number;
use crate::view::Scene;

/// Degrees of margin below which a loop rings audibly. Common practice, no source.
const LITTLE: f64 = 30.0;

/// The worst case in a few words.
pub(super) fn in_brief(scene: &Scene, report: &LoopReport) -> String {
    let worst = report.stability.iter().find(|judged| !judged.stable);
    if let Some(judged) = worst {
        return match judged.case {
            Case::AsWired if report.high_end_known => "It oscillates.".into(),
            Case::AsWired => {
                "It may oscillate: type leakage and capacitance of the primary.".into()
            }
            other => format!("It oscillates {}.", case(scene, other)),
        };
    }
    let Some(wired) = report.stability.first() else {
        return String::new();
    };
    match wired.phase {
        None => "Stable.".into(),
        Some(_) if !report.high_end_known => {
            "Stable over what leakage and capacitance usually are; type them for a margin.".into()
        }
        Some((least, _)) if least < LITTLE => {
            format!("Stable, but with {} to spare only.", degrees(least))
        }
        Some((least, _)) => format!("Stable, with {} to spare.", degrees(least)),
    }
}

/// The case with the least phase to spare, for the line of the fold.
pub(super) fn least(scene: &Scene) -> Markup {
    let judged = answered(scene).map_or(&[][..], |report| &report.stability);
    let phase = |judged: &Judgement| judged.phase.map(|(least, _)| least);
    let least = judged
        .iter()
        .filter_map(|judged| Some((phase(judged)?, judged.case)))
        .min_by(|(a, _), (b, _)| a.total_cmp(b));
    html! {
        @match (judged.iter().find(|judged| !judged.stable), least) {
            (Some(worst), _) => span .bad { "it oscillates " (case(scene, worst.case)) },
            (None, Some((phase, of))) => { "at least " (degrees(phase)) ", " (case(scene, of)) },
            (None, None) if judged.is_empty() => "no loop",
            (None, None) => "stable",
        }
    }
}

fn degrees(margin: f64) -> String {
    number::degrees(margin)
}

fn case(scene: &Scene, case: Case) -> String {
    match case {
        Case::AsWired => "as it is wired".into(),
        Case::FullVolume => "with the volume at full".into(),
        Case::NoSpeaker => "with no speaker".into(),
        Case::OtherTap(at) => format!("with the speaker on the {} tap", tap(scene, at)),
    }
}

pub(super) fn stability(scene: &Scene) -> Markup {
    let Some(report) = answered(scene).filter(|report| !report.stability.is_empty()) else {
        return html! {};
    };
    html! {
        ul .bewares {
            @for judged in &report.stability { li { (line(scene, report, judged)) } }
        }
        p .hint {
            @if report.high_end_known {
                "By the turns of the loop gain about −1 from 0.1 Hz to 10 MHz, at the idle point. "
            } @else {
                "Leakage and capacitance of the primary decide the treble end and are not both typed: taken are 5 to 50 mH "
                "and 0.1 to 3 nF. A reading of each, under Iron, gives one margin. "
            }
            "Join the loop first with the largest resistor: volts that rise, or a howl, mean the wrong way round."
        }
    }
}

fn line(scene: &Scene, report: &LoopReport, judged: &Judgement) -> Markup {
    let both = |margin: Option<(f64, f64)>, say: &dyn Fn(f64) -> String| {
        margin.map(
            |(least, most)| match report.high_end_known || most - least < 0.5 {
                true => say(least),
                false => format!("{} to {}", say(least), say(most)),
            },
        )
    };
    html! {
        (case(scene, judged.case)) ": "
        @if judged.stable { "stable" } @else { b .bad { "it oscillates" } @if !report.high_end_known { " with some of what was taken" } }
        @if judged.stable {
            @if let Some(phase) = both(judged.phase, &degrees) {
                ", " (phase) " of phase to spare"
                @if let Some(hertz) = judged.phase_hertz { " at " (number::about(hertz, Unit::Hertz)) }
            }
            @if let Some(gain) = both(judged.gain, &number::decibels_one_place) { ", " (gain) " of gain" }
        }
        "."
    }
}
