//! Distortion of the whole amplifier, by its circuit through one period: what the textbook's
//! estimate of [`Cleaned`](super::Cleaned) is held against.

use serde::Serialize;
use tapwright_amplifier::Amplifier;
use tapwright_amplifier::feedback::{HEADLINE_HERTZ, headline};
use tapwright_circuit::{Part, Transient};

use crate::amplifier;
use crate::solved::Solved;

/// Steps of one period: the rule is 1 % off at the seventh harmonic, and less below.
const STEPS: usize = 128;

/// Harmonics that are counted.
const ORDERS: usize = 7;

/// The output counts as reached when it is this near, as a share of it.
const NEAR: f64 = 0.01;

/// Tries to reach it.
const MOST_TRIES: usize = 6;

/// Distortion at the speaker at one output, with the feedback as it is set.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ThroughTime {
    /// Power in the load, W.
    pub watts: f64,
    /// Distortion of the whole amplifier, drivers included, 0 to 1; `None` where it cannot give
    /// that power.
    pub distortion: Option<f64>,
}

/// Distortion of the amplifier as it is set at so many watts each, into the rated resistance at
/// 1 kHz; `None` until it is known.
///
/// # Errors
/// Why the circuit has no answer, in words.
pub fn through_time(solved: &Solved, watts: &[f64]) -> Option<Result<Vec<ThroughTime>, String>> {
    let parts = amplifier::parts(solved)?;
    let at = |watts: &f64| {
        let distortion = distortion(&parts.amplifier, *watts)?;
        Ok(ThroughTime {
            watts: *watts,
            distortion,
        })
    };
    Some(watts.iter().map(at).collect())
}

fn distortion(amplifier: &Amplifier, watts: f64) -> Result<Option<f64>, String> {
    let rated = amplifier.load.as_ref().map_or(8.0, |load| load.rated);
    let wanted = (2.0 * watts * rated).sqrt();
    let gain = headline(amplifier).map_err(|why| why.to_string())?.gain;
    let mut built = amplifier.circuit().map_err(|why| why.to_string())?;
    let mut peak = wanted / gain;
    for _ in 0..MOST_TRIES {
        if let Some(Part::Volts { source, .. }) = built.circuit.part_mut("input") {
            source.sine = (peak, HEADLINE_HERTZ);
        }
        let wave = Transient::periodic(&built.circuit, HEADLINE_HERTZ, STEPS)
            .map_err(|why| why.to_string())?;
        let harmonics = wave.harmonics(built.jack, ORDERS);
        let squares: f64 = harmonics[2..].iter().map(|volts| volts * volts).sum();
        let off = harmonics[1] / wanted;
        if (off - 1.0).abs() < NEAR {
            return Ok(Some(squares.sqrt() / harmonics[1]));
        }
        peak /= off;
    }
    Ok(None)
}
