//! The balance between the load's volts and the tubes' currents at all instants of a cycle.

use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;

use crate::cycle::{SideAverages, distortion};
use crate::phase::{Circuit, Slow, Start};
use crate::solver::Averages;
use crate::{Drive, Instant, Solver, StageError};

/// The search stops when no instant is off by more than this fraction of the supply.
const TOLERANCE: f64 = 1e-7;

/// The load's volts and the tubes' currents over one cycle.
pub struct Balance {
    pub circuit: Circuit,
    /// C: volts across a unit of turns by the ampere-turns at all instants.
    response: DMatrix<f64>,
    /// u, V.
    volts: DVector<f64>,
    /// T, A.
    turns_amps: DVector<f64>,
    pub path: Vec<Instant>,
}

impl Balance {
    /// A balance that starts from a path without reactance. `load` is the load at a multiple of
    /// the frequency as a unit of turns sees it, Ω.
    pub fn new(circuit: Circuit, path: Vec<Instant>, load: impl Fn(usize) -> Complex64) -> Self {
        let count = path.len();
        let impulse = impulse_response(count, load);
        let turns = circuit.turns[0] + circuit.turns[1];
        Self {
            circuit,
            response: DMatrix::from_fn(count, count, |row, column| {
                impulse[(count + row - column) % count]
            }),
            volts: DVector::from_fn(count, |n, _| path[n].load_volts / turns),
            turns_amps: DVector::zeros(count),
            path,
        }
    }

    /// Finds the balance at these slow voltages; gives the residual, V. Where Newton's method
    /// does not arrive, the drive is raised in steps.
    pub fn solve(&mut self, solver: &Solver, slow: &Slow, drive: Drive) -> Result<f64, StageError> {
        if let Some(residual) = self.newton(solver, slow, drive, 1.0) {
            return Ok(residual);
        }
        let mut residual = f64::INFINITY;
        self.volts.fill(0.0);
        for step in 1..=20 {
            let part = f64::from(step) / 20.0;
            residual = self
                .newton(solver, slow, drive, part)
                .ok_or(StageError::NotSettled(residual))?;
        }
        Ok(residual)
    }

    /// Newton's method on all instants at once, with steps halved while they do not help.
    fn newton(&mut self, solver: &Solver, slow: &Slow, drive: Drive, part: f64) -> Option<f64> {
        let tolerance = TOLERANCE * (1.0 + slow.supply);
        let mut slopes = self.update_currents(solver, slow, drive, part);
        let mut wrong = self.wrong();
        for _ in 0..40 {
            let size = wrong.amax();
            if size < tolerance {
                return Some(size);
            }
            let mut by_volts = -&self.response;
            for (mut column, slope) in by_volts.column_iter_mut().zip(&slopes) {
                column *= *slope;
            }
            for n in 0..by_volts.nrows() {
                by_volts[(n, n)] += 1.0;
            }
            let step = by_volts.lu().solve(&wrong)?;
            let from = self.volts.clone();
            let mut share = 1.0;
            loop {
                self.volts = &from - share * &step;
                slopes = self.update_currents(solver, slow, drive, part);
                wrong = self.wrong();
                if wrong.amax() < size {
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

    /// Makes the path and the ampere-turns those of the volts; gives the slopes of the
    /// ampere-turns by the volts.
    fn update_currents(
        &mut self,
        solver: &Solver,
        slow: &Slow,
        drive: Drive,
        part: f64,
    ) -> Vec<f64> {
        let turns = self.circuit.turns[0] + self.circuit.turns[1];
        let mut slopes = Vec::with_capacity(self.path.len());
        for (n, instant) in self.path.iter_mut().enumerate() {
            let (grid, _) = solver.grids(slow, drive, part * instant.angle.cos());
            let start = Start {
                plates: instant.plate_volts,
                screens: instant.screen_amps,
            };
            let volts = self.volts[n];
            let at = self.circuit.at_load_volts(slow, grid, volts, &start);
            self.turns_amps[n] = at.turns_amps;
            slopes.push(at.by_volts);
            *instant = Instant::new(instant.angle, grid, &at.side, turns * volts);
        }
        slopes
    }

    /// `u − C T`.
    fn wrong(&self) -> DVector<f64> {
        &self.volts - &self.response * &self.turns_amps
    }

    /// Averages over the cycle, without slopes.
    pub fn averages(&self) -> Averages {
        let sides = SideAverages::along(&self.path);
        Averages {
            plate: sides.map(|side| side.plate_amps),
            screen: sides.map(|side| side.screen_amps),
            ..Averages::default()
        }
    }

    /// Real power in the load, W, and distortion of its volts.
    pub fn delivered(&self) -> (f64, f64) {
        let count = self.volts.len() as f64;
        let watts = self.volts.dot(&self.turns_amps) / count;
        let mean_square = self.volts.norm_squared() / count;
        let turned = |(volts, instant): (&f64, &Instant)| volts * Complex64::cis(-instant.angle);
        let first: Complex64 = self.volts.iter().zip(&self.path).map(turned).sum();
        let first = 2.0 / count * first;
        (watts, distortion(mean_square, first.norm_sqr() / 2.0))
    }
}

/// First column of the circulant matrix of a load: `(1/N) Σ Z(k) e^{2πikj/N}` over all
/// positive and negative k; nothing at zero, and the real part at the highest, which has no
/// phase of its own.
fn impulse_response(count: usize, load: impl Fn(usize) -> Complex64) -> Vec<f64> {
    let half = count / 2;
    let loads: Vec<Complex64> = (1..=half).map(load).collect();
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
