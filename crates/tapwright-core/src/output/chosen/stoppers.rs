//! Resistors at the screens: what they take, and which one a hot screen wants.

use serde::Serialize;

use crate::stage::stress::{DRIVES, Stress};
use crate::stage::{Drive, Instant, Solver, Stage, StageError};

/// A resistor at each screen that keeps it within its limit in full overdrive.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stopper {
    /// Ω, of the E12 series.
    pub ohms: f64,
    /// Screen dissipation with it in full overdrive, W.
    pub screen_watts: f64,
    /// Power in the speakers with it at the onset of grid current, W.
    pub watts: f64,
}

/// A decade of the E12 series (IEC 60063, from memory), in tenths.
const E12: [u8; 12] = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];

/// The series from 100 Ω to 10 kΩ: below, it is for stability only; above, it is no stopper
/// any more. Common practice, no source.
fn customary() -> impl Iterator<Item = f64> {
    let decades = [10.0, 100.0].into_iter();
    let below = decades.flat_map(|tens| E12.map(|tenths| tens * f64::from(tenths)));
    below.chain([10_000.0])
}

/// What the hottest of the resistors at the screens takes along a path, W.
pub(super) fn watts(stage: &Stage, path: &[Instant]) -> f64 {
    let square = |side: usize| {
        let squares = path.iter().map(|at| at.screen_amps[side].powi(2));
        squares.sum::<f64>() / path.len() as f64
    };
    let tubes = f64::from(stage.tubes_per_side);
    stage.stoppers.each * square(0).max(square(1)) / (tubes * tubes)
}

/// The least resistor, larger than the present one, with which a screen dissipates no more
/// than `limit`, W, in full overdrive into `load`, Ω. `None` where none up to 10 kΩ does. Its
/// `watts` are those in the load.
///
/// # Errors
/// As [`Solver::cycle`].
pub(super) fn wanted(stage: &Stage, load: f64, limit: f64) -> Result<Option<Stopper>, StageError> {
    let mut at_onset = Solver::new(*stage);
    let mut beyond = Solver::new(*stage);
    let mut with = |ohms: f64| {
        let mut stage = *stage;
        stage.stoppers.each = ohms;
        at_onset.go_on_with(stage);
        beyond.go_on_with(stage);
        let full = at_onset.cycle(load, Drive::OfGridCurrent(1.0))?;
        let overdrive = DRIVES[DRIVES.len() - 1] * full.drive_peak;
        let overdriven = beyond.cycle(load, Drive::Peak(overdrive))?;
        Ok(Stopper {
            ohms,
            screen_watts: Stress::of(&stage, &overdriven, 0.0).screen_watts,
            watts: full.watts,
        })
    };
    let larger: Vec<f64> = customary()
        .filter(|ohms| *ohms > stage.stoppers.each)
        .collect();
    // What a screen dissipates falls as its resistor grows.
    let (mut few, mut enough) = (0, larger.len());
    let mut found = None;
    while few < enough {
        let middle = usize::midpoint(few, enough);
        let stopper = with(larger[middle])?;
        if stopper.screen_watts <= limit {
            enough = middle;
            found = Some(stopper);
        } else {
            few = middle + 1;
        }
    }
    Ok(found)
}
