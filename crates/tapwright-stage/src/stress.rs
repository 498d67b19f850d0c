//! What a load asks of the tubes, from idle to full overdrive, against their limits.

use serde::Serialize;

use super::cubic;
use super::{Cycle, Drive, Idle, SideAverages, Solver, Stage, StageError};
use tapwright_tube::Limits;
use tapwright_tube::Topology;

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
    /// What the hottest of the resistors at each screen takes, W, and the one common to all
    /// screens without a capacitor. Only of a cycle, not of a [`StressCurve`].
    pub stopper_watts: [f64; 2],
}

/// What a tube may bear; what is not known is not held against.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Bounds {
    /// Plate dissipation, W.
    pub plate_watts: Option<f64>,
    /// Screen dissipation, W.
    pub screen_watts: Option<f64>,
    /// Screen dissipation with a signal, W, where another limit holds then.
    pub full_screen_watts: Option<f64>,
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
            full_screen_watts: limits.full_screen_watts,
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
    /// Highest plate voltage over the cycle, V. Few sources give a limit.
    PeakPlateVolts,
}

impl Burden {
    /// Whether it heats the tube, or wears its cathode; otherwise it strains the insulation.
    pub fn is_heat(self) -> bool {
        matches!(
            self,
            Self::PlateWatts | Self::ScreenWatts | Self::CathodeAmps
        )
    }
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
    /// The drive from which on it is more than it may be, if it ever is; between two solved
    /// drives in proportion.
    pub over_from: Option<f64>,
}

/// A limit that is passed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Exceeded {
    /// Which.
    pub burden: Burden,
    /// What the tube may bear.
    pub limit: f64,
    /// The least of the solved drives at which it is passed, over the one at which grid
    /// current starts; 0 is idle.
    pub from: f64,
    /// The most that the tube bears from idle to full drive.
    pub up_to_full: f64,
    /// Where it is passed by most, in full overdrive too.
    pub drive: f64,
    /// What the tube bears there.
    pub value: f64,
}

/// The limits that depend on the drive and are passed: plate, screen, cathode current.
pub type Passed = [Option<Exceeded>; 3];

impl Exceeded {
    /// How far beyond: value over limit.
    pub fn over(&self) -> f64 {
        self.value / self.limit
    }

    /// Whether it is passed without overdrive.
    pub fn is_up_to_full(&self) -> bool {
        self.from <= 1.0
    }
}

impl Stress {
    /// What each tube bears in a solved cycle; `drive` as in [`Self::drive`].
    pub fn of(stage: &Stage, cycle: &Cycle, drive: f64) -> Self {
        Self::on(stage, &cycle.sides, cycle.stopper_watts, cycle.watts, drive)
    }

    /// The same from the averages of both sides, what the screens' resistors take and the
    /// power in the load, W.
    pub(super) fn on(
        stage: &Stage,
        sides: &[SideAverages; 2],
        stopper_watts: [f64; 2],
        watts: f64,
        drive: f64,
    ) -> Self {
        let tubes = f64::from(stage.tubes_per_side);
        let worse = |pick: &dyn Fn(usize) -> f64| match stage.topology {
            Topology::SingleEnded => pick(0),
            Topology::PushPull => pick(0).max(pick(1)),
        };
        Self {
            drive,
            plate_watts: worse(&|j| sides[j].plate_watts) / tubes,
            screen_watts: worse(&|j| sides[j].screen_watts) / tubes,
            cathode_amps: worse(&|j| sides[j].plate_amps + sides[j].screen_amps) / tubes,
            peak_plate_volts: worse(&|j| sides[j].peak_plate_volts),
            watts,
            stopper_watts,
        }
    }

    /// The sum of some at one drive, each times its weight; the weights come to one.
    pub(super) fn weighted<'a>(parts: impl Iterator<Item = (f64, &'a Self)> + Clone) -> Self {
        let drive = parts.clone().next().map_or(0.0, |(_, first)| first.drive);
        let sum = |value: fn(&Self) -> f64| {
            let weighted = parts.clone().map(|(weight, stress)| weight * value(stress));
            // Beside a corner a parabola or a cubic may pass below zero.
            weighted.sum::<f64>().max(0.0)
        };
        Self {
            drive,
            plate_watts: sum(|stress| stress.plate_watts),
            screen_watts: sum(|stress| stress.screen_watts),
            cathode_amps: sum(|stress| stress.cathode_amps),
            peak_plate_volts: sum(|stress| stress.peak_plate_volts),
            watts: sum(|stress| stress.watts),
            stopper_watts: [0.0; 2],
        }
    }

    /// What depends on the drive.
    fn burdens(&self) -> [(Burden, f64); 3] {
        [
            (Burden::PlateWatts, self.plate_watts),
            (Burden::ScreenWatts, self.screen_watts),
            (Burden::CathodeAmps, self.cathode_amps),
        ]
    }
}

impl Bounds {
    /// What a tube may bear of one kind at a drive, if that is known; 0 is idle.
    pub fn at(&self, burden: Burden, drive: f64) -> Option<f64> {
        match burden {
            Burden::ScreenWatts if drive > 0.0 => self.full_screen_watts.or(self.screen_watts),
            _ => self.of(burden),
        }
    }

    /// What a tube may bear of one kind at idle, if that is known.
    pub fn of(&self, burden: Burden) -> Option<f64> {
        match burden {
            Burden::PlateWatts => self.plate_watts,
            Burden::ScreenWatts => self.screen_watts,
            Burden::CathodeAmps => self.cathode_amps,
            Burden::PlateVolts => self.plate_volts,
            Burden::ScreenVolts => self.screen_volts,
            Burden::PeakPlateVolts => None,
        }
    }
}

impl From<&Idle> for Stress {
    fn from(idle: &Idle) -> Self {
        Self {
            drive: 0.0,
            plate_watts: idle.plate_watts,
            screen_watts: idle.screen_watts,
            cathode_amps: idle.plate_amps + idle.screen_amps,
            peak_plate_volts: idle.plate_volts,
            watts: 0.0,
            stopper_watts: [0.0; 2],
        }
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

/// Every limit that is passed anywhere from idle to the last of `stresses`, which go from
/// the least drive to the most.
pub fn exceeded(idle: &Idle, stresses: &[Stress], bounds: &Bounds) -> Passed {
    let at_idle = Stress::from(idle);
    std::array::from_fn(|n| {
        let mut found: Option<Exceeded> = None;
        let mut up_to_full = 0.0_f64;
        for stress in std::iter::once(&at_idle).chain(stresses) {
            let (burden, value) = stress.burdens()[n];
            let limit = bounds.at(burden, stress.drive)?;
            if stress.drive <= 1.0 {
                up_to_full = up_to_full.max(value);
            }
            if value <= limit * TOLERANCE {
                continue;
            }
            let worst = found.get_or_insert(Exceeded {
                burden,
                limit,
                from: stress.drive,
                up_to_full,
                drive: stress.drive,
                value,
            });
            if value * worst.limit > worst.value * limit {
                (worst.drive, worst.value, worst.limit) = (stress.drive, value, limit);
            }
        }
        found.map(|passed| Exceeded {
            up_to_full,
            ..passed
        })
    })
}

/// The limits that the idle point passes by itself, whatever the load.
pub fn exceeded_at_idle(idle: &Idle, bounds: &Bounds) -> Vec<Exceeded> {
    let steady = steady(idle).into_iter().filter_map(|(burden, value)| {
        let limit = bounds.of(burden)?;
        (value > limit * TOLERANCE).then_some(Exceeded {
            burden,
            limit,
            from: 0.0,
            up_to_full: value,
            drive: 0.0,
            value,
        })
    });
    (exceeded(idle, &[], bounds).into_iter().flatten())
        .chain(steady)
        .collect()
}

/// The voltages that stand on a tube at idle.
fn steady(idle: &Idle) -> [(Burden, f64); 2] {
    [
        (Burden::PlateVolts, idle.plate_volts),
        (Burden::ScreenVolts, idle.screen_volts),
    ]
}

/// The most of each burden from idle to the last of `stresses`, which go from the least
/// drive to the most.
pub fn burdens(idle: &Idle, stresses: &[Stress], bounds: &Bounds) -> Vec<Borne> {
    let at_idle = Stress::from(idle);
    let all = || std::iter::once(&at_idle).chain(stresses);
    let most = |burden, pick: fn(&Stress) -> f64| {
        let worst = all().fold(&at_idle, |worst, stress| {
            if pick(stress) > pick(worst) {
                stress
            } else {
                worst
            }
        });
        let limit = bounds.at(burden, worst.drive);
        let shares = || {
            all().filter_map(|stress| {
                let limit = bounds.at(burden, stress.drive)?;
                Some((stress.drive, pick(stress) / limit))
            })
        };
        Borne {
            burden,
            value: pick(worst),
            limit,
            drive: worst.drive,
            over_from: crossing(shares(), TOLERANCE),
        }
    };
    let mut burdens = vec![
        most(Burden::PlateWatts, |s| s.plate_watts),
        most(Burden::ScreenWatts, |s| s.screen_watts),
        most(Burden::CathodeAmps, |s| s.cathode_amps),
    ];
    burdens.extend(steady(idle).map(|(burden, value)| {
        let limit = bounds.of(burden);
        Borne {
            burden,
            value,
            limit,
            drive: 0.0,
            over_from: limit.filter(|limit| value > limit * TOLERANCE).map(|_| 0.0),
        }
    }));
    burdens.push(most(Burden::PeakPlateVolts, |s| s.peak_plate_volts));
    burdens
}

/// Where values over drives first rise above `most`, straight between two of them.
fn crossing(values: impl Iterator<Item = (f64, f64)>, most: f64) -> Option<f64> {
    let mut before: Option<(f64, f64)> = None;
    for (drive, value) in values {
        if value > most {
            return Some(before.map_or(drive, |(from, below)| {
                from + (drive - from) * (most - below) / (value - below)
            }));
        }
        before = Some((drive, value));
    }
    None
}

/// A limit counts as passed beyond this factor: what a rounded published example itself does.
pub const TOLERANCE: f64 = 1.02;

/// Stress over a range of loads at [`DRIVES`].
#[derive(Debug, Clone, PartialEq)]
pub struct StressCurve {
    nodes: Vec<Node>,
}

/// One load, solved.
#[derive(Debug, Clone, PartialEq)]
struct Node {
    log_load: f64,
    /// At each of [`DRIVES`].
    stresses: [Stress; DRIVES.len()],
}

impl StressCurve {
    /// Solves the stage at the loads of cycles at the onset of grid current, lowest load
    /// first. A load that cannot be solved is left out.
    pub fn solve<'a>(stage: Stage, onsets: impl Iterator<Item = &'a Cycle>) -> Self {
        // One solver for each drive: every cycle starts from its neighbour's solution.
        let mut below = Solver::new(stage);
        let mut beyond = below.clone();
        let nodes = onsets.filter_map(|onset| {
            let load = onset.load_ohms;
            let [low, _, high] = DRIVES;
            let low_cycle = below.cycle(load, Drive::OfGridCurrent(low)).ok()?;
            let peak = Drive::Peak(high * onset.drive_peak);
            let high_cycle = beyond.cycle(load, peak).ok()?;
            let cycles = [&low_cycle, onset, &high_cycle];
            Some(Node {
                log_load: load.ln(),
                stresses: std::array::from_fn(|n| Stress::of(&stage, cycles[n], DRIVES[n])),
            })
        });
        Self {
            nodes: nodes.collect(),
        }
    }

    /// Stress at [`DRIVES`] into `load`, Ω; `None` outside of what could be solved.
    pub fn at(&self, load: f64) -> Option<[Stress; DRIVES.len()]> {
        let around = cubic::weighted(load.ln(), &self.nodes, |node| node.log_load)?;
        Some(std::array::from_fn(|drive| {
            let stresses = around.iter().map(|(w, node)| (*w, &node.stresses[drive]));
            Stress::weighted(stresses)
        }))
    }
}
