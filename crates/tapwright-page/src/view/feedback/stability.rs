//! Whether the loop is stable, in words, with its margins.

use maud::{Markup, html};
use tapwright_core::feedback::{Case, Judgement, LoopReport};
use tapwright_units::Unit;

use super::answered;
use super::sentence::tap;
use crate::number;
use crate::view::Scene;
use crate::words;
use crate::words::say::say;

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
            Case::FullVolume => "It oscillates with the volume at full.".into(),
            Case::NoSpeaker => "It oscillates with no speaker.".into(),
            Case::OtherTap(at) => {
                format!(
                    "It oscillates with the speaker on the {} tap.",
                    tap(scene, at)
                )
            }
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
            (Some(worst), _) => span .bad { (say!("it oscillates ({case})", case = case(scene, worst.case))) },
            (None, Some((phase, of))) => (say!("at least {degrees} ({case})", degrees = degrees(phase), case = case(scene, of))),
            (None, None) if judged.is_empty() => "no loop",
            (None, None) => "stable",
        }
    }
}

fn degrees(margin: f64) -> String {
    number::degrees(margin)
}

/// The name of a case.
fn case(scene: &Scene, case: Case) -> String {
    match case {
        Case::AsWired => "as it is wired".into(),
        Case::FullVolume => "volume at full".into(),
        Case::NoSpeaker => "no speaker".into(),
        Case::OtherTap(at) => format!("speaker on the {} tap", tap(scene, at)),
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
                "By the turns of the loop gain about −1 from 0.1 Hz to 10 MHz, at the idle point."
            } @else {
                "Leakage and capacitance of the primary decide the treble end and are not both typed: taken are 5 to 50 mH \
                 and 0.1 to 3 nF. A reading of each, under Iron, gives one margin."
            }
            " "
            "Join the loop first with the largest resistor: volts that rise, or a howl, mean the wrong way round."
        }
    }
}

fn line(scene: &Scene, report: &LoopReport, judged: &Judgement) -> Markup {
    let case = case(scene, judged.case);
    let margins = margins(report, judged);
    match judged.stable {
        true if margins.is_empty() => say!("{case}: stable.", case = case),
        true => say!(
            "{case}: stable, with {margins} to spare.",
            case = case,
            margins = words::in_a_row(&margins),
        ),
        false if report.high_end_known => {
            say!("{case}: <b class=\"bad\">it oscillates</b>.", case = case)
        }
        false => say!(
            "{case}: <b class=\"bad\">it oscillates</b> with some of what was taken.",
            case = case,
        ),
    }
}

/// The margins that are known: `48° of phase at 21.3 kHz`, `12.1 dB of gain`.
fn margins(report: &LoopReport, judged: &Judgement) -> Vec<String> {
    let both = |(least, most): (f64, f64), shown: fn(f64) -> String| match report.high_end_known
        || most - least < 0.5
    {
        true => shown(least),
        false => format!("{} to {}", shown(least), shown(most)),
    };
    let phase = judged.phase.map(|phase| both(phase, degrees));
    let gain = judged
        .gain
        .map(|gain| both(gain, number::decibels_one_place));
    let phase = match (phase, judged.phase_hertz) {
        (Some(phase), Some(hertz)) => Some(format!(
            "{phase} of phase at {}",
            number::about(hertz, Unit::Hertz)
        )),
        (Some(phase), None) => Some(format!("{phase} of phase")),
        (None, _) => None,
    };
    let gain = gain.map(|gain| format!("{gain} of gain"));
    phase.into_iter().chain(gain).collect()
}
