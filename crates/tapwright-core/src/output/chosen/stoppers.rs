//! The resistor that a hot screen wants.

use serde::Serialize;

use super::DRIVES;
use tapwright_stage::{Solver, Stage, stress};
use tapwright_units::e_series::E12;

/// A resistor at each screen that keeps it within its limit up to full overdrive.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stopper {
    /// Ω, of the E12 series.
    pub ohms: f64,
    /// The most that a screen dissipates with it, W.
    pub screen_watts: f64,
    /// Power in the speakers with it at the onset of grid current, W.
    pub watts: f64,
}

/// Drives at which screens are hottest in most stages, to search with; full drive is one.
const SOME_DRIVES: [f64; 3] = [1.0, 2.0, 4.0];

/// The smallest and the largest that is suggested, Ω: a smaller one is for stability only, a
/// larger one is no stopper any more. Common practice, no source.
const CUSTOMARY: (f64, f64) = (100.0, 10_000.0);

/// The least resistor, larger than the present one, with which a screen dissipates no more
/// than `limit`, W, into `load`, Ω, at any drive up to full overdrive; bias and supply stay.
/// `None` where none up to 10 kΩ does, or one cannot be solved. Its `watts` are those in the
/// load.
pub(super) fn wanted(stage: &Stage, load: f64, limit: f64) -> Option<Stopper> {
    let mut solver = Solver::new(*stage);
    let mut with = |ohms: f64, drives: &[f64]| {
        let mut stage = *stage;
        stage.stoppers.each = ohms;
        solver.go_on_with(stage);
        let stresses = stress::against_drive(&mut solver, load, drives).ok()?;
        let hottest = stresses.iter().map(|stress| stress.screen_watts);
        Some(Stopper {
            ohms,
            screen_watts: hottest.fold(0.0, f64::max),
            watts: stresses.iter().find(|stress| stress.drive == 1.0)?.watts,
        })
    };
    let larger: Vec<f64> = E12
        .between(CUSTOMARY.0, CUSTOMARY.1)
        .filter(|ohms| *ohms > stage.stoppers.each)
        .collect();
    // What a screen dissipates falls as its resistor grows.
    let (mut few, mut enough) = (0, larger.len());
    while few < enough {
        let middle = usize::midpoint(few, enough);
        if with(larger[middle], &SOME_DRIVES)?.screen_watts <= limit {
            enough = middle;
        } else {
            few = middle + 1;
        }
    }
    for ohms in &larger[few..] {
        let stopper = with(*ohms, &DRIVES)?;
        if stopper.screen_watts <= limit {
            return Some(stopper);
        }
    }
    None
}
