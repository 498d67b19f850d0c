//! The feedback over frequency: the level at the speakers, the source that they see, the loop
//! gain.

use serde::Serialize;
use tapwright_amplifier::Amplifier;
use tapwright_amplifier::feedback::{Linear, opened, source_impedance, with_ohms};
use tapwright_speaker::sweep::SPAN;

use super::{Setting, Unanswered};

/// Frequencies of a curve. Each costs a solution of the whole circuit.
const FREQUENCIES: usize = 49;

/// The level at the speakers over frequency at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Response {
    /// The feedback resistor; `None` without feedback.
    pub ohms: Option<f64>,
    /// Hz, and dB against 1 kHz at the setting typed.
    pub points: Vec<(f64, f64)>,
    /// Whether the loop oscillates there, and nothing was drawn.
    pub oscillates: bool,
}

fn frequencies() -> impl Iterator<Item = f64> {
    (0..FREQUENCIES).map(|n| SPAN.0 * (SPAN.1 / SPAN.0).powf(n as f64 / (FREQUENCIES - 1) as f64))
}

/// The level at the speakers, with them as they are over frequency: at both ends of the control
/// and as it is set, or without feedback and with it.
pub(super) fn responses(
    amplifier: &Amplifier,
    now: Option<Setting>,
    ends: Option<[Setting; 2]>,
) -> Result<Vec<Response>, Unanswered> {
    let mut settings: Vec<Option<f64>> = match (now, ends) {
        (Some(now), Some([low, high])) => vec![Some(low.ohms), Some(now.ohms), Some(high.ohms)],
        (Some(now), None) => vec![None, Some(now.ohms)],
        (None, _) => vec![None],
    };
    settings.dedup();
    let build = |ohms: Option<f64>| match ohms {
        Some(ohms) => with_ohms(amplifier, ohms),
        None => opened(amplifier),
    };
    let level = |linear: &Linear, hertz: f64| {
        let gain = linear.gain(hertz).ok_or(Unanswered::Singular)?;
        Ok(20.0 * gain.norm().log10())
    };
    let zero = level(&Linear::of(&build(now.map(|now| now.ohms)))?, 1e3)?;
    settings
        .into_iter()
        .map(|ohms| {
            let amplifier = build(ohms);
            let linear = Linear::of(&amplifier)?;
            let oscillates = linear.growing().is_none_or(|growing| growing > 0);
            let points = frequencies().map(|hertz| Ok((hertz, level(&linear, hertz)? - zero)));
            Ok(Response {
                ohms,
                points: match oscillates {
                    true => Vec::new(),
                    false => points.collect::<Result<_, Unanswered>>()?,
                },
                oscillates,
            })
        })
        .collect()
}

pub(super) fn source(amplifier: &Amplifier) -> Result<Vec<(f64, f64)>, Unanswered> {
    let hertz: Vec<f64> = frequencies().collect();
    let found = source_impedance(amplifier, &hertz)?;
    Ok(hertz
        .into_iter()
        .zip(found.into_iter().map(|z| z.norm()))
        .collect())
}

/// The loop gain from 10 Hz to 100 kHz.
pub(super) fn loop_gain(linear: &Linear) -> Vec<(f64, f64, f64)> {
    let hertz = (0..=64).map(|n| 10.0 * 10_f64.powf(n as f64 / 16.0));
    let mut before = None;
    hertz
        .filter_map(|hertz| {
            let t = linear.loop_gain(hertz)?;
            // Degrees go on from their neighbour, so that the curve does not jump.
            let mut degrees = t.arg().to_degrees();
            if let Some(before) = before {
                let before: f64 = before;
                degrees += 360.0 * ((before - degrees) / 360.0).round();
            }
            before = Some(degrees);
            Some((hertz, 20.0 * t.norm().log10(), degrees))
        })
        .collect()
}
