//! Power and distortion against load: a stage solved at a lattice of loads, and what lies
//! between them.
//!
//! The stage is driven to the onset of grid current. Between neighbouring loads the signed
//! amplitudes of the harmonics, scaled to the square root of their power, are interpolated
//! by cubics in the logarithm of the load: they are smooth where power and distortion
//! themselves have corners. Six loads an octave keep the error below what 3 digits show.

use serde::Serialize;

use super::cubic;
use super::cycle::{HARMONICS, distortion};
use super::{Cycle, Drive, Solver, Stage, StageError};

/// Loads to the octave near the target.
const FINE: i32 = 6;

/// Lattice steps between loads that are further off.
const COARSE: i32 = 3;

/// Loads tried between two of the lattice in search of the best: steps of 0.12 % near the target.
const SEARCHED: u32 = 100;

/// Loads that a lattice covers, Ω.
const LEAST_LOAD: f64 = 0.02;
const MOST_LOAD: f64 = 5e7;

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
    roots: Roots,
    cycle: Cycle,
}

/// `H_m/√(2R)` for H1 to H7, then the root of the power of all above, √W.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Roots([f64; HARMONICS + 1]);

impl Roots {
    /// The sum of some, each times its weight.
    pub fn weighted<'a>(parts: impl Iterator<Item = (f64, &'a Self)>) -> Self {
        let mut sum = [0.0; HARMONICS + 1];
        for (weight, roots) in parts {
            for (sum, root) in sum.iter_mut().zip(&roots.0) {
                *sum += weight * root;
            }
        }
        Self(sum)
    }

    pub fn delivered(&self) -> Delivered {
        let watts = self.0.iter().map(|root| root * root).sum();
        Delivered {
            watts,
            thd: distortion(watts, self.0[0] * self.0[0]),
        }
    }
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
            roots: Roots(roots),
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
    /// As [`super::Solver::cycle`], when no load at all could be solved, and
    /// [`StageError::OutOfRange`] for a target below 0.02 Ω or above 50 MΩ.
    pub fn solve(stage: Stage, target: f64, loads: (f64, f64)) -> Result<Self, StageError> {
        if !(LEAST_LOAD..=MOST_LOAD).contains(&target) {
            return Err(StageError::OutOfRange("the target load", target));
        }
        let middle = step_of(target);
        let near = (NEAR_OCTAVES * f64::from(FINE)) as i32 + 1;
        let lowest = step_of(loads.0.clamp(LEAST_LOAD, MOST_LOAD)) - COARSE;
        let highest = step_of(loads.1.clamp(LEAST_LOAD, MOST_LOAD)) + COARSE;
        let mut failed = None;
        let mut below = Vec::new();
        let mut above = Vec::new();
        for (nodes, direction, last) in [(&mut above, 1, highest), (&mut below, -1, lowest)] {
            // Every cycle starts from its neighbour's solution.
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
        Some(self.roots(load)?.delivered())
    }

    /// The harmonics there.
    pub(super) fn roots(&self, load: f64) -> Option<Roots> {
        let around = cubic::weighted(load.ln(), &self.nodes, |node| node.log_load)?;
        let roots = around.iter().map(|(weight, node)| (*weight, &node.roots));
        Some(Roots::weighted(roots))
    }

    /// The solved cycles, lowest load first.
    pub fn cycles(&self) -> impl DoubleEndedIterator<Item = &Cycle> {
        self.nodes.iter().map(|node| &node.cycle)
    }

    /// Every other solved cycle, and the last: three to the octave near the target.
    pub fn every_other(&self) -> impl Iterator<Item = &Cycle> {
        let last = self.nodes.len().saturating_sub(1);
        self.cycles()
            .enumerate()
            .filter(move |(n, _)| n % 2 == 0 || *n == last)
            .map(|(_, cycle)| cycle)
    }

    /// Of the loads between these two, Ω, the one with the most power at no more than this
    /// distortion; where all distort more, the one that distorts least of those with half of the
    /// most power. `None` where there is no power.
    pub fn best_load(&self, loads: (f64, f64), most_thd: f64) -> Option<f64> {
        let finely: Vec<(f64, Delivered)> = (self.loads_finely())
            .filter(|load| (loads.0..=loads.1).contains(load))
            .filter_map(|load| Some((load, self.at(load)?)))
            .filter(|(_, delivered)| delivered.watts > 1e-9)
            .collect();
        let watts = |found: &(f64, Delivered)| found.1.watts;
        let thd = |found: &(f64, Delivered)| found.1.thd;
        let most = finely.iter().map(watts).fold(0.0, f64::max);
        let clean = (finely.iter())
            .filter(|found| thd(found) <= most_thd)
            .max_by(|a, b| watts(a).total_cmp(&watts(b)));
        let cleanest = (finely.iter())
            .filter(|found| watts(found) >= 0.5 * most)
            .min_by(|a, b| thd(a).total_cmp(&thd(b)));
        Some(clean.or(cleanest)?.0)
    }

    /// The lattice's loads and those between them, Ω.
    fn loads_finely(&self) -> impl Iterator<Item = f64> + '_ {
        self.nodes.windows(2).flat_map(|two| {
            let (from, to) = (two[0].log_load, two[1].log_load);
            let part = (to - from) / f64::from(SEARCHED);
            (0..SEARCHED).map(move |n| (from + part * f64::from(n)).exp())
        })
    }
}

fn step_of(load: f64) -> i32 {
    (load.log2() * f64::from(FINE)).round() as i32
}

fn load_at(step: i32) -> f64 {
    (f64::from(step) / f64::from(FINE)).exp2()
}
