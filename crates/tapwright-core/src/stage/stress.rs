//! What a load asks of the tubes, from idle to full overdrive, against their limits.

use serde::Serialize;

use super::curve::cubic;
use super::{Cycle, Drive, Idle, Instant, Solver, Stage, StageError};
use crate::tube::{Limits, Topology};

/// Drives at which stress is looked for, over the one at which grid current starts. The
/// last is full overdrive: 12 dB beyond, where a sine is nearly a square.
pub const DRIVES: [f64; 5] = [0.5, 0.75, 1.0, 1.5, 4.0];

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

impl From<&Limits> for Bounds {
    fn from(limits: &Limits) -> Self {
        Self {
            plate_watts: Some(limits.plate_watts),
            screen_watts: limits.screen_watts,
            plate_volts: Some(limits.plate_volts),
            screen_volts: limits.screen_volts,
            cathode_amps: limits.cathode_ma.map(|ma| ma / 1e3),
        }
    }
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

/// A limit counts as passed beyond this factor: what a rounded published example itself does.
pub const TOLERANCE: f64 = 1.02;

/// Stress over a range of loads at [`DRIVES`].
#[derive(Debug, Clone, PartialEq)]
pub struct StressCurve {
    nodes: Vec<(f64, [Stress; DRIVES.len()])>,
}

impl StressCurve {
    /// Solves the stage at `loads`, Ω, lowest first. A load that cannot be solved is left out.
    pub fn solve(stage: Stage, loads: impl Iterator<Item = f64>) -> Self {
        let mut solver = Solver::new(stage);
        let nodes = loads.filter_map(|load| {
            let stresses = against_drive(&mut solver, load, &DRIVES).ok()?;
            Some((
                load.ln(),
                <[Stress; DRIVES.len()]>::try_from(stresses).ok()?,
            ))
        });
        Self {
            nodes: nodes.collect(),
        }
    }

    /// Stress at [`DRIVES`] into `load`, Ω; `None` outside of what could be solved.
    pub fn at(&self, load: f64) -> Option<[Stress; DRIVES.len()]> {
        let x = load.ln();
        let after = self.nodes.partition_point(|node| node.0 < x);
        let left = after.checked_sub(1)?;
        let (a, b) = (self.nodes.get(left)?, self.nodes.get(after)?);
        let before = left.checked_sub(1).and_then(|at| self.nodes.get(at));
        let beyond = self.nodes.get(after + 1);
        let mut stresses = a.1;
        for (d, stress) in stresses.iter_mut().enumerate() {
            let between = |pick: fn(&Stress) -> f64| {
                let point = |node: &(f64, [Stress; DRIVES.len()])| (node.0, pick(&node.1[d]));
                cubic(x, before.map(point), point(a), point(b), beyond.map(point)).max(0.0)
            };
            stress.plate_watts = between(|s| s.plate_watts);
            stress.screen_watts = between(|s| s.screen_watts);
            stress.cathode_amps = between(|s| s.cathode_amps);
            stress.peak_plate_volts = between(|s| s.peak_plate_volts);
            stress.watts = between(|s| s.watts);
        }
        Some(stresses)
    }
}
