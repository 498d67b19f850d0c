//! Power and distortion against load: a stage solved at a lattice of loads, and what lies
//! between them.
//!
//! The stage is driven to the onset of grid current. Between neighbouring loads the signed
//! amplitudes of the harmonics, scaled to the square root of their power, are interpolated
//! by cubics in the logarithm of the load: they are smooth where power and distortion
//! themselves have corners. Six loads an octave keep the error below what 3 digits show.

use serde::Serialize;

use super::cycle::HARMONICS;
use super::{Cycle, Drive, Solver, Stage, StageError};

/// Loads to the octave near the target.
const FINE: i32 = 6;

/// Lattice steps between loads that are further off.
const COARSE: i32 = 3;

/// Octaves on either side of the target with the fine lattice.
const NEAR_OCTAVES: f64 = 3.0;

/// What the stage puts into a load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Delivered {
    /// Power in the load, W.
    pub watts: f64,
    /// Total harmonic distortion, over the fundamental.
    pub thd: f64,
}

/// A stage at the onset of grid current over a range of loads.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadCurve {
    nodes: Vec<Node>,
}

/// One load, solved.
#[derive(Debug, Clone, PartialEq)]
struct Node {
    log_load: f64,
    /// `H_m/√(2R)` for H1 to H7, then the root of the power of all above, √W.
    roots: [f64; HARMONICS + 1],
    cycle: Cycle,
}

impl Node {
    fn of(cycle: Cycle) -> Self {
        let scale = (2.0 * cycle.load_ohms).sqrt();
        let mut roots = [0.0; HARMONICS + 1];
        let mut rest = cycle.watts;
        for (root, harmonic) in roots.iter_mut().zip(cycle.harmonics) {
            *root = harmonic / scale;
            rest -= *root * *root;
        }
        roots[HARMONICS] = rest.max(0.0).sqrt();
        Self {
            log_load: cycle.load_ohms.ln(),
            roots,
            cycle,
        }
    }
}

impl LoadCurve {
    /// Solves the lattice that covers `loads` and three octaves around `target`, Ω. Loads
    /// that could not be solved are missing from it; an empty curve is an error.
    ///
    /// The lattice does not depend on `loads` but for its extent, so it stays while
    /// connections come and go.
    ///
    /// # Errors
    /// As [`Solver::cycle`], when no load at all could be solved.
    pub fn solve(stage: Stage, target: f64, loads: (f64, f64)) -> Result<Self, StageError> {
        let middle = step_of(target);
        let near = (NEAR_OCTAVES * f64::from(FINE)) as i32 + 1;
        let lowest = step_of(loads.0.max(0.02)) - COARSE;
        let highest = step_of(loads.1.min(5e7)) + COARSE;
        let mut failed = None;
        let mut below = Vec::new();
        let mut above = Vec::new();
        for (nodes, direction, last) in [(&mut above, 1, highest), (&mut below, -1, lowest)] {
            let mut solver = Solver::new(stage);
            let mut step = middle;
            while (step - middle).abs() <= near || direction * (last - step) >= 0 {
                match solver.cycle(load_at(step), Drive::OfGridCurrent(1.0)) {
                    Ok(cycle) => nodes.push(Node::of(cycle)),
                    Err(error) => failed = Some(error),
                }
                let far = (step - middle).abs() >= near;
                step += direction * if far { COARSE } else { 1 };
            }
        }
        // Both ways start at the target.
        below.reverse();
        below.pop();
        let nodes: Vec<Node> = below.into_iter().chain(above).collect();
        match failed {
            Some(error) if nodes.len() < 4 => Err(error),
            _ => Ok(Self { nodes }),
        }
    }

    /// Power and distortion into `load`, Ω; `None` outside of what could be solved.
    pub fn at(&self, load: f64) -> Option<Delivered> {
        let x = load.ln();
        let after = self.nodes.partition_point(|node| node.log_load < x);
        let (left, right) = (after.checked_sub(1)?, after);
        let (a, b) = (self.nodes.get(left)?, self.nodes.get(right)?);
        let before = left.checked_sub(1).and_then(|at| self.nodes.get(at));
        let beyond = self.nodes.get(right + 1);
        let mut watts = 0.0;
        let mut first = 0.0;
        for m in 0..=HARMONICS {
            let point = |node: &Node| (node.log_load, node.roots[m]);
            let root = cubic(x, before.map(point), point(a), point(b), beyond.map(point));
            watts += root * root;
            if m == 0 {
                first = root * root;
            }
        }
        let thd = if first > 0.0 {
            ((watts - first).max(0.0) / first).sqrt()
        } else {
            0.0
        };
        Some(Delivered { watts, thd })
    }

    /// The solved cycles, lowest load first.
    pub fn cycles(&self) -> impl DoubleEndedIterator<Item = &Cycle> {
        self.nodes.iter().map(|node| &node.cycle)
    }

    /// The load with the most power at no more than this distortion, Ω.
    pub fn best_load(&self, most_thd: f64) -> Option<f64> {
        let best = (self.cycles())
            .filter(|cycle| cycle.thd <= most_thd)
            .max_by(|a, b| a.watts.total_cmp(&b.watts))?;
        Some(best.load_ohms)
    }
}

fn step_of(load: f64) -> i32 {
    (load.log2() * f64::from(FINE)).round() as i32
}

fn load_at(step: i32) -> f64 {
    (f64::from(step) / f64::from(FINE)).exp2()
}

/// The cubic through `a` and `b` whose slopes there are those of the parabolas through the
/// neighbours (Hermite interpolation, three-point slopes); straight where there is none.
pub(super) fn cubic(
    x: f64,
    before: Option<(f64, f64)>,
    a: (f64, f64),
    b: (f64, f64),
    beyond: Option<(f64, f64)>,
) -> f64 {
    let width = b.0 - a.0;
    let rise = (b.1 - a.1) / width;
    let slope = |outer: Option<(f64, f64)>, inner: (f64, f64)| {
        outer.map_or(rise, |outer| {
            let gap = (inner.0 - outer.0).abs();
            let other = (inner.1 - outer.1) / (inner.0 - outer.0);
            (rise * gap + other * width) / (gap + width)
        })
    };
    let (from, to) = (slope(before, a), slope(beyond, b));
    let t = (x - a.0) / width;
    let s = 1.0 - t;
    a.1 * s * s * (1.0 + 2.0 * t)
        + b.1 * t * t * (1.0 + 2.0 * s)
        + width * t * s * (from * s - to * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cubic gives back a parabola. Exact arithmetic.
    #[test]
    fn parabolas_are_met_exactly() {
        let f = |x: f64| (x, 3.0 - 2.0 * x + 0.5 * x * x);
        let y = cubic(1.3, Some(f(0.0)), f(1.0), f(2.5), Some(f(4.0)));
        assert!((y - f(1.3).1).abs() < 1e-12);
    }
}
