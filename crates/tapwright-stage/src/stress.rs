//! What a load asks of the tubes, from idle to full overdrive, against their limits.

use serde::Serialize;

use super::curve::Between;
use super::march::March;
use super::{Cycle, Drive, Idle, Instant, Solver, Stage, StageError};
use crate::tube::Topology;

/// Drives at which the stress of every load is looked for, over the one at which grid
/// current starts. Plates of a pair are hottest about the first, screens at the last:
/// full overdrive, 12 dB beyond, where a sine is nearly a square.
pub const DRIVES: [f64; 3] = [0.6, 1.0, 4.0];

/// What one tube bears at one drive, averaged over the cycle but for the peak; the worse
/// side of an unbalanced pair.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Stress {
    /// Drive over the one at which grid current starts; 0 at idle.
    pub drive: f64,
    /// Plate dissipation, W.
    pub plate_watts: f64,
    /// Screen dissipation, W.
    pub screen_watts: f64,
    /// Cathode current, A.
    pub cathode_amps: f64,
    /// Highest plate voltage from the cathode, V.
    pub peak_plate_volts: f64,
    /// Power in the load, W.
    pub watts: f64,
}

/// What a tube may bear; what is not known is not held against.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Bounds {
    /// Plate dissipation, W.
    pub plate_watts: Option<f64>,
    /// Screen dissipation, W.
    pub screen_watts: Option<f64>,
    /// Steady plate voltage from the cathode, V.
    pub plate_volts: Option<f64>,
    /// Steady screen voltage from the cathode, V.
    pub screen_volts: Option<f64>,
    /// Cathode current, A.
    pub cathode_amps: Option<f64>,
}

/// What can be too much for a tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Burden {
    /// Plate dissipation, W.
    PlateWatts,
    /// Screen dissipation, W.
    ScreenWatts,
    /// Cathode current, A.
    CathodeAmps,
    /// Steady plate voltage, V.
    PlateVolts,
    /// Steady screen voltage, V.
    ScreenVolts,
    /// Highest plate voltage over the cycle, V. Few sources give a limit.
    PeakPlateVolts,
}

/// The most that a tube bears of one kind, anywhere from idle to full overdrive.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Borne {
    /// Of which kind.
    pub burden: Burden,
    /// How much.
    pub value: f64,
    /// How much it may, if that is known.
    pub limit: Option<f64>,
    /// At which drive, over the one at which grid current starts; 0 is idle.
    pub drive: f64,
}

/// A limit that is passed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Exceeded {
    /// Which.
    pub burden: Burden,
    /// Drive over the one at which grid current starts, where it is passed by most; 0 is idle.
    pub drive: f64,
    /// What the tube bears there.
    pub value: f64,
    /// What it may bear.
    pub limit: f64,
}

impl Exceeded {
    /// How far beyond: value over limit.
    pub fn over(&self) -> f64 {
        self.value / self.limit
    }
}

impl Stress {
    /// What each tube bears in a solved cycle; `drive` as in [`Self::drive`].
    pub fn of(stage: &Stage, cycle: &Cycle, drive: f64) -> Self {
        let tubes = f64::from(stage.tubes_per_side);
        let worse = |pick: &dyn Fn(usize) -> f64| match stage.topology {
            Topology::SingleEnded => pick(0),
            Topology::PushPull => pick(0).max(pick(1)),
        };
        let sides = &cycle.sides;
        Self {
            drive,
            plate_watts: worse(&|j| sides[j].plate_watts) / tubes,
            screen_watts: worse(&|j| sides[j].screen_watts) / tubes,
            cathode_amps: worse(&|j| sides[j].plate_amps + sides[j].screen_amps) / tubes,
            peak_plate_volts: worse(&|j| sides[j].peak_plate_volts),
            watts: cycle.watts,
        }
    }

    /// What each tube bears along a path of equal instants that is a whole cycle, or the
    /// half of a symmetrical one.
    pub fn along(stage: &Stage, path: &[Instant], drive: f64) -> Self {
        let share = 1.0 / (path.len().max(1) as f64 * f64::from(stage.tubes_per_side));
        let mut worst = Self {
            drive,
            ..Self::default()
        };
        for j in 0..2 {
            let (mut plate, mut screen, mut cathode) = (0.0, 0.0, 0.0);
            for instant in path {
                plate += share * instant.plate_volts[j] * instant.plate_amps[j];
                screen += share * instant.screen_volts[j] * instant.screen_amps[j];
                cathode += share * (instant.plate_amps[j] + instant.screen_amps[j]);
                worst.peak_plate_volts = worst.peak_plate_volts.max(instant.plate_volts[j]);
            }
            worst.plate_watts = worst.plate_watts.max(plate);
            worst.screen_watts = worst.screen_watts.max(screen);
            worst.cathode_amps = worst.cathode_amps.max(cathode);
        }
        worst
    }

    fn burdens(&self, bounds: &Bounds) -> [(Burden, f64, Option<f64>); 3] {
        [
            (Burden::PlateWatts, self.plate_watts, bounds.plate_watts),
            (Burden::ScreenWatts, self.screen_watts, bounds.screen_watts),
            (Burden::CathodeAmps, self.cathode_amps, bounds.cathode_amps),
        ]
    }
}

/// Stress at each of `drives` into one load, from the least drive to the most.
///
/// # Errors
/// As [`Solver::cycle`].
pub fn against_drive(
    solver: &mut Solver,
    load_ohms: f64,
    drives: &[f64],
) -> Result<Vec<Stress>, StageError> {
    let onset = solver.cycle(load_ohms, Drive::OfGridCurrent(1.0))?;
    let stage = *solver.stage();
    drives
        .iter()
        .map(|&drive| {
            let cycle = if drive == 1.0 {
                onset
            } else if drive < 1.0 {
                solver.cycle(load_ohms, Drive::OfGridCurrent(drive))?
            } else {
                solver.cycle(load_ohms, Drive::Peak(onset.drive_peak * drive))?
            };
            Ok(Stress::of(&stage, &cycle, drive))
        })
        .collect()
}

/// Every limit that is passed anywhere in `stresses`, each where it is passed by most.
pub fn exceeded(stresses: &[Stress], bounds: &Bounds) -> Vec<Exceeded> {
    let mut found: Vec<Exceeded> = Vec::new();
    for stress in stresses {
        for (burden, value, limit) in stress.burdens(bounds) {
            let Some(limit) = limit.filter(|limit| value > *limit * TOLERANCE) else {
                continue;
            };
            let here = Exceeded {
                burden,
                drive: stress.drive,
                value,
                limit,
            };
            match found.iter_mut().find(|found| found.burden == burden) {
                Some(worst) if worst.value < value => *worst = here,
                Some(_) => {}
                None => found.push(here),
            }
        }
    }
    found
}

/// The limits that the idle point passes by itself, whatever the load.
pub fn exceeded_at_idle(idle: &Idle, bounds: &Bounds) -> Vec<Exceeded> {
    [
        (Burden::PlateWatts, idle.plate_watts, bounds.plate_watts),
        (Burden::ScreenWatts, idle.screen_watts, bounds.screen_watts),
        (
            Burden::CathodeAmps,
            idle.plate_amps + idle.screen_amps,
            bounds.cathode_amps,
        ),
        (Burden::PlateVolts, idle.plate_volts, bounds.plate_volts),
        (Burden::ScreenVolts, idle.screen_volts, bounds.screen_volts),
    ]
    .into_iter()
    .filter_map(|(burden, value, limit)| {
        let limit = limit.filter(|limit| value > *limit * TOLERANCE)?;
        Some(Exceeded {
            burden,
            drive: 0.0,
            value,
            limit,
        })
    })
    .collect()
}

/// The most of each burden from idle to the last of `stresses`.
pub fn burdens(idle: &Idle, stresses: &[Stress], bounds: &Bounds) -> Vec<Borne> {
    let at_idle = Stress {
        drive: 0.0,
        plate_watts: idle.plate_watts,
        screen_watts: idle.screen_watts,
        cathode_amps: idle.plate_amps + idle.screen_amps,
        peak_plate_volts: idle.plate_volts,
        watts: 0.0,
    };
    let most = |burden, limit, pick: fn(&Stress) -> f64| {
        let worst = stresses.iter().fold(&at_idle, |worst, stress| {
            if pick(stress) > pick(worst) {
                stress
            } else {
                worst
            }
        });
        Borne {
            burden,
            value: pick(worst),
            limit,
            drive: worst.drive,
        }
    };
    let steady = |burden, value, limit| Borne {
        burden,
        value,
        limit,
        drive: 0.0,
    };
    vec![
        most(Burden::PlateWatts, bounds.plate_watts, |s| s.plate_watts),
        most(Burden::ScreenWatts, bounds.screen_watts, |s| s.screen_watts),
        most(Burden::CathodeAmps, bounds.cathode_amps, |s| s.cathode_amps),
        steady(Burden::PlateVolts, idle.plate_volts, bounds.plate_volts),
        steady(Burden::ScreenVolts, idle.screen_volts, bounds.screen_volts),
        most(Burden::PeakPlateVolts, None, |s| s.peak_plate_volts),
    ]
}

/// A limit counts as passed beyond this factor: what a rounded published example itself does.
pub const TOLERANCE: f64 = 1.02;

/// Stress over a range of loads at [`DRIVES`].
#[derive(Debug, Clone, PartialEq)]
pub struct StressCurve {
    nodes: Vec<Node>,
}

/// The logarithm of a load, and the stress there.
type Node = (f64, [Stress; DRIVES.len()]);

impl StressCurve {
    /// Solves the stage at the loads of cycles at the onset of grid current, lowest load
    /// first. A load that cannot be solved is left out.
    pub fn solve<'a>(stage: Stage, onsets: impl Iterator<Item = &'a Cycle>) -> Self {
        // One solver for each drive: every cycle starts from its neighbour.
        let mut below = March::new(stage);
        let mut beyond = March::new(stage);
        let nodes = onsets.filter_map(|onset| {
            let load = onset.load_ohms;
            let [low, _, high] = DRIVES;
            let low_cycle = below.cycle(load, Drive::OfGridCurrent(low)).ok()?;
            let peak = Drive::Peak(high * onset.drive_peak);
            let high_cycle = beyond.cycle(load, peak).ok()?;
            let stresses = [
                Stress::of(&stage, &low_cycle, low),
                Stress::of(&stage, onset, 1.0),
                Stress::of(&stage, &high_cycle, high),
            ];
            Some((load.ln(), stresses))
        });
        Self {
            nodes: nodes.collect(),
        }
    }

    /// Stress at [`DRIVES`] into `load`, Ω; `None` outside of what could be solved.
    pub fn at(&self, load: f64) -> Option<[Stress; DRIVES.len()]> {
        let nodes = &self.nodes;
        let between = Between::find(load.ln(), nodes.len(), |n| nodes[n].0)?;
        Some(std::array::from_fn(|d| {
            let value = |pick: fn(&Stress) -> f64| between.value(|n| pick(&nodes[n].1[d])).max(0.0);
            Stress {
                drive: DRIVES[d],
                plate_watts: value(|s| s.plate_watts),
                screen_watts: value(|s| s.screen_watts),
                cathode_amps: value(|s| s.cathode_amps),
                peak_plate_volts: value(|s| s.peak_plate_volts),
                watts: value(|s| s.watts),
            }
        }))
    }
}
