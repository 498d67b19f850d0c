//! One cycle of a sine, with the averages that follow from it settled.
#![allow(
    clippy::needless_range_loop,
    reason = "one index runs over rows, columns and the two sides at once"
)]

use serde::Serialize;

use super::linear;
use super::phase::{Circuit, Side, Slow};
use super::{ScreenFeed, Stage, StageError};
use crate::tube::{Bias, Topology};

/// Harmonics reported, from the first.
pub const HARMONICS: usize = 7;

/// How hard the grids are driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drive {
    /// Not at all.
    Idle,
    /// Until the grid's positive peak just reaches the cathode's potential, times this
    /// fraction (0 to 1). With cathode bias the bias that counts is the one at that drive.
    OfGridCurrent(f64),
    /// This peak voltage on each grid, V. Beyond the onset of grid current the grid is
    /// clipped at the cathode's potential, as by a driver of high source resistance.
    Peak(f64),
}

/// What one side of the stage does, averaged over the cycle, all its tubes together.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct SideAverages {
    /// Plate current, A.
    pub plate_amps: f64,
    /// Screen current, A; 0 where the screen is the plate.
    pub screen_amps: f64,
    /// Plate dissipation, W. In triode connection the screen's is in `screen_watts`.
    pub plate_watts: f64,
    /// Screen dissipation, W.
    pub screen_watts: f64,
    /// Highest plate voltage from the cathode, V.
    pub peak_plate_volts: f64,
    /// Lowest plate voltage from the cathode, V.
    pub lowest_plate_volts: f64,
    /// Highest cathode current, A.
    pub peak_amps: f64,
}

/// One instant of the cycle.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Instant {
    /// Angle of the drive, radians from its positive peak on side 1, 0 to π. The second half
    /// of the cycle is the first one backwards, for the load is resistive.
    pub angle: f64,
    /// Grid volts of each side, from the cathode.
    pub grid_volts: [f64; 2],
    /// Plate volts of each side, from the cathode.
    pub plate_volts: [f64; 2],
    /// Screen volts of each side, from the cathode.
    pub screen_volts: [f64; 2],
    /// Plate current of each side, A.
    pub plate_amps: [f64; 2],
    /// Screen current of each side, A.
    pub screen_amps: [f64; 2],
    /// Volts across the load: from supply to plate, or plate to plate.
    pub load_volts: f64,
}

/// What the stage does at one drive into one load.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Cycle {
    /// Load, Ω.
    pub load_ohms: f64,
    /// Peak drive on each grid (the mean of the two, if unlike), V.
    pub drive_peak: f64,
    /// Grid from cathode without the drive, V.
    pub grid_volts: f64,
    /// Cathode from ground, V.
    pub cathode_volts: f64,
    /// Supply at the primary, V from ground.
    pub supply_volts: f64,
    /// Screen node, V from ground; the supply's where the screens follow the plates.
    pub screen_volts: f64,
    /// Side 1 and, in push-pull, side 2.
    pub sides: [SideAverages; 2],
    /// Peak volts of H1 to H7 across the load, signed as cosines from the drive's peak.
    pub harmonics: [f64; HARMONICS],
    /// Power in the load, W, all harmonics.
    pub watts: f64,
    /// Total harmonic distortion, all harmonics over the first; 0 without drive.
    pub thd: f64,
    /// Power lost in the primary's winding resistance, W.
    pub copper_watts: f64,
    /// Power out of the supplies, W, before their source resistances.
    pub supplied_watts: f64,
    /// Power lost in source and screen resistances and the cathode resistor, W.
    pub resistor_watts: f64,
    /// Steady current that magnetises the core, A: the whole plate current in a single-ended
    /// stage, half the difference of the two sides in push-pull (as if it flowed through the
    /// whole primary).
    pub magnetising_amps: f64,
    /// How far the averages still disagree, V: the residual of the solution.
    pub residual_volts: f64,
}

impl Cycle {
    /// Plate current of all tubes, A.
    pub fn plate_amps(&self) -> f64 {
        self.sides.iter().map(|s| s.plate_amps).sum()
    }

    /// Screen current of all tubes, A.
    pub fn screen_amps(&self) -> f64 {
        self.sides.iter().map(|s| s.screen_amps).sum()
    }

    /// Plate efficiency: power in the load over power into plates, load and winding.
    pub fn efficiency(&self) -> f64 {
        let input: f64 =
            self.sides.iter().map(|s| s.plate_watts).sum::<f64>() + self.watts + self.copper_watts;
        if input > 0.0 { self.watts / input } else { 0.0 }
    }

    /// Power that went in and is not accounted for, over the power that went in.
    ///
    /// Every term is an average of its own, so this is a check on the solution.
    pub fn energy_error(&self) -> f64 {
        let tubes: f64 = self
            .sides
            .iter()
            .map(|s| s.plate_watts + s.screen_watts)
            .sum();
        let out = tubes + self.watts + self.copper_watts + self.resistor_watts;
        if self.supplied_watts.abs() < 1e-12 {
            0.0
        } else {
            (self.supplied_watts - out) / self.supplied_watts
        }
    }
}

/// Solves a stage at one load and drive after another, each from the last solution.
///
/// Cost of a cycle: about three rounds of the instants, each about two evaluations of the
/// tubes; a balanced push-pull stage solves half of the instants.
#[derive(Debug, Clone)]
pub struct Solver {
    pub(super) stage: Stage,
    instants: usize,
    pub(super) slow: Slow,
    /// Plate volts of both sides at each instant, where the next solution starts.
    plates: Vec<[f64; 2]>,
    path: Vec<Instant>,
}

/// Solves one load after another along a geometric row, each from where the last two
/// point.
pub(super) struct March {
    solver: Solver,
    before: Option<(Slow, Vec<[f64; 2]>)>,
}

impl March {
    pub fn new(stage: Stage) -> Self {
        Self {
            solver: Solver::new(stage),
            before: None,
        }
    }

    /// The next load; as [`Solver::cycle`].
    pub fn cycle(&mut self, load_ohms: f64, drive: Drive) -> Result<Cycle, StageError> {
        let cycle = self.solver.cycle(load_ohms, drive);
        let stand = (self.solver.slow, self.solver.plates.clone());
        if let Some((slow, plates)) = self.before.replace(stand) {
            self.solver.extrapolate(slow, &plates);
        }
        cycle
    }
}

/// Averages over a cycle, and their slopes.
#[derive(Default, Clone, Copy)]
pub(super) struct Averages {
    pub plate: [f64; 2],
    pub screen: [f64; 2],
    slopes: [[[f64; 4]; 2]; 2],
}

impl Solver {
    /// Instants in half a cycle that are enough for 0.01 points of distortion below the
    /// onset of grid current.
    pub const INSTANTS: usize = 32;

    /// A solver with [`Self::INSTANTS`].
    pub fn new(stage: Stage) -> Self {
        Self::with_instants(stage, Self::INSTANTS)
    }

    /// A solver with this many instants in half a cycle: even, from 16.
    pub fn with_instants(stage: Stage, instants: usize) -> Self {
        let instants = instants.max(16).next_multiple_of(2);
        let supply = stage.plate_supply.volts;
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
            plates: vec![[supply; 2]; instants],
            path: Vec::new(),
        }
    }

    /// The stage being solved.
    pub fn stage(&self) -> &Stage {
        &self.stage
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
        let circuit = Circuit::new(&self.stage, load_at);
        let settled = self
            .settle(&circuit, drive)
            .or_else(|_| self.approach(load_at, drive));
        let (averages, residual) = settled?;
        Ok(self.report(&circuit, load_ohms, drive, &averages, residual))
    }

    /// Settles on an easy load first, then on loads half as high again each, up to `load_ohms`.
    fn approach(&mut self, load_ohms: f64, drive: Drive) -> Result<(Averages, f64), StageError> {
        let fresh = Self::with_instants(self.stage, self.instants);
        (self.slow, self.plates) = (fresh.slow, fresh.plates);
        let mut load = load_ohms.min(1_000.0);
        while load < load_ohms {
            self.settle(&Circuit::new(&self.stage, load), drive)?;
            load *= 1.5;
        }
        self.settle(&Circuit::new(&self.stage, load_ohms), drive)
    }

    /// Goes on from the last two solutions as on a straight line. Only where a solution
    /// starts: it ends where it would without.
    fn extrapolate(&mut self, then: Slow, plates: &[[f64; 2]]) {
        let on = |now: f64, before: f64| 2.0 * now - before;
        let now = self.slow;
        self.slow = Slow {
            supply: on(now.supply, then.supply).clamp(0.0, self.stage.plate_supply.volts),
            screen: on(now.screen, then.screen).max(0.0),
            cathode: on(now.cathode, then.cathode).max(0.0),
            magnetising: on(now.magnetising, then.magnetising),
        };
        for (now, before) in self.plates.iter_mut().zip(plates) {
            for j in 0..2 {
                now[j] = on(now[j], before[j]).max(0.5 * now[j]);
            }
        }
    }

    /// Whether side 2 does what side 1 does, half a cycle later.
    fn mirrored(&self) -> bool {
        self.stage.topology == Topology::PushPull && self.stage.imbalance.is_none()
    }

    /// Grid volts of both sides at an angle, and their slopes by the cathode's voltage.
    pub(super) fn grids(&self, slow: &Slow, drive: Drive, cosine: f64) -> ([f64; 2], [f64; 2]) {
        let still = self.still_grid(slow);
        let unlike = self.stage.imbalance.drive;
        let of_side = [1.0 + unlike / 2.0, 1.0 - unlike / 2.0];
        let largest = of_side[0].abs().max(of_side[1].abs());
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
        for j in 0..2 {
            let swing = if j == 0 { cosine } else { -cosine } * of_side[j];
            let grid = still + peak * swing;
            if grid < 0.0 {
                grids[j] = grid;
                by_cathode[j] = still_by_cathode + peak_by_cathode * swing;
            }
        }
        (grids, by_cathode)
    }

    fn still_grid(&self, slow: &Slow) -> f64 {
        match self.stage.bias {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(_) => -slow.cathode,
        }
    }

    /// Goes through the cycle once with the slow voltages as they are.
    fn round(&mut self, circuit: &Circuit, slow: &Slow, drive: Drive) -> Averages {
        let mut sum = Averages::default();
        self.path.clear();
        let (solved, stored) = match (drive, self.mirrored()) {
            (Drive::Idle, _) => (1, 1),
            (_, true) => (self.instants / 2, self.instants),
            (_, false) => (self.instants, self.instants),
        };
        for n in 0..solved {
            let angle = if matches!(drive, Drive::Idle) {
                std::f64::consts::FRAC_PI_2
            } else {
                (n as f64 + 0.5) * std::f64::consts::PI / stored as f64
            };
            let cosine = if matches!(drive, Drive::Idle) {
                0.0
            } else {
                angle.cos()
            };
            let (grid, by_cathode) = self.grids(slow, drive, cosine);
            let solution = circuit.solve(slow, grid, by_cathode, self.plates[n]);
            self.plates[n] = [solution.side[0].plate_volts, solution.side[1].plate_volts];
            for j in 0..2 {
                let Side { flow, .. } = solution.side[j];
                sum.plate[j] += flow.plate.amps;
                sum.screen[j] += flow.screen.amps;
                for i in 0..2 {
                    for x in 0..4 {
                        sum.slopes[j][i][x] += solution.slopes[j][i][x];
                    }
                }
            }
            let turns = circuit.turns[0] + circuit.turns[1];
            self.path.push(Instant {
                angle,
                grid_volts: grid,
                plate_volts: self.plates[n],
                screen_volts: solution.side.map(|s| s.screen_volts),
                plate_amps: solution.side.map(|s| s.flow.plate.amps),
                screen_amps: solution.side.map(|s| s.flow.screen.amps),
                load_volts: turns * solution.load_volts,
            });
        }
        if solved < stored {
            for n in (0..solved).rev() {
                let Instant {
                    angle,
                    grid_volts: g,
                    plate_volts: v,
                    screen_volts: g2,
                    plate_amps: a,
                    screen_amps: s,
                    load_volts,
                } = self.path[n];
                let swap = |x: [f64; 2]| [x[1], x[0]];
                self.path.push(Instant {
                    angle: std::f64::consts::PI - angle,
                    grid_volts: swap(g),
                    plate_volts: swap(v),
                    screen_volts: swap(g2),
                    plate_amps: swap(a),
                    screen_amps: swap(s),
                    load_volts: -load_volts,
                });
            }
        }
        let count = solved as f64;
        for j in 0..2 {
            sum.plate[j] /= count;
            sum.screen[j] /= count;
            for i in 0..2 {
                for x in 0..4 {
                    sum.slopes[j][i][x] /= count;
                }
            }
        }
        if self.mirrored() {
            let plate = 0.5 * (sum.plate[0] + sum.plate[1]);
            let screen = 0.5 * (sum.screen[0] + sum.screen[1]);
            sum.plate = [plate; 2];
            sum.screen = [screen; 2];
        }
        sum
    }

    /// What the averages make of the slow voltages, less what they are; and the slopes.
    ///
    /// The magnetising current is weighed with the load, so that all four are volts.
    pub(super) fn disagreement(
        &self,
        circuit: &Circuit,
        slow: &Slow,
        averages: &Averages,
    ) -> ([f64; 4], [[f64; 4]; 4]) {
        let Stage {
            plate_supply,
            screen,
            bias,
            ..
        } = self.stage;
        let tap = self.stage.tap();
        let screens_on_plate_supply = !matches!(screen, ScreenFeed::Own(_)) || tap > 0.0;
        let of = |pick: &dyn Fn(usize, usize) -> f64| -> f64 {
            (0..2)
                .map(|j| (0..2).map(|i| pick(j, i)).sum::<f64>())
                .sum()
        };
        let all = averages.plate[0] + averages.plate[1] + averages.screen[0] + averages.screen[1];
        let screens = averages.screen[0] + averages.screen[1];
        let drawn = if screens_on_plate_supply {
            all
        } else {
            all - screens
        };
        let mut wrong = [0.0; 4];
        let mut slopes = [[0.0; 4]; 4];
        let all_by = |x: usize| of(&|j, i| averages.slopes[j][i][x]);
        let screens_by = |x: usize| averages.slopes[0][1][x] + averages.slopes[1][1][x];
        let drawn_by = |x: usize| {
            if screens_on_plate_supply {
                all_by(x)
            } else {
                all_by(x) - screens_by(x)
            }
        };

        wrong[0] = plate_supply.volts - plate_supply.ohms * drawn - slow.supply;
        let (screen_source, screen_ohms, from_supply) = match screen {
            ScreenFeed::Own(own) => (own.volts, own.ohms, 0.0),
            ScreenFeed::Dropper(ohms) => (slow.supply, ohms, 1.0),
            ScreenFeed::Tap(_) => (slow.supply, 0.0, 1.0),
        };
        wrong[1] = screen_source - screen_ohms * screens - slow.screen;
        let cathode_ohms = match bias {
            Bias::Fixed(_) => 0.0,
            Bias::Cathode(ohms) => ohms,
        };
        wrong[2] = cathode_ohms * all - slow.cathode;
        let weight = circuit.load;
        let turns_current = |plate: [f64; 2], screen: [f64; 2]| {
            circuit.turns[0] * (plate[0] + tap * screen[0])
                - circuit.turns[1] * (plate[1] + tap * screen[1])
        };
        if !self.mirrored() {
            wrong[3] = weight * (turns_current(averages.plate, averages.screen) - slow.magnetising);
        }
        for x in 0..4 {
            let unit = |row: usize| if row == x { 1.0 } else { 0.0 };
            slopes[0][x] = -plate_supply.ohms * drawn_by(x) - unit(0);
            slopes[1][x] = from_supply * unit(0) - screen_ohms * screens_by(x) - unit(1);
            slopes[2][x] = cathode_ohms * all_by(x) - unit(2);
            slopes[3][x] = if self.mirrored() {
                -weight * unit(3)
            } else {
                let s = &averages.slopes;
                weight
                    * (turns_current([s[0][0][x], s[1][0][x]], [s[0][1][x], s[1][1][x]]) - unit(3))
            };
        }
        (wrong, slopes)
    }

    /// Newton's method on the slow voltages. Where a step does not help, the step is taken as
    /// the capacitors would, by implicit Euler steps in time that grow while they help
    /// (pseudo-transient continuation: C. T. Kelley and D. E. Keyes, SIAM J. Numer. Anal. 35,
    /// 1998).
    pub(super) fn settle(
        &mut self,
        circuit: &Circuit,
        drive: Drive,
    ) -> Result<(Averages, f64), StageError> {
        // A screen fed well above the plate can lift the cathode above the plate supply.
        let scale = match self.stage.screen {
            ScreenFeed::Own(own) => own.volts.max(self.stage.plate_supply.volts),
            _ => self.stage.plate_supply.volts,
        };
        let fine = 1e-6 * scale;
        let size = |wrong: &[f64; 4]| wrong.iter().fold(0.0_f64, |most, w| most.max(w.abs()));
        if self.mirrored() {
            self.slow.magnetising = 0.0;
        }
        let mut slow = self.slow;
        let mut averages = self.round(circuit, &slow, drive);
        let (mut wrong, mut slopes) = self.disagreement(circuit, &slow, &averages);
        let mut damping = 0.0;
        for _ in 0..200 {
            let before = size(&wrong);
            if before < fine {
                self.slow = slow;
                return Ok((averages, before));
            }
            let mut matrix = slopes;
            for (row, line) in matrix.iter_mut().enumerate() {
                line[row] -= damping * line[row].abs();
            }
            let Some(step) = linear::solve(matrix, wrong) else {
                damping = f64::max(4.0 * damping, 1.0);
                continue;
            };
            let tried = Slow {
                supply: (slow.supply - step[0]).clamp(0.0, self.stage.plate_supply.volts),
                screen: (slow.screen - step[1]).max(0.0),
                cathode: (slow.cathode - step[2]).clamp(0.0, scale),
                magnetising: slow.magnetising - step[3],
            };
            let new_averages = self.round(circuit, &tried, drive);
            let (new_wrong, new_slopes) = self.disagreement(circuit, &tried, &new_averages);
            let after = size(&new_wrong);
            if !after.is_finite() {
                damping = f64::max(4.0 * damping, 1.0);
                continue;
            }
            if damping == 0.0 && after >= before {
                damping = 2.0;
                continue;
            }
            (slow, averages, wrong, slopes) = (tried, new_averages, new_wrong, new_slopes);
            damping *= (after / before).clamp(0.5, 3.0);
            if damping < 1e-3 {
                damping = 0.0;
            }
        }
        Err(StageError::NotSettled(size(&wrong)))
    }

    fn report(
        &self,
        circuit: &Circuit,
        load_ohms: f64,
        drive: Drive,
        averages: &Averages,
        residual: f64,
    ) -> Cycle {
        let slow = self.slow;
        let tap = self.stage.tap();
        let count = self.path.len() as f64;
        let mut sides = [SideAverages::default(); 2];
        let mut copper = 0.0;
        let mut load_power = 0.0;
        let mut harmonics = [0.0; HARMONICS];
        let mut mean_load_volts = 0.0;
        for instant in &self.path {
            for j in 0..2 {
                if circuit.scale[j] == 0.0 {
                    continue;
                }
                let side = &mut sides[j];
                let (v, plate, screen) = (
                    instant.plate_volts[j],
                    instant.plate_amps[j],
                    instant.screen_amps[j],
                );
                if side.peak_amps == 0.0 && side.peak_plate_volts == 0.0 {
                    side.lowest_plate_volts = v;
                }
                side.plate_watts += v * plate / count;
                side.screen_watts += instant.screen_volts[j] * screen / count;
                side.peak_plate_volts = side.peak_plate_volts.max(v);
                side.lowest_plate_volts = side.lowest_plate_volts.min(v);
                side.peak_amps = side.peak_amps.max(plate + screen);
                let winding = plate + tap * screen;
                let heat =
                    circuit.winding * winding * winding + circuit.tap_ohms() * screen * screen;
                copper += heat / count;
            }
            load_power += instant.load_volts * instant.load_volts / load_ohms / count;
            mean_load_volts += instant.load_volts / count;
            for (m, harmonic) in harmonics.iter_mut().enumerate() {
                *harmonic +=
                    2.0 / count * instant.load_volts * ((m + 1) as f64 * instant.angle).cos();
            }
        }
        for j in 0..2 {
            sides[j].plate_amps = averages.plate[j];
            sides[j].screen_amps = averages.screen[j];
        }
        if matches!(drive, Drive::Idle) {
            harmonics = [0.0; HARMONICS];
            load_power = 0.0;
        }
        let first = harmonics[0] * harmonics[0] / 2.0;
        let alternating = load_power * load_ohms - mean_load_volts * mean_load_volts;
        let thd = if first > 1e-12 {
            ((alternating - first).max(0.0) / first).sqrt()
        } else {
            0.0
        };
        let plate: f64 = averages.plate.iter().sum();
        let screen: f64 = averages.screen.iter().sum();
        let all = plate + screen;
        let Stage { plate_supply, .. } = self.stage;
        let (supplied, source_loss) = match self.stage.screen {
            ScreenFeed::Own(own) if tap == 0.0 => (
                plate_supply.volts * plate + own.volts * screen,
                plate_supply.ohms * plate * plate + own.ohms * screen * screen,
            ),
            ScreenFeed::Dropper(ohms) if tap == 0.0 => (
                plate_supply.volts * all,
                plate_supply.ohms * all * all + ohms * screen * screen,
            ),
            _ => (plate_supply.volts * all, plate_supply.ohms * all * all),
        };
        let cathode_loss = match self.stage.bias {
            Bias::Fixed(_) => 0.0,
            Bias::Cathode(ohms) => ohms * all * all,
        };
        let still = self.still_grid(&slow);
        let largest = 1.0 + self.stage.imbalance.drive.abs() / 2.0;
        Cycle {
            load_ohms,
            drive_peak: match drive {
                Drive::Idle => 0.0,
                Drive::OfGridCurrent(part) => -still * part / largest,
                Drive::Peak(volts) => volts,
            },
            grid_volts: still,
            cathode_volts: slow.cathode,
            supply_volts: slow.supply,
            screen_volts: if self.stage.screen_is_steady() {
                slow.screen
            } else {
                slow.supply
            },
            sides,
            harmonics,
            watts: load_power,
            thd,
            copper_watts: copper,
            supplied_watts: supplied,
            resistor_watts: source_loss + cathode_loss,
            magnetising_amps: match self.stage.topology {
                Topology::SingleEnded => averages.plate[0] + tap * averages.screen[0],
                Topology::PushPull => {
                    0.5 * (circuit.turns[0] * (averages.plate[0] + tap * averages.screen[0])
                        - circuit.turns[1] * (averages.plate[1] + tap * averages.screen[1]))
                }
            },
            residual_volts: residual,
        }
    }
}
