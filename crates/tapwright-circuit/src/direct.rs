//! The circuit at rest: capacitors are open, inductors and windings are wires.

use std::fmt;

use nalgebra::{DMatrix, DVector};

use crate::circuit::Circuit;
use crate::node::Node;
use crate::system::{LONGEST, System, unknown};

/// Steps of Newton's method for one set of sources.
const MOST_STEPS: usize = 80;

/// Solved when no step moves a node by more than this, V, and a current by as many A.
const SETTLED: f64 = 1e-9;

/// A conductance from each node to ground that the search may start with, S, from large to none.
const HELPS: [f64; 5] = [1e-3, 1e-4, 1e-6, 1e-9, 0.0];

/// Shares of the sources that the last way takes, one after the other.
const SHARES: usize = 40;

/// Volts and currents at rest.
#[derive(Debug, Clone)]
pub struct DirectPoint {
    pub(crate) x: DVector<f64>,
}

/// Why there is no point at rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPoint {
    /// The equations contradict each other, or leave something open: a loop of sources without
    /// resistance.
    Singular,
    /// No way to it was found.
    NotFound,
}

impl fmt::Display for NoPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Singular => "the circuit joins sources without any resistance between them",
            Self::NotFound => "no point at rest was found",
        })
    }
}

impl std::error::Error for NoPoint {}

impl DirectPoint {
    /// The point at rest.
    ///
    /// Newton's method from zero; where that does not settle, with a conductance at every node
    /// that is taken away in steps, and then with the sources turned up in steps.
    ///
    /// # Errors
    /// [`NoPoint`].
    pub fn of(circuit: &Circuit) -> Result<Self, NoPoint> {
        let system = System::of(circuit);
        Self::in_system(&system).map(|x| Self { x })
    }

    pub(crate) fn in_system(system: &System) -> Result<DVector<f64>, NoPoint> {
        let given = system.at_rest();
        let start = DVector::zeros(system.size());
        let direct = newton(system, &given, start.clone(), 0.0);
        if let Ok(x) = direct {
            return Ok(x);
        }
        if let Ok(x) = HELPS
            .iter()
            .try_fold(start.clone(), |x, help| newton(system, &given, x, *help))
        {
            return Ok(x);
        }
        (1..=SHARES).try_fold(start, |x, step| {
            let share = step as f64 / SHARES as f64;
            newton(system, &(share * &given), x, 0.0)
        })
    }

    /// Volts at a node, from ground.
    pub fn volts(&self, node: Node) -> f64 {
        unknown(node).map_or(0.0, |at| self.x[at])
    }

    /// The current of a part that has one of its own (a source, a joint, an inductor; of a core
    /// that of its first winding): from its first node through the part, A.
    pub fn amps(&self, circuit: &Circuit, part: &str) -> Option<f64> {
        let system = System::of(circuit);
        Some(self.x[system.current(circuit.place(part)?)?])
    }
}

/// The residual `G x + f(x) − s` and its slopes.
fn residual(
    system: &System,
    given: &DVector<f64>,
    x: &DVector<f64>,
    help: f64,
) -> (DVector<f64>, DMatrix<f64>) {
    let (flow, mut slopes) = system.flow(x);
    let mut left = flow - given;
    if help > 0.0 {
        for at in 0..system.size() {
            // A current has no conductance; a few ohms in its place do no harm on the way.
            slopes[(at, at)] += help;
            left[at] += help * x[at];
        }
    }
    (left, slopes)
}

/// Newton's method with steps that are held short.
fn newton(
    system: &System,
    given: &DVector<f64>,
    mut x: DVector<f64>,
    help: f64,
) -> Result<DVector<f64>, NoPoint> {
    let (mut left, mut slopes) = residual(system, given, &x, help);
    for _ in 0..MOST_STEPS {
        let step = slopes.lu().solve(&left).ok_or(NoPoint::Singular)?;
        if !step.iter().all(|value| value.is_finite()) {
            return Err(NoPoint::Singular);
        }
        let most = step.amax();
        let mut share = (LONGEST / most).min(1.0);
        let before = left.norm();
        loop {
            let next = &x - share * &step;
            let (next_left, next_slopes) = residual(system, given, &next, help);
            // A step that makes it worse is halved; a very short one is taken all the same.
            if next_left.norm() <= before * 1.5 || share < 0.02 {
                (x, left, slopes) = (next, next_left, next_slopes);
                break;
            }
            share *= 0.5;
        }
        if share * most < SETTLED * (1.0 + x.amax() * 1e-3) {
            return Ok(x);
        }
    }
    Err(NoPoint::NotFound)
}
