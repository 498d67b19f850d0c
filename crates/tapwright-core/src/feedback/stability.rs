//! Whether the loop is stable: as it is wired, with no speaker, and on each other tap.

use serde::Serialize;
use tapwright_amplifier::Amplifier;
use tapwright_amplifier::feedback::{Linear, at_full_volume, opened, unloaded};

use super::Unanswered;
use super::tap::on_tap;
use crate::amplifier::Parts;

/// Leakage, H, and capacitance, F, that a primary may have where neither is typed. Own
/// estimate.
const HIGH_ENDS: [(f64, f64); 4] = [(5e-3, 0.1e-9), (5e-3, 3e-9), (50e-3, 0.1e-9), (50e-3, 3e-9)];

/// For what the loop was judged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Case {
    /// As it is wired.
    AsWired,
    /// With no speaker.
    NoSpeaker,
    /// With the volume control inside the loop all the way up.
    FullVolume,
    /// With the speaker on the tap at this place.
    OtherTap(usize),
}

/// Whether the loop is stable in one case.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Judgement {
    /// The case.
    pub case: Case,
    /// Whether every signal dies out, over all that was assumed.
    pub stable: bool,
    /// The least and the largest phase margin over all that was assumed, degrees; one and the
    /// same where the high end is known.
    pub phase: Option<(f64, f64)>,
    /// Where it is least, Hz.
    pub phase_hertz: Option<f64>,
    /// The least and the largest gain margin, dB.
    pub gain: Option<(f64, f64)>,
}

/// The loop as it is wired, with no speaker, and with the speaker on each other tap.
pub(super) fn judge(parts: &Parts) -> Result<Vec<Judgement>, Unanswered> {
    let amplifier = &parts.amplifier;
    if amplifier.feedback.is_none() {
        return Ok(Vec::new());
    }
    let mut cases = vec![
        (Case::AsWired, amplifier.clone()),
        (Case::NoSpeaker, unloaded(amplifier)),
    ];
    cases.extend(at_full_volume(amplifier).map(|full| (Case::FullVolume, full)));
    for tap in 0..amplifier.transformer.taps.len() {
        if tap != amplifier.transformer.selected {
            cases.push((Case::OtherTap(tap), on_tap(amplifier, tap, None)));
        }
    }
    (cases.into_iter())
        .map(|(case, amplifier)| judge_case(parts, case, amplifier))
        .collect()
}

fn judge_case(parts: &Parts, case: Case, amplifier: Amplifier) -> Result<Judgement, Unanswered> {
    // Other cases get the two extremes alone: what decides is seen as it is wired.
    let high_ends: Vec<Option<(f64, f64)>> = match (parts.high_end_known, case) {
        (true, _) => vec![None],
        (false, Case::AsWired) => HIGH_ENDS.map(Some).into(),
        (false, _) => vec![Some(HIGH_ENDS[0]), Some(HIGH_ENDS[3])],
    };
    let mut judged = Judgement {
        case,
        stable: true,
        phase: None,
        phase_hertz: None,
        gain: None,
    };
    for high_end in high_ends {
        let mut amplifier = amplifier.clone();
        if let Some((leakage, capacitance)) = high_end {
            let iron = &mut amplifier.transformer;
            if iron.leakage == 0.0 {
                iron.leakage = leakage;
            }
            if iron.capacitance == 0.0 {
                iron.capacitance = capacitance;
            }
        }
        let linear = Linear::of(&amplifier)?;
        let open = Linear::of(&opened(&amplifier))?;
        let Some(found) = linear.stability(&open) else {
            continue;
        };
        judged.stable &= found.is_stable();
        if let Some(margin) = found.phase_margin() {
            let size = if found.is_stable() {
                margin.margin.abs()
            } else {
                -margin.margin.abs()
            };
            if judged.phase.is_none_or(|(least, _)| size < least) {
                judged.phase_hertz = Some(margin.hertz);
            }
            judged.phase = Some(spread(judged.phase, size));
        }
        if let Some(margin) = found.gain_margin() {
            judged.gain = Some(spread(judged.gain, margin.margin));
        }
    }
    Ok(judged)
}

fn spread(of: Option<(f64, f64)>, value: f64) -> (f64, f64) {
    of.map_or((value, value), |(least, most)| {
        (least.min(value), most.max(value))
    })
}
