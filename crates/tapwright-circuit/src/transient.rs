//! The circuit through time, and the state that repeats under a periodic drive.
//!
//! Trapezoidal rule: `C (x₁ − x₀)/h + ½ (G x₁ + f(x₁) + G x₀ + f(x₀)) = ½ (s₁ + s₀)`. The first
//! step of a period is two half steps of Euler's backward rule, which forget what an instant
//! alone decides.

use std::fmt;

use nalgebra::{Complex, DMatrix, DVector, linalg::LU};

use crate::circuit::Circuit;
use crate::direct::{DirectPoint, NoPoint};
use crate::node::Node;
use crate::system::{LONGEST, System, unknown};

/// Steps of Newton's method at one instant.
const MOST_STEPS: usize = 60;

/// Solved when no unknown moves by more than this share of the largest.
const SETTLED: f64 = 1e-10;

/// Tries to find the state that repeats.
const MOST_PERIODS: usize = 40;

/// A state repeats when no unknown is further from where it would than this share of itself, and
/// of one.
const REPEATS: f64 = 1e-5;

/// Why there is no wave.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsettled {
    /// There is no point at rest to start from.
    Rest(NoPoint),
    /// At one instant Newton's method did not settle.
    Instant,
    /// No state that repeats was found.
    Period,
}

impl fmt::Display for Unsettled {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rest(why) => write!(f, "{why}"),
            Self::Instant => f.write_str("the currents at one instant did not settle"),
            Self::Period => f.write_str("no state that repeats was found"),
        }
    }
}

impl std::error::Error for Unsettled {}

/// Every unknown at equal steps through one stretch of time.
#[derive(Debug, Clone)]
pub struct Transient {
    /// Seconds between neighbours.
    pub step: f64,
    states: Vec<DVector<f64>>,
}

/// A step and the two matrices of its linear part.
struct Step<'a> {
    system: &'a System,
    /// `C/h`, or `2C/h` in the trapezoidal rule.
    storage: DMatrix<f64>,
    /// Whether it is the trapezoidal rule.
    trapezoidal: bool,
    seconds: f64,
}

impl<'a> Step<'a> {
    fn new(system: &'a System, seconds: f64, trapezoidal: bool) -> Self {
        let factor = if trapezoidal { 2.0 } else { 1.0 };
        Self {
            system,
            storage: &system.storage * (factor / seconds),
            trapezoidal,
            seconds,
        }
    }

    /// The state after a step from `x` at `time`; and how it moves with `x`, if that is asked.
    fn take(
        &self,
        x: &DVector<f64>,
        time: f64,
        sensitive: bool,
    ) -> Result<(DVector<f64>, Option<DMatrix<f64>>), Unsettled> {
        let given_after = self.system.at_time(time + self.seconds);
        let mut known = &self.storage * x + &given_after;
        let mut before = self.storage.clone();
        if self.trapezoidal {
            let (amps, slopes) = self.system.flow(x);
            known += self.system.at_time(time) - amps;
            before -= slopes;
        }
        let mut next = x.clone();
        for _ in 0..MOST_STEPS {
            let (amps, slopes) = self.system.flow(&next);
            let left = &self.storage * &next + amps - &known;
            let lu: LU<f64, _, _> = (&self.storage + slopes).lu();
            let step = lu.solve(&left).ok_or(Unsettled::Instant)?;
            let most = step.amax();
            if !most.is_finite() {
                return Err(Unsettled::Instant);
            }
            let share = (LONGEST / most).min(1.0);
            next -= share * &step;
            if share * most < SETTLED * (1.0 + next.amax()) {
                let moved = match sensitive {
                    true => Some(lu.solve(&before).ok_or(Unsettled::Instant)?),
                    false => None,
                };
                return Ok((next, moved));
            }
        }
        Err(Unsettled::Instant)
    }
}

impl Transient {
    /// From rest, at `steps` equal steps over `seconds`.
    ///
    /// # Errors
    /// [`Unsettled`].
    pub fn from_rest(circuit: &Circuit, seconds: f64, steps: usize) -> Result<Self, Unsettled> {
        let system = System::of(circuit);
        let start = DirectPoint::in_system(&system).map_err(Unsettled::Rest)?;
        let (states, _) = run(&system, start, seconds, steps, false)?;
        Ok(Self {
            step: seconds / steps as f64,
            states,
        })
    }

    /// One period of a drive of `hertz` in the state that repeats, at `steps` equal steps.
    ///
    /// By shooting: how the end of a period moves with its start is carried along, and Newton's
    /// method makes the two one.
    ///
    /// # Errors
    /// [`Unsettled`].
    pub fn periodic(circuit: &Circuit, hertz: f64, steps: usize) -> Result<Self, Unsettled> {
        let system = System::of(circuit);
        let mut start = DirectPoint::in_system(&system).map_err(Unsettled::Rest)?;
        let size = system.size();
        for _ in 0..MOST_PERIODS {
            let (states, moved) = run(&system, start.clone(), 1.0 / hertz, steps, true)?;
            let (Some(end), Some(moved)) = (states.last(), moved) else {
                return Err(Unsettled::Period);
            };
            let off = end - &start;
            // What is slow moves hardly at all in a period, however far it has to go: the
            // correction tells how far that is, not the period's own difference.
            let lu = (DMatrix::identity(size, size) - moved).lu();
            let correction = lu.solve(&off).ok_or(Unsettled::Period)?;
            let near = |(by, value): (&f64, &f64)| by.abs() < REPEATS * (1.0 + value.abs());
            if correction.iter().zip(start.iter()).all(near) {
                return Ok(Self {
                    step: 1.0 / hertz / steps as f64,
                    states,
                });
            }
            start += correction;
        }
        Err(Unsettled::Period)
    }

    /// Volts at a node, at each step from the start to the end.
    pub fn volts(&self, node: Node) -> Vec<f64> {
        let at = |state: &DVector<f64>| unknown(node).map_or(0.0, |at| state[at]);
        self.states.iter().map(at).collect()
    }

    /// Amplitudes of the harmonics of the volts at a node, V, where this is one period: the
    /// average first, then the fundamental, up to a number of orders.
    pub fn harmonics(&self, node: Node, orders: usize) -> Vec<f64> {
        let volts = self.volts(node);
        // The last point is the first of the next period.
        let points = &volts[..volts.len().saturating_sub(1)];
        let count = points.len() as f64;
        let amplitude = |order: usize| {
            let turn = std::f64::consts::TAU * order as f64 / count;
            let turned = points.iter().enumerate();
            let sum: Complex<f64> = turned
                .map(|(n, volts)| Complex::from_polar(*volts, -turn * n as f64))
                .sum();
            sum.norm() * if order == 0 { 1.0 } else { 2.0 } / count
        };
        (0..=orders).map(amplitude).collect()
    }
}

type Run = (Vec<DVector<f64>>, Option<DMatrix<f64>>);

/// Steps through time from a state; with how the end moves with the start.
fn run(
    system: &System,
    start: DVector<f64>,
    seconds: f64,
    steps: usize,
    sensitive: bool,
) -> Result<Run, Unsettled> {
    let length = seconds / steps as f64;
    let plain = Step::new(system, length, true);
    let half = Step::new(system, length / 2.0, false);
    let mut moved = sensitive.then(|| DMatrix::identity(system.size(), system.size()));
    let mut states = vec![start];
    for n in 0..steps {
        let time = n as f64 * length;
        let parts: &[(&Step, f64)] = match n {
            0 => &[(&half, 0.0), (&half, length / 2.0)],
            _ => &[(&plain, time)],
        };
        let mut x = states[n].clone();
        for (step, time) in parts {
            let (next, by) = step.take(&x, *time, sensitive)?;
            x = next;
            moved = moved.zip(by).map(|(moved, by)| by * moved);
        }
        states.push(x);
    }
    Ok((states, moved))
}
