//! A load with reactance: the elliptical path over the plate curves.
//!
//! Harmonic balance. The cycle is cut into equal instants; the load turns the ampere-turns
//! `T` at the instants into volts `u` across a unit of turns, harmonic by harmonic, by its
//! impedance at the multiples of the frequency: `u = C T`, where the circulant matrix C is
//! made of `Z(k f)`, with nothing at `k = 0`, for the transformer passes no direct current.
//! Newton's method on `u − C T(u) = 0`, all instants at once; the averages of the currents
//! then move supply, screen and cathode as without reactance. Where Z is the same resistance
//! at every multiple, each instant obeys the equations of `phase` exactly.

use nalgebra::{Matrix4, Vector4};
use num_complex::Complex64;
use serde::Serialize;

use super::cycle::SideAverages;
use super::phase::{MAGNETISING, Slow};
use super::{Drive, Instant, Solver, StageError, Stress, settle};
use balance::Balance;
use tapwright_tube::Topology;

mod balance;

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
        let quarter = match self.stage.topology {
            Topology::SingleEnded => 1.0,
            Topology::PushPull => 0.25,
        };
        let mut balance = Balance::new(
            self.circuit(at.norm()),
            whole_cycle(self.path()),
            |multiple| quarter * load(multiple as f64 * hertz),
        );
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
    /// of the resistive solution, updated by Broyden's rule (Math. Comp. 19, 1965).
    fn settle_around(&mut self, balance: &mut Balance, drive: Drive) -> Result<f64, StageError> {
        let (resistive, _) = self.settle(&balance.circuit, drive)?;
        let (_, mut slopes) = self.disagreement(&balance.circuit, &self.slow, &resistive);
        // The magnetising current is whatever the average is, and no unknown here.
        slopes.set_row(3, &-MAGNETISING);
        let tolerance = settle::TOLERANCE * self.highest_supply();
        let mut slow = Slow {
            magnetising: 0.0,
            ..self.slow
        };
        let mut residual = balance.solve(self, &slow, drive)?;
        let mut wrong = self.wrong(balance, &slow);
        for _ in 0..60 {
            if wrong.amax() < tolerance {
                self.slow = slow;
                return Ok(residual.max(wrong.amax()));
            }
            let Some(step) = slopes.lu().solve(&wrong) else {
                break;
            };
            let tried = self.stepped(&slow, &step);
            residual = balance.solve(self, &tried, drive)?;
            let now = self.wrong(balance, &tried);
            let moved = Vector4::from(tried) - Vector4::from(slow);
            update_slopes(&mut slopes, &moved, &(now - wrong));
            (slow, wrong) = (tried, now);
        }
        Err(StageError::NotSettled(wrong.amax()))
    }

    fn wrong(&self, balance: &Balance, slow: &Slow) -> Vector4<f64> {
        let (mut wrong, _) = self.disagreement(&balance.circuit, slow, &balance.averages());
        wrong[3] = 0.0;
        wrong
    }
}

/// Broyden's rule: of all slopes that explain the last change, those nearest to the ones before.
fn update_slopes(slopes: &mut Matrix4<f64>, moved: &Vector4<f64>, change: &Vector4<f64>) {
    let length = moved.norm_squared();
    if length >= 1e-18 {
        *slopes += (change - *slopes * moved) * moved.transpose() / length;
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
