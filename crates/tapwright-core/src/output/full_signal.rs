//! The drive that a published example calls full signal.

use super::SolvedStage;
use tapwright_stage::stress::{self, Passed, Stress};
use tapwright_stage::{Cycle, Drive, Solver, Stage};
use tapwright_tube::{Bias, FullSignal, OperatingExample, TubeConnection};

/// A stage counts as connected as published where volts, bias and load are within this
/// factor of the example's.
const AS_PUBLISHED: f64 = 1.03;

/// The limits that the stage passes into its target load, at idle and at full signal.
///
/// Full signal is the drive at which grid current starts. A stage that is connected as an
/// example is published is judged at the drive that the example states, by its volts, its
/// distortion or its power.
pub(super) fn passes(stage: &SolvedStage) -> Passed {
    let mut solver = Solver::new(stage.stage);
    let load = stage.target.0;
    let Ok(onset) = solver.cycle(load, Drive::OfGridCurrent(1.0)) else {
        return Passed::default();
    };
    let drive = example(stage).map_or(1.0, |example| {
        let tubes = f64::from(stage.assumed.tubes.0);
        stated(&mut solver, example, &onset, tubes)
    });
    let cycle = match solver.cycle(load, Drive::OfGridCurrent(drive)) {
        Ok(cycle) if drive < 1.0 => cycle,
        _ => onset,
    };
    let stress = Stress::of(&stage.stage, &cycle, drive);
    stress::exceeded(&stage.idle, &[stress], &stage.tube.bounds)
}

/// The published example that the stage is connected as.
fn example(stage: &SolvedStage) -> Option<&'static OperatingExample> {
    let tube = tapwright_tube::find(stage.tube.designation?)?;
    tube.examples.iter().find(|example| is_as(stage, example))
}

fn is_as(solved: &SolvedStage, example: &OperatingExample) -> bool {
    let stage: &Stage = &solved.stage;
    let near = |a: f64, b: f64| (a / b).max(b / a) <= AS_PUBLISHED;
    // Examples are for one tube on each side.
    let beside = f64::from(stage.tubes_per_side);
    let strapped = example.connection == TubeConnection::Triode;
    // The stage's volts are counted from the cathode.
    let drop = match example.counts_from_cathode() {
        true => 0.0,
        false => example.cathode_volts(),
    };
    let bias = match (stage.bias, example.bias) {
        (Bias::Fixed(a), Bias::Fixed(b)) => near(a.min(-1e-3), b.min(-1e-3)),
        (Bias::Cathode(a), Bias::Cathode(b)) => near(a * beside, b),
        _ => false,
    };
    stage.topology == example.topology
        && stage.is_strapped() == strapped
        && near(solved.idle.plate_volts, example.plate_volts - drop)
        && (strapped
            || near(
                solved.idle.screen_volts.max(1.0),
                example.screen_volts() - drop,
            ))
        && bias
        && near(solved.target.0 * beside, example.load_ohms)
}

/// The drive that the example states, as a share of the one at which grid current starts.
fn stated(solver: &mut Solver, example: &OperatingExample, onset: &Cycle, tubes: f64) -> f64 {
    let customary = f64::from(crate::published::customary_tubes(example.topology));
    let (reached, wanted): (fn(&Cycle) -> f64, f64) =
        match (example.full_signal, example.thd_percent, example.watts) {
            (FullSignal::Drive(rms), ..) => {
                return (rms * std::f64::consts::SQRT_2 / onset.drive_peak).min(1.0);
            }
            (FullSignal::Distortion, Some(percent), _) => (|cycle| cycle.thd, percent / 100.0),
            (_, _, Some(watts)) => (|cycle| cycle.watts, watts * tubes / customary),
            _ => return 1.0,
        };
    if reached(onset) <= wanted {
        return 1.0;
    }
    let (mut low, mut high) = (0.0, 1.0);
    // To a thousandth of the drive.
    for _ in 0..10 {
        let middle = 0.5 * (low + high);
        let cycle = solver.cycle(onset.load_ohms, Drive::OfGridCurrent(middle));
        match cycle.is_ok_and(|cycle| reached(&cycle) <= wanted) {
            true => low = middle,
            false => high = middle,
        }
    }
    0.5 * (low + high)
}
