//! What the feedback does: a costly leaf of its own, a pure function of [`Solved`].

use serde::Serialize;
use tapwright_amplifier::TakeOff;
use tapwright_amplifier::feedback::{
    Headline, Linear, at_full_volume, headline, opened, with_ohms,
};

mod cleaned;
mod over_frequency;
mod reduced;
mod stability;
mod tap;
mod through_time;
mod wanted;

pub use cleaned::Cleaned;
pub use over_frequency::Response;
pub use reduced::Reduced;
pub use stability::{Case, Judgement};
pub use tap::{AlongControl, AtTap};
pub use through_time::{ThroughTime, through_time};
pub use wanted::Found;

use crate::amplifier::{self, Parts};
use crate::solved::Solved;
use crate::taken::Taken;

/// A setting of the control, or a fixed resistor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Setting {
    /// Position of the control, 0 to 1; `None` without one.
    pub position: Option<f64>,
    /// The feedback resistor, Ω.
    pub ohms: f64,
    /// The headline numbers there.
    pub headline: Headline,
}

/// What the feedback does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoopReport {
    /// What was taken where nothing is typed.
    pub taken: Vec<Taken>,
    /// Whether leakage and capacitance of the primary are both known.
    pub high_end_known: bool,
    /// The headline without feedback.
    pub without: Headline,
    /// As it is set; `None` without feedback.
    pub now: Option<Setting>,
    /// The headline with the volume control that stands inside the loop all the way up; `None`
    /// where none does, or it is up already.
    pub at_full_volume: Option<Headline>,
    /// The control at both ends.
    pub ends: Option<[Setting; 2]>,
    /// Volts at the input for full output, rms: without feedback and as it is set.
    pub input_for_full: Option<[f64; 2]>,
    /// Rated ohms of the hookup.
    pub rated: f64,
    /// Feedback along the control for each tap.
    pub along: Vec<AlongControl>,
    /// Tap by tap: taken from the tap in use, and from a fixed one.
    pub by_tap: Vec<AtTap>,
    /// The tap that stands for the fixed one.
    pub fixed_tap: usize,
    /// The level at the speakers for three settings.
    pub responses: Vec<Response>,
    /// Hz, and the source impedance in Ω, as it is set.
    pub source: Vec<(f64, f64)>,
    /// Hz, decibels and degrees of the loop gain, as it is set.
    pub loop_gain: Vec<(f64, f64, f64)>,
    /// Whether the loop is stable.
    pub stability: Vec<Judgement>,
    /// The answer to decibels wanted.
    pub found: Option<Found>,
    /// Distortion at 1 W and at half of the full power.
    pub cleaned: Vec<Cleaned>,
    /// The formulas that its numbers come near to by hand.
    pub reduced: Vec<Reduced>,
}

/// What the feedback does in the connection that is followed; `None` until tube, driver,
/// transformer and speaker are known.
///
/// # Errors
/// Why the circuit has no answer, in words.
pub fn ask(solved: &Solved) -> Option<Result<LoopReport, String>> {
    let parts = amplifier::parts(solved)?;
    Some(report(solved, &parts).map_err(|why| why.to_string()))
}

type Unanswered = tapwright_amplifier::feedback::Unanswered;

fn report(solved: &Solved, parts: &Parts) -> Result<LoopReport, Unanswered> {
    let amplifier = &parts.amplifier;
    let without = headline(&opened(amplifier))?;
    let set = |position: Option<f64>, ohms: f64| -> Result<Setting, Unanswered> {
        Ok(Setting {
            position,
            ohms,
            headline: headline(&with_ohms(amplifier, ohms))?,
        })
    };
    let has_control = amplifier::has_control(solved);
    let position = has_control.then(|| amplifier::position(solved));
    let now = match &amplifier.feedback {
        Some(feedback) => Some(set(position, feedback.ohms)?),
        None => None,
    };
    let ends = match (has_control, &amplifier.feedback) {
        (true, Some(_)) => {
            let end = |at: f64| {
                set(
                    Some(at),
                    amplifier::resistor_at(solved, at).unwrap_or_default(),
                )
            };
            Some([end(0.0)?, end(1.0)?])
        }
        _ => None,
    };
    let rated = amplifier.load.as_ref().map_or(8.0, |load| load.rated);
    let full = solved
        .followed()
        .and_then(|judged| judged.output)
        .map(|output| output.watts.0);
    let input_for_full = full.map(|watts| {
        let volts = (watts * rated).sqrt();
        let gain = now.map_or(without.gain, |now| now.headline.gain);
        [volts / without.gain, volts / gain]
    });
    let fixed_tap = match amplifier.feedback.map(|feedback| feedback.from) {
        Some(TakeOff::Tap(at)) => at,
        _ => amplifier.transformer.selected,
    };
    let stability = stability::judge(parts)?;
    let stable = stability.first().is_none_or(|judged| judged.stable);
    let linear = Linear::of(amplifier)?;
    Ok(LoopReport {
        taken: parts.taken.clone(),
        high_end_known: parts.high_end_known,
        without,
        now,
        at_full_volume: match at_full_volume(amplifier) {
            Some(full) => Some(headline(&full)?),
            None => None,
        },
        ends,
        input_for_full,
        rated,
        along: tap::along(solved, amplifier)?,
        by_tap: tap::by_tap(solved, amplifier, fixed_tap)?,
        fixed_tap,
        responses: over_frequency::responses(amplifier, now, ends)?,
        source: match stable {
            true => over_frequency::source(amplifier)?,
            false => Vec::new(),
        },
        loop_gain: over_frequency::loop_gain(&linear),
        found: wanted::found(solved, amplifier)?,
        reduced: reduced::every(amplifier, without, now, rated)?,
        cleaned: cleaned::cleaned(solved, &linear),
        stability,
    })
}
