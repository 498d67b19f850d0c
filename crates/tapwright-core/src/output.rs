//! What the output stage is, and what it delivers into each connection.

use serde::Serialize;

use crate::assumed::Assumed;
use crate::tube_in_use::TubeInUse;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{Exceeded, Passed};
use tapwright_stage::{Delivered, Idle, Stage};
use tapwright_units::{Decibels, Ohms, Watts};

mod bench;
mod chosen;
mod full_signal;
mod prepared;

pub(crate) use bench::{Bench, SOLVED_ONE_BY_ONE, Windings, solve_windings};
pub use chosen::{AtDrive, ChosenOutput, LinePoint, PlateCurve, Stopper, WavePoint};
pub(crate) use prepared::{Prepared, prepare, windings};

/// Distortion up to which power counts as clean: what most published examples of pentodes
/// and of triodes state theirs at.
const LITTLE_DISTORTION: f64 = 0.10;
const LITTLE_DISTORTION_OF_TRIODES: f64 = 0.05;

/// The distortion up to which the power of a stage counts as clean.
fn little_distortion(stage: &Stage) -> f64 {
    match stage.is_strapped() {
        true => LITTLE_DISTORTION_OF_TRIODES,
        false => LITTLE_DISTORTION,
    }
}

/// What the stage delivers into one connection.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Output {
    /// Power in the speakers at the onset of grid current.
    pub watts: Watts,
    /// The load behind the primary's copper: the reflected one, with what is known of the
    /// secondary's copper and of the core.
    pub load: Ohms,
    /// Power into that load: in the speakers, and lost behind the primary.
    pub into_load: Watts,
    /// That power divided by the power into the target load.
    pub against_target: Decibels,
    /// Total harmonic distortion there, 0 to 1.
    pub thd: f64,
    /// The limits that are passed up to full overdrive.
    pub passed: Passed,
}

/// The output stage as a whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolvedStage {
    /// The tube.
    pub tube: TubeInUse,
    /// What the stage was made of.
    pub assumed: Assumed,
    /// The stage as it was computed.
    pub stage: Stage,
    /// One tube at idle.
    pub idle: Idle,
    /// What is odd about it.
    pub conditions: Vec<Condition>,
    /// Limits that are passed at idle, whatever the load.
    pub idle_exceeds: Vec<Exceeded>,
    /// The load aimed at.
    pub target: Ohms,
    /// What goes into it at the onset of grid current.
    pub at_target: Delivered,
    /// Limits that the target load itself passes, up to full overdrive.
    pub target_passes: Passed,
    /// Limits that the target load passes at full signal.
    pub full_signal_passes: Passed,
    /// Power and distortion against load, an eighth to eight times the target.
    pub curve: Vec<CurvePoint>,
}

/// One load of the curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Load, Ω.
    pub load: f64,
    /// Power at the onset of grid current, W.
    pub watts: f64,
    /// Distortion there, 0 to 1.
    pub thd: f64,
}
