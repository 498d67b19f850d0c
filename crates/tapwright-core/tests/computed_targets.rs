//! The load to aim at where nothing is published: held against a dense search.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod common;

use tapwright_core::published;
use tapwright_core::target::Target;
use tapwright_stage::{Cycle, Drive, Idle, Solver, Stage};

use common::report;

/// Loads tried to the octave: steps of 0.7 %.
const TO_THE_OCTAVE: i32 = 96;

/// Loads tried on either side of twice the idle volts over the idle current: three
/// octaves.
const STEPS: i32 = 3 * TO_THE_OCTAVE;

/// No load gives half a per cent more power than the computed one with as little distortion;
/// where no load is that clean, none is cleaner by more than that. Every tube of the table at
/// half and at four fifths of its plate's limit, in every stage for which nothing is published.
#[test]
fn no_load_is_better_than_the_computed_one() {
    let mut tried = 0;
    for tube in published::types() {
        for stage in ["push-pull", "single-ended"] {
            for screens in ["steady", "taps", "plates"] {
                for part in [0.5, 0.8] {
                    let supply = (plate_volts(tube) * part).round();
                    let of = format!("stage={stage}&screens={screens}&tube={tube}&supply={supply}");
                    let solved = report(&of).solved;
                    let Target::Computed(load) = solved.target else {
                        continue;
                    };
                    let stage = solved.stage.unwrap().unwrap().stage;
                    let most_thd = if stage.is_strapped() { 0.05 } else { 0.1 };
                    check(&of, stage, load.0, most_thd);
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 60, "{tried}");
}

/// The most that its plate may have.
fn plate_volts(tube: &str) -> f64 {
    tapwright_tube::find(tube).unwrap().limits[0].plate_volts
}

fn check(of: &str, stage: Stage, load: f64, most_thd: f64) {
    let mut solver = Solver::new(stage);
    let mut solve = |load: f64| solver.cycle(load, Drive::OfGridCurrent(1.0)).unwrap();
    let chosen = solve(load);
    let idle = Idle::of(&stage).unwrap();
    let middle = 2.0 * idle.plate_volts / idle.all_plate_amps;
    let part = |step: i32| f64::from(step) / f64::from(TO_THE_OCTAVE);
    let cycles: Vec<Cycle> = (-STEPS..=STEPS)
        .map(|step| solve(middle * part(step).exp2()))
        .collect();
    let clean = cycles.iter().filter(|cycle| cycle.thd <= most_thd);
    let most = clean.map(|cycle| cycle.watts).reduce(f64::max);
    if let Some(most) = most {
        let (watts, thd) = (chosen.watts, chosen.thd);
        assert!(
            watts >= 0.995 * most,
            "{of}: {watts} W, and {most} W elsewhere"
        );
        assert!(thd <= 1.005 * most_thd, "{of}: {thd}");
    } else {
        let most = cycles.iter().map(|cycle| cycle.watts).fold(0.0, f64::max);
        let loud = cycles.iter().filter(|cycle| cycle.watts >= 0.5 * most);
        let least = loud.map(|cycle| cycle.thd).fold(f64::MAX, f64::min);
        assert!(
            chosen.thd <= 1.005 * least,
            "{of}: {} of {least}",
            chosen.thd
        );
    }
}
