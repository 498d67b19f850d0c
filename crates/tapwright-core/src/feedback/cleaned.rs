//! Distortion of the output stage, and what feedback leaves of it.

use serde::Serialize;
use tapwright_amplifier::feedback::{HEADLINE_HERTZ, Linear};
use tapwright_stage::{Cycle, Drive, Solver};
use tapwright_units::zero::zero_between;

use crate::solved::Solved;

/// A power counts as reached when it is this near, as a share of it.
const NEAR: f64 = 1e-6;

/// Distortion at one output, without and with feedback.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cleaned {
    /// Power in the load, W.
    pub watts: f64,
    /// Distortion of the output stage without feedback, 0 to 1.
    pub open: f64,
    /// The same harmonics, each divided by `1 + T` at its frequency.
    pub closed: f64,
}

/// Distortion of the output stage at 1 W and at half of its full power; with feedback each
/// harmonic is divided by `1 + T` at its own frequency. The textbook's estimate, good while
/// nothing is overdriven.
pub(super) fn cleaned(solved: &Solved, linear: &Linear) -> Vec<Cleaned> {
    let (Some(stage), Some(judged)) = (solved.stage(), solved.followed()) else {
        return Vec::new();
    };
    let Some(output) = judged.output else {
        return Vec::new();
    };
    let mut solver = Solver::new(stage.stage);
    let share = output.watts.0 / output.into_load.0;
    let full = output.watts.0;
    let mut all = Vec::new();
    for watts in [1.0, full / 2.0] {
        if watts >= full {
            continue;
        }
        let Some(cycle) = at_power(&mut solver, output.load.0, watts / share) else {
            continue;
        };
        let first = cycle.harmonics[0];
        let divided = (2..=cycle.harmonics.len()).map(|order| {
            let by = linear.divided_by(order as f64 * HEADLINE_HERTZ);
            (cycle.harmonics[order - 1] / first / by).powi(2)
        });
        all.push(Cleaned {
            watts,
            open: cycle.thd,
            closed: divided.sum::<f64>().sqrt(),
        });
    }
    all
}

/// The cycle that gives so many watts, less than at full drive.
fn at_power(solver: &mut Solver, load: f64, watts: f64) -> Option<Cycle> {
    let mut found = None;
    zero_between(0.0, 1.0, |drive| {
        found = solver.cycle(load, Drive::OfGridCurrent(drive)).ok();
        let off = found.map_or(f64::NAN, |cycle| cycle.watts / watts - 1.0);
        if off.abs() < NEAR { 0.0 } else { off }
    });
    found
}
