//! The feedback at each position of the selector: along the control, and tap by tap.

use serde::Serialize;
use tapwright_amplifier::feedback::{decibels, with_ohms};
use tapwright_amplifier::{Amplifier, Feedback, Load, TakeOff};

use super::Unanswered;
use crate::amplifier::{has_control, resistor_at};
use crate::matching::FITS_WITHIN;
use crate::solved::Solved;

/// Points along the control.
const ALONG: usize = 13;

/// Feedback along the control, at one position of the selector.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AlongControl {
    /// Place of the tap that the speakers are on.
    pub tap: usize,
    /// Position and decibels.
    pub points: Vec<(f64, f64)>,
}

/// What the selector does to the feedback.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtTap {
    /// Place of the tap that the speakers are on.
    pub tap: usize,
    /// Place of the hookup that matches it, if one does.
    pub hookup: Option<usize>,
    /// The load that it was computed with, Ω.
    pub ohms: f64,
    /// Decibels with feedback from that tap.
    pub selected: f64,
    /// Decibels with feedback from one tap, whichever the speakers are on.
    pub fixed: f64,
}

/// The amplifier with the speakers on another tap, or others on it.
pub(super) fn on_tap(amplifier: &Amplifier, tap: usize, rated: Option<f64>) -> Amplifier {
    let mut other = amplifier.clone();
    other.transformer.selected = tap;
    other.transformer.grounded = None;
    if let Some(ohms) = rated {
        other.load = Some(Load::rated(ohms));
    }
    other
}

/// Feedback along the control for each tap, each with a load that matches it.
pub(super) fn along(
    solved: &Solved,
    amplifier: &Amplifier,
) -> Result<Vec<AlongControl>, Unanswered> {
    if !has_control(solved) || amplifier.feedback.is_none() {
        return Ok(Vec::new());
    }
    (0..amplifier.transformer.taps.len())
        .map(|tap| {
            let there = on_tap(amplifier, tap, matched(amplifier, tap));
            let points = (0..ALONG).map(|n| {
                let at = n as f64 / (ALONG - 1) as f64;
                let ohms = resistor_at(solved, at).unwrap_or_default();
                let found = decibels(&with_ohms(&there, ohms))?;
                Ok((at, found.unwrap_or_default()))
            });
            Ok(AlongControl {
                tap,
                points: points.collect::<Result<_, Unanswered>>()?,
            })
        })
        .collect()
}

/// The load on a tap that the primary sees as the one on the tap in use.
fn matched(amplifier: &Amplifier, tap: usize) -> Option<f64> {
    let turns = |at: usize| Some(amplifier.transformer.taps.get(at)?.turns);
    let ratio = turns(tap)? / turns(amplifier.transformer.selected)?;
    Some(amplifier.load.as_ref()?.rated * ratio * ratio)
}

/// Tap by tap, with a hookup of the set-up where one matches, else with a load that does:
/// feedback from the tap in use, and from a fixed one.
pub(super) fn by_tap(
    solved: &Solved,
    amplifier: &Amplifier,
    fixed: usize,
) -> Result<Vec<AtTap>, Unanswered> {
    let Some(feedback) = amplifier.feedback else {
        return Ok(Vec::new());
    };
    let mut all = Vec::new();
    for tap in 0..amplifier.transformer.taps.len() {
        let Some(ohms) = matched(amplifier, tap) else {
            continue;
        };
        let far = |impedance: f64| (impedance / ohms).ln().abs();
        let hookups = solved.hookups.iter();
        let best = hookups.min_by(|a, b| far(a.impedance.0).total_cmp(&far(b.impedance.0)));
        let best = best.filter(|hookup| far(hookup.impedance.0) <= FITS_WITHIN.ln());
        let rated = best.map_or(ohms, |hookup| hookup.impedance.0);
        let there = on_tap(amplifier, tap, Some(rated));
        let from = |from: TakeOff| -> Result<f64, Unanswered> {
            let feedback = Some(Feedback { from, ..feedback });
            let found = decibels(&Amplifier {
                feedback,
                ..there.clone()
            })?;
            Ok(found.unwrap_or_default())
        };
        all.push(AtTap {
            tap,
            hookup: best.map(|hookup| hookup.place),
            ohms: rated,
            selected: from(TakeOff::Selected)?,
            fixed: from(TakeOff::Tap(fixed))?,
        });
    }
    Ok(all)
}
