//! The stage before its loads are known.

use crate::assumed::{self, Assumed, Supplied};
use crate::tube_in_use::TubeInUse;
use crate::values::Values;
use tapwright_stage::{Idle, LoadCurve, Stage, StageError};
use tapwright_units::Ohms;
use tapwright_units::rounding::to_significant_digits;

use super::little_distortion;

/// The stage on one winding resistance of the primary, and its idle point.
pub(crate) struct Prepared {
    pub(super) tube: TubeInUse,
    pub(super) stage: Stage,
    pub(super) assumed: Assumed,
    pub(super) idle: Idle,
}

/// The stage on each winding resistance that the primary leads have, behind the supply that is
/// described; `None` without a tube.
///
/// # Errors
/// Why the stage has no idle point.
pub(crate) fn prepare(
    values: &Values,
    supplied: Option<&Supplied>,
) -> Option<Result<Vec<Prepared>, StageError>> {
    let tube = assumed::tube(values)?;
    let prepare = |ohms| {
        let (stage, assumed) = assumed::stage(values, &tube, ohms, supplied)?;
        Ok(Prepared {
            idle: Idle::of(&stage)?,
            tube: tube.clone(),
            stage,
            assumed,
        })
    };
    Some(windings(values).into_iter().map(prepare).collect())
}

/// The winding resistances that the primary leads have, each once: the stage is solved on
/// every one of them. A single zero where none is known.
pub(crate) fn windings(values: &Values) -> Vec<f64> {
    let leads = values.leads.as_ref().map_or(1, Vec::len);
    let mut windings = Vec::new();
    for lead in 0..leads {
        let ohms = values.iron.primary_ohms(lead);
        if !windings.contains(&ohms) {
            windings.push(ohms);
        }
    }
    windings
}

impl Prepared {
    /// Tubes in all.
    pub fn tubes(&self) -> u32 {
        self.assumed.tubes.0
    }

    /// The primary's winding resistance, Ω.
    pub fn primary_ohms(&self) -> f64 {
        self.stage.primary_ohms
    }

    /// The load to aim at where nothing is published or typed, to three digits: of the loads
    /// within three octaves of twice the idle volts over the idle current, the one with the most
    /// power at 5 % distortion (triodes) or 10 %. Further off a stage may be cleaner still, at
    /// next to no power.
    pub fn best_load(&self) -> Option<Ohms> {
        let guess = 2.0 * self.idle.plate_volts / self.idle.all_plate_amps.max(1e-4);
        let guess = guess.clamp(100.0, 1e6);
        let loads = (guess / 8.0, guess * 8.0);
        let curve = LoadCurve::solve(self.stage, guess, loads).ok()?;
        let best = curve.best_load(loads, little_distortion(&self.stage))?;
        Some(Ohms(to_significant_digits(best, 3)))
    }
}
