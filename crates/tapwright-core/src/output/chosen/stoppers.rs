//! The resistor that a hot screen wants.

use serde::Serialize;

use super::DRIVES;
use tapwright_stage::{Solver, Stage, stress};

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

/// A decade of the E12 series (IEC 60063, from memory), in tenths.
const E12: [u8; 12] = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];

/// Drives at which screens are hottest in most stages, to search with; full drive is one.
const SOME_DRIVES: [f64; 3] = [1.0, 2.0, 4.0];

/// The series from 100 Ω to 10 kΩ: below, it is for stability only; above, it is no stopper
/// any more. Common practice, no source.
fn customary() -> impl Iterator<Item = f64> {
    let decades = [10.0, 100.0].into_iter();
    let below = decades.flat_map(|tens| E12.map(|tenths| tens * f64::from(tenths)));
    below.chain([10_000.0])
}

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
    let larger: Vec<f64> = customary()
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
