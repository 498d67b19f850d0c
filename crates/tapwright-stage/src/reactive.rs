//! A load with reactance: the elliptical path over the plate curves.
//!
//! Harmonic balance. The cycle is cut into equal instants; the load turns the ampere-turns
//! `T` at the instants into volts `u` across a unit of turns, harmonic by harmonic, by its
//! impedance at the multiples of the frequency: `u = C T`, where the circulant matrix C is
//! made of `Z(k f)`, with nothing at `k = 0`, for the transformer passes no direct current.
//! Newton's method on `u − C T(u) = 0`, all instants at once; the averages of the currents
//! then move supply, screen and cathode as without reactance. Where Z is the same resistance
//! at every multiple, each instant obeys the equations of `phase` exactly.

use num_complex::Complex64;
use serde::Serialize;

use super::cycle::{SideAverages, distortion};
use super::linear;
use super::phase::{Circuit, Slow, Start};
use super::solver::Averages;
use super::{Drive, Instant, Solver, StageError, Stress};
use tapwright_tube::Topology;

/// One cycle into a load with reactance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Loop {
    /// Frequency, Hz.
    pub hertz: f64,
    /// Modulus of the load at that frequency, Ω.
    pub load_ohms: f64,
    /// Its phase, radians; above zero where the current lags.
    pub load_phase: f64,
    /// The instants of a whole cycle, in time from the drive's positive peak on side 1.
    #[serde(skip)]
    pub path: Vec<Instant>,
    /// Real power in the load, W.
    pub watts: f64,
    /// Total harmonic distortion of the volts across the load, over the fundamental.
    pub thd: f64,
    /// What each tube bears.
    pub stress: Stress,
    /// How far the instants and the averages still disagree, V.
    pub residual_volts: f64,
}

/// A load over frequency in hertz, as the primary sees it (plate to plate in push-pull), Ω.
pub type Impedance<'a> = &'a dyn Fn(f64) -> Complex64;

impl Solver {
    /// One cycle at `hertz` into a load with reactance, whose real part is above zero at
    /// every multiple of it.
    ///
    /// Cost: some ten systems of 64 equations.
    ///
    /// # Errors
    /// As [`Solver::cycle`]; [`StageError::NotSettled`] also when no balance is found.
    pub fn reactive(
        &mut self,
        hertz: f64,
        load: Impedance,
        drive: Drive,
    ) -> Result<Loop, StageError> {
        let at = load(hertz);
        let resistive = self.cycle(at.norm(), drive)?;
        let circuit = Circuit::new(&self.stage, at.norm());
        let path = whole_cycle(self.path());
        let quarter = match self.stage.topology {
            Topology::SingleEnded => 1.0,
            Topology::PushPull => 0.25,
        };
        let turns = circuit.turns[0] + circuit.turns[1];
        let mut balance = Balance {
            response: impulse_response(path.len(), |k| quarter * load(k as f64 * hertz)),
            volts: path.iter().map(|i| i.load_volts / turns).collect(),
            turns_amps: vec![0.0; path.len()],
            circuit,
            path,
        };
        let residual_volts = self.settle_around(&mut balance, drive)?;
        let (watts, thd) = balance.delivered();
        let [hottest, _, common] = self.stage.stopper_watts(&balance.path);
        let relative = match drive {
            Drive::Idle => 0.0,
            Drive::OfGridCurrent(part) => part,
            Drive::Peak(volts) => volts / resistive.grid_volts.abs().max(1e-9),
        };
        Ok(Loop {
            hertz,
            load_ohms: at.norm(),
            load_phase: at.arg(),
            watts,
            thd,
            stress: Stress::on(
                &self.stage,
                &SideAverages::along(&balance.path),
                [hottest, common],
                watts,
                relative,
            ),
            path: balance.path,
            residual_volts,
        })
    }

    /// Settles supply, screen and cathode around the balance: Newton's method with the slopes
    /// of the resistive solution, mended by Broyden's rule (Math. Comp. 19, 1965).
    fn settle_around(&mut self, balance: &mut Balance, drive: Drive) -> Result<f64, StageError> {
        let (resistive, _) = self.settle(&balance.circuit, drive)?;
        let (_, mut slopes) = self.disagreement(&balance.circuit, &self.slow, &resistive);
        // The magnetising current is whatever the average is, and no unknown here.
        slopes[3] = [0.0, 0.0, 0.0, -1.0];
        let scale = self.stage.plate_supply.volts.max(self.slow.screen);
        let size = |wrong: &[f64; 4]| wrong.iter().fold(0.0_f64, |most, w| most.max(w.abs()));
        let mut slow = Slow {
            magnetising: 0.0,
            ..self.slow
        };
        let mut residual = balance.solve(self, &slow, drive)?;
        let mut wrong = self.wrong(balance, &slow);
        for _ in 0..60 {
            if size(&wrong) < 1e-6 * scale {
                self.slow = slow;
                return Ok(residual.max(size(&wrong)));
            }
            let Some(step) = linear::solve(slopes, wrong) else {
                break;
            };
            let tried = Slow {
                supply: (slow.supply - step[0]).clamp(0.0, self.stage.plate_supply.volts),
                screen: (slow.screen - step[1]).max(0.0),
                cathode: (slow.cathode - step[2]).clamp(0.0, scale),
                magnetising: slow.magnetising,
            };
            residual = balance.solve(self, &tried, drive)?;
            let now = self.wrong(balance, &tried);
            mend(&mut slopes, tried.since(&slow), wrong, now);
            (slow, wrong) = (tried, now);
        }
        Err(StageError::NotSettled(size(&wrong)))
    }

    fn wrong(&self, balance: &Balance, slow: &Slow) -> [f64; 4] {
        let (mut wrong, _) = self.disagreement(&balance.circuit, slow, &balance.averages());
        wrong[3] = 0.0;
        wrong
    }
}

/// Broyden's rule: the slopes that explain the last move, nearest to the ones before.
fn mend(slopes: &mut [[f64; 4]; 4], moved: [f64; 4], before: [f64; 4], after: [f64; 4]) {
    let length = linear::along(&moved, &moved);
    if length < 1e-18 {
        return;
    }
    for row in 0..3 {
        let missed = after[row] - before[row] - linear::along(&slopes[row], &moved);
        for (slope, m) in slopes[row].iter_mut().zip(&moved) {
            *slope += missed * m / length;
        }
    }
}

/// The whole cycle from its first half: without reactance the second half is the first one
/// backwards.
pub fn whole_cycle(half: &[Instant]) -> Vec<Instant> {
    let back = half.iter().rev().map(|instant| Instant {
        angle: std::f64::consts::TAU - instant.angle,
        ..*instant
    });
    half.iter().copied().chain(back).collect()
}

/// First column of the circulant matrix of a load: `(1/N) Σ Z(k) e^{2πikj/N}` over all
/// positive and negative k; nothing at zero, and the real part at the highest, which has no
/// phase of its own.
fn impulse_response(count: usize, load: impl Fn(usize) -> Complex64) -> Vec<f64> {
    let half = count / 2;
    let loads: Vec<Complex64> = (1..=half).map(&load).collect();
    let step = std::f64::consts::TAU / count as f64;
    (0..count)
        .map(|j| {
            let sum: f64 = (1..=half)
                .map(|k| {
                    let angle = step * ((k * j) % count) as f64;
                    let z = loads[k - 1];
                    if k == half {
                        z.re * angle.cos()
                    } else {
                        2.0 * (z * Complex64::cis(angle)).re
                    }
                })
                .sum();
            sum / count as f64
        })
        .collect()
}

/// The load's volts and the tubes' currents over one cycle.
struct Balance {
    circuit: Circuit,
    response: Vec<f64>,
    /// Across a unit of turns.
    volts: Vec<f64>,
    /// `a_1 w_1 − a_2 w_2`.
    turns_amps: Vec<f64>,
    path: Vec<Instant>,
}

impl Balance {
    /// Newton's method on all instants at once, with steps halved while they do not help,
    /// and the drive raised by degrees where that is not enough. Gives the residual, V.
    fn solve(&mut self, solver: &Solver, slow: &Slow, drive: Drive) -> Result<f64, StageError> {
        if let Some(residual) = self.newton(solver, slow, drive, 1.0) {
            return Ok(residual);
        }
        let mut residual = f64::INFINITY;
        self.volts.fill(0.0);
        for tenth in 1..=20 {
            let part = f64::from(tenth) / 20.0;
            residual = self
                .newton(solver, slow, drive, part)
                .ok_or(StageError::NotSettled(residual))?;
        }
        Ok(residual)
    }

    fn newton(&mut self, solver: &Solver, slow: &Slow, drive: Drive, part: f64) -> Option<f64> {
        let n = self.volts.len();
        let fine = 1e-7 * (1.0 + slow.supply);
        let mut slopes = self.currents(solver, slow, drive, part);
        let mut wrong = self.wrong();
        for _ in 0..40 {
            let size = largest(&wrong);
            if size < fine {
                return Some(size);
            }
            let mut rows: Vec<Vec<f64>> = (0..n)
                .map(|row| {
                    (0..n)
                        .map(|column| {
                            let unit = if row == column { 1.0 } else { 0.0 };
                            unit - self.response[(n + row - column) % n] * slopes[column]
                        })
                        .collect()
                })
                .collect();
            let mut step = wrong;
            if !linear::solve_in_place(&mut rows, &mut step) {
                return None;
            }
            let from = self.volts.clone();
            let mut share = 1.0;
            loop {
                for (volts, (from, step)) in self.volts.iter_mut().zip(from.iter().zip(&step)) {
                    *volts = from - share * step;
                }
                slopes = self.currents(solver, slow, drive, part);
                wrong = self.wrong();
                if largest(&wrong) < size {
                    break;
                }
                share *= 0.5;
                if share < 1e-3 {
                    return None;
                }
            }
        }
        None
    }

    /// Fills the path and the ampere-turns for the volts as they are; gives their slopes.
    fn currents(&mut self, solver: &Solver, slow: &Slow, drive: Drive, part: f64) -> Vec<f64> {
        let turns = self.circuit.turns[0] + self.circuit.turns[1];
        let mut slopes = vec![0.0; self.volts.len()];
        for (n, instant) in self.path.iter_mut().enumerate() {
            let (grid, _) = solver.grids(slow, drive, part * instant.angle.cos());
            let start = Start {
                plates: instant.plate_volts,
                screens: instant.screen_amps,
            };
            let driven = self
                .circuit
                .at_load_volts(slow, grid, self.volts[n], &start);
            self.turns_amps[n] = driven.turns_amps;
            slopes[n] = driven.by_volts;
            let sides = driven.side;
            *instant = Instant {
                angle: instant.angle,
                grid_volts: grid,
                plate_volts: sides.map(|s| s.plate_volts),
                screen_volts: sides.map(|s| s.screen_volts),
                plate_amps: sides.map(|s| s.flow.plate.amps),
                screen_amps: sides.map(|s| s.flow.screen.amps),
                load_volts: turns * self.volts[n],
            };
        }
        slopes
    }

    /// `u − C T`.
    fn wrong(&self) -> Vec<f64> {
        let n = self.volts.len();
        (0..n)
            .map(|row| {
                let answer: f64 = (0..n)
                    .map(|column| self.response[(n + row - column) % n] * self.turns_amps[column])
                    .sum();
                self.volts[row] - answer
            })
            .collect()
    }

    fn averages(&self) -> Averages {
        let sides = SideAverages::along(&self.path);
        Averages {
            plate: sides.map(|side| side.plate_amps),
            screen: sides.map(|side| side.screen_amps),
            ..Averages::default()
        }
    }

    /// Real power in the load, W, and distortion of its volts.
    fn delivered(&self) -> (f64, f64) {
        let count = self.volts.len() as f64;
        let mut watts = 0.0;
        let mut mean_square = 0.0;
        let mut first = Complex64::default();
        for (volts, (amps, instant)) in
            (self.volts.iter()).zip(self.turns_amps.iter().zip(&self.path))
        {
            watts += volts * amps / count;
            mean_square += volts * volts / count;
            first += 2.0 / count * volts * Complex64::cis(-instant.angle);
        }
        (watts, distortion(mean_square, first.norm_sqr() / 2.0))
    }
}

fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0_f64, |most, v| most.max(v.abs()))
}
