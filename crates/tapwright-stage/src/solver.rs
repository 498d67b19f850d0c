//! Solves a stage over the cycle: goes through the instants with the slow voltages as they
//! are. How those settle is in `settle`.

use super::cycle::{Cycle, Drive, Instant};
use super::phase::{BySlow, Circuit, Slow, Solution, Start};
use super::{ScreenFeed, Stage, StageError};
use tapwright_tube::{Bias, Topology};

/// Solves a stage at one load and drive after another, each from the last solution.
///
/// Cost of a cycle: about three rounds of the instants, each about two evaluations of the
/// tubes; a balanced push-pull stage solves half of the instants.
#[derive(Debug, Clone)]
pub struct Solver {
    pub(super) stage: Stage,
    instants: usize,
    pub(super) slow: Slow,
    /// Angle of each instant, and its cosine.
    angles: Vec<(f64, f64)>,
    /// At each instant, where the next solution starts.
    pub(super) starts: Vec<Start>,
    /// The last round's.
    solutions: Vec<Solution>,
    pub(super) path: Vec<Instant>,
}

/// Averages over a cycle, and their slopes.
#[derive(Default, Clone, Copy)]
pub(super) struct Averages {
    pub plate: [f64; 2],
    pub screen: [f64; 2],
    pub plate_by_slow: [BySlow; 2],
    pub screen_by_slow: [BySlow; 2],
}

impl Averages {
    /// Makes both sides alike, as they are over a whole cycle of a balanced pair of which
    /// half was solved.
    fn balance(&mut self) {
        self.plate = [0.5 * (self.plate[0] + self.plate[1]); 2];
        self.screen = [0.5 * (self.screen[0] + self.screen[1]); 2];
    }
}

impl Solver {
    /// Instants in half a cycle: enough for 0.1 % of power and 0.1 points of distortion up to
    /// the onset of grid current, for 1 % and 1 point in full overdrive.
    pub const INSTANTS: usize = 32;

    /// A solver with [`Self::INSTANTS`].
    pub fn new(stage: Stage) -> Self {
        Self::with_instants(stage, Self::INSTANTS)
    }

    /// A solver with this many instants in half a cycle: even, from 16.
    pub fn with_instants(stage: Stage, instants: usize) -> Self {
        let instants = instants.max(16).next_multiple_of(2);
        let supply = stage.plate_supply.volts;
        let angle = |n| {
            let angle = (n as f64 + 0.5) * std::f64::consts::PI / instants as f64;
            (angle, angle.cos())
        };
        let slow = Slow {
            supply,
            screen: match stage.screen {
                ScreenFeed::Own(own) => own.volts,
                _ => supply,
            },
            cathode: match stage.bias {
                Bias::Fixed(_) => 0.0,
                Bias::Cathode(_) => 0.05 * supply,
            },
            magnetising: 0.0,
        };
        Self {
            stage,
            instants,
            slow,
            starts: vec![
                Start {
                    plates: [supply; 2],
                    screens: [0.0; 2],
                };
                instants
            ],
            angles: (0..instants).map(angle).collect(),
            solutions: Vec::new(),
            path: Vec::new(),
        }
    }

    /// The stage being solved.
    pub fn stage(&self) -> &Stage {
        &self.stage
    }

    /// Goes on with another stage, little different, from the last solution.
    pub fn go_on_with(&mut self, stage: Stage) {
        self.stage = stage;
    }

    /// The instants of the cycle solved last, from the drive's positive peak on side 1 to
    /// its negative one.
    pub fn path(&self) -> &[Instant] {
        &self.path
    }

    /// The idle point. The load does not matter, for no alternating current flows.
    ///
    /// # Errors
    /// As [`Self::cycle`].
    pub fn idle(&mut self) -> Result<Cycle, StageError> {
        self.cycle(1_000.0, Drive::Idle)
    }

    /// One cycle into a load (reflected, without the primary's own winding resistance; plate
    /// to plate in push-pull), Ω.
    ///
    /// # Errors
    /// [`StageError::OutOfRange`] for a value no stage can have, [`StageError::NotSettled`]
    /// when the averages did not come to rest.
    pub fn cycle(&mut self, load_ohms: f64, drive: Drive) -> Result<Cycle, StageError> {
        self.stage.check(load_ohms)?;
        match drive {
            Drive::OfGridCurrent(part) if !(0.0..=1.0).contains(&part) => {
                return Err(StageError::OutOfRange("the part of the drive", part));
            }
            Drive::Peak(volts) if !(0.0..=1e5).contains(&volts) => {
                return Err(StageError::OutOfRange("the drive", volts));
            }
            _ => {}
        }
        // At idle the load carries nothing, and an easy one settles best.
        let load_at = if matches!(drive, Drive::Idle) {
            load_ohms.min(1_000.0)
        } else {
            load_ohms
        };
        let circuit = self.circuit(load_at);
        let settled = self
            .settle(&circuit, drive)
            .or_else(|_| self.approach(load_at, drive));
        let (averages, residual) = settled?;
        self.keep_path(&circuit, drive);
        Ok(Cycle::from_path(
            self, &circuit, load_ohms, drive, &averages, residual,
        ))
    }

    pub(super) fn circuit(&self, load_ohms: f64) -> Circuit {
        Circuit::new(&self.stage, load_ohms)
    }

    /// Settles on an easy load first, then on loads half as high again each, up to `load_ohms`.
    fn approach(&mut self, load_ohms: f64, drive: Drive) -> Result<(Averages, f64), StageError> {
        let fresh = Self::with_instants(self.stage, self.instants);
        (self.slow, self.starts) = (fresh.slow, fresh.starts);
        let mut load = load_ohms.min(1_000.0);
        while load < load_ohms {
            self.settle(&self.circuit(load), drive)?;
            load *= 1.5;
        }
        self.settle(&self.circuit(load_ohms), drive)
    }

    /// Whether side 2 does what side 1 does, half a cycle later.
    pub(super) fn mirrored(&self) -> bool {
        self.stage.topology == Topology::PushPull && self.stage.imbalance.is_none()
    }

    /// Grid volts of both sides at an angle, and their slopes by the cathode's voltage.
    pub(super) fn grids(&self, slow: &Slow, drive: Drive, cosine: f64) -> ([f64; 2], [f64; 2]) {
        let still = self.still_grid(slow);
        let unlike = self.stage.imbalance.drive;
        let of_side = [1.0 + unlike / 2.0, 1.0 - unlike / 2.0];
        let largest = self.stage.imbalance.larger_drive();
        let (peak, peak_by_cathode) = match drive {
            Drive::Idle => (0.0, 0.0),
            Drive::OfGridCurrent(part) if still < 0.0 => (-still * part / largest, part / largest),
            Drive::OfGridCurrent(_) => (0.0, 0.0),
            Drive::Peak(volts) => (volts, 0.0),
        };
        let still_by_cathode = match self.stage.bias {
            Bias::Fixed(_) => 0.0,
            Bias::Cathode(_) => -1.0,
        };
        // A drive set by the bias follows the cathode only where the cathode sets the bias.
        let peak_by_cathode = -peak_by_cathode * still_by_cathode;
        let mut grids = [0.0; 2];
        let mut by_cathode = [0.0; 2];
        for (j, sign) in [1.0, -1.0].into_iter().enumerate() {
            let swing = cosine * sign * of_side[j];
            let grid = still + peak * swing;
            if grid < 0.0 {
                grids[j] = grid;
                by_cathode[j] = still_by_cathode + peak_by_cathode * swing;
            }
        }
        (grids, by_cathode)
    }

    pub(super) fn still_grid(&self, slow: &Slow) -> f64 {
        match self.stage.bias {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(_) => -slow.cathode,
        }
    }

    /// Goes through the cycle once with the slow voltages as they are, and averages it.
    pub(super) fn average(&mut self, circuit: &Circuit, slow: &Slow, drive: Drive) -> Averages {
        let solved = match (drive, self.mirrored()) {
            (Drive::Idle, _) => 1,
            (_, true) => self.instants / 2,
            (_, false) => self.instants,
        };
        let share = 1.0 / solved as f64;
        let mut averages = Averages::default();
        self.solutions.clear();
        for n in 0..solved {
            let (grid, by_cathode) = self.grids(slow, drive, self.angle(n, drive).1);
            let solution = circuit.solve(slow, grid, by_cathode, &self.starts[n]);
            self.starts[n] = Start::from(solution.side);
            for j in 0..2 {
                let flow = &solution.side[j].flow;
                averages.plate[j] += share * flow.plate.amps;
                averages.screen[j] += share * flow.screen.amps;
                averages.plate_by_slow[j] += share * solution.plate_by_slow[j];
                averages.screen_by_slow[j] += share * solution.screen_by_slow[j];
            }
            self.solutions.push(solution);
        }
        if self.mirrored() {
            averages.balance();
        }
        averages
    }

    /// The angle of an instant, and its cosine. At idle the drive goes through zero.
    fn angle(&self, n: usize, drive: Drive) -> (f64, f64) {
        match drive {
            Drive::Idle => (std::f64::consts::FRAC_PI_2, 0.0),
            _ => self.angles[n],
        }
    }

    /// Keeps the instants of the solution as the path; the second half of a balanced pair's is
    /// made from the first.
    fn keep_path(&mut self, circuit: &Circuit, drive: Drive) {
        let turns = circuit.turns[0] + circuit.turns[1];
        let mut path = std::mem::take(&mut self.path);
        path.clear();
        path.extend(self.solutions.iter().enumerate().map(|(n, solution)| {
            let (angle, cosine) = self.angle(n, drive);
            let (grids, _) = self.grids(&self.slow, drive, cosine);
            Instant::new(angle, grids, &solution.side, turns * solution.load_volts)
        }));
        if self.mirrored() && !matches!(drive, Drive::Idle) {
            for n in (0..path.len()).rev() {
                let at = path[n];
                let swap = |x: [f64; 2]| [x[1], x[0]];
                path.push(Instant {
                    angle: std::f64::consts::PI - at.angle,
                    grid_volts: swap(at.grid_volts),
                    plate_volts: swap(at.plate_volts),
                    screen_volts: swap(at.screen_volts),
                    plate_amps: swap(at.plate_amps),
                    screen_amps: swap(at.screen_amps),
                    load_volts: -at.load_volts,
                });
            }
        }
        self.path = path;
    }
}
