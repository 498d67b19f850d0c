//! A stage over a range of loads on primary windings of different resistance.
//!
//! The leads of one primary have their own copper each, but what the tubes do changes little
//! from one to the next. It is solved on a few of the windings; what lies between two of
//! them is taken straight between, at loads that make the same total of load and copper: so
//! only the direct drop and what both tubes of a pair carry at once is left to differ. On
//! windings up to [`APART`] of the target apart that is within 0.1 % of power and of
//! distortion, and 0.3 % of dissipation.

use super::curve::{Delivered, LoadCurve};
use super::stress::{DRIVES, Stress, StressCurve};
use super::{Stage, StageError};
use tapwright_tube::Bias;

/// How far supply and bias may be from straight between two solved windings, of themselves.
const STRAIGHT: f64 = 1e-3;

/// How far neighbouring solved windings may be apart, over the target load.
const APART: f64 = 0.03;

/// Factor of the target load, either way, within which stress is solved at more loads.
const STRESS_NEAR: f64 = 12.0;

/// A stage solved on several windings.
#[derive(Debug, Clone, PartialEq)]
pub struct Windings {
    solved: Vec<OnWinding>,
}

#[derive(Debug, Clone, PartialEq)]
struct OnWinding {
    ohms: f64,
    curve: LoadCurve,
    stress: StressCurve,
}

impl Windings {
    /// Solves as many of `stages` as it takes, over `loads` and three octaves around
    /// `target`, Ω; see [`LoadCurve::solve`]. The stages are one, at least one, on windings
    /// that rise from each to the next; supply and bias may change with them.
    ///
    /// # Errors
    /// As [`LoadCurve::solve`].
    pub fn solve(stages: &[Stage], target: f64, loads: (f64, f64)) -> Result<Self, StageError> {
        let last = stages.len().saturating_sub(1);
        let (least, most) = (stages[0].primary_ohms, stages[last].primary_ohms);
        let loads = (
            on_other(loads.0, least, most),
            on_other(loads.1, most, least),
        );
        let mut solved = vec![OnWinding::solve(stages[0], target, loads)?];
        // The ends still to be reached, the before last.
        let (mut from, mut ends) = (0, vec![last]);
        while let Some(to) = ends.pop() {
            if !lie_between(&stages[from..=to], APART * target) {
                ends.extend([to, usize::midpoint(from, to)]);
            } else if to > from {
                solved.push(OnWinding::solve(stages[to], target, loads)?);
                from = to;
            }
        }
        Ok(Self { solved })
    }

    /// Power and distortion at the onset of grid current on a winding and into a load, Ω;
    /// `None` outside of what could be solved.
    pub fn delivered(&self, winding: f64, load: f64) -> Option<Delivered> {
        let (before, towards) = self.around(winding)?;
        // The load's current, as roots of power over the root of the load.
        let current = |on: &OnWinding| {
            let there = on_other(load, winding, on.ohms);
            Some(on.curve.roots(there)?.times(there.sqrt().recip()))
        };
        let roots = match towards {
            None => before.curve.roots(load)?,
            Some((other, share)) => {
                (current(before)?.towards(&current(other)?, share)).times(load.sqrt())
            }
        };
        Some(roots.delivered())
    }

    /// Stress there at [`DRIVES`].
    pub fn stress(&self, winding: f64, load: f64) -> Option<[Stress; DRIVES.len()]> {
        let (before, towards) = self.around(winding)?;
        let at = |on: &OnWinding| {
            let there = on_other(load, winding, on.ohms);
            let stresses = on.stress.at(there)?;
            Some(stresses.map(|stress| Stress {
                watts: stress.watts * load / there,
                ..stress
            }))
        };
        let Some((other, share)) = towards else {
            return before.stress.at(load);
        };
        let (here, there) = (at(before)?, at(other)?);
        Some(std::array::from_fn(|n| here[n].towards(&there[n], share)))
    }

    /// The solved winding before one, and the next with the share it has; nothing next to a
    /// winding that was itself solved.
    fn around(&self, winding: f64) -> Option<(&OnWinding, Option<(&OnWinding, f64)>)> {
        let next = self.solved.iter().position(|on| on.ohms >= winding)?;
        let beyond = &self.solved[next];
        if beyond.ohms == winding {
            return Some((beyond, None));
        }
        let before = self.solved.get(next.checked_sub(1)?)?;
        let share = (winding - before.ohms) / (beyond.ohms - before.ohms);
        Some((before, Some((beyond, share))))
    }
}

impl OnWinding {
    fn solve(stage: Stage, target: f64, loads: (f64, f64)) -> Result<Self, StageError> {
        let curve = LoadCurve::solve(stage, target, loads)?;
        // Far off, where stress hardly changes any more, half as many loads will do.
        let near = target / STRESS_NEAR..=target * STRESS_NEAR;
        let last = curve.every_other().count().saturating_sub(1);
        let solved = curve.every_other().enumerate();
        let kept =
            solved.filter(|(n, cycle)| near.contains(&cycle.load_ohms) || n % 2 == 0 || *n == last);
        Ok(Self {
            ohms: stage.primary_ohms,
            stress: StressCurve::solve(stage, kept.map(|(_, cycle)| cycle)),
            curve,
        })
    }
}

/// The load that on another winding makes the same total with it; for a load that is small
/// beside the copper, where the tubes are sources of current, the load itself.
fn on_other(load: f64, winding: f64, other: f64) -> f64 {
    let square = load * load;
    load + (winding - other) * square / (square + other * other).max(f64::MIN_POSITIVE)
}

/// Whether all of `stages` lie straight between the first and the last, no further apart
/// than `apart`, Ω; always where there is none between.
fn lie_between(stages: &[Stage], apart: f64) -> bool {
    let [first, between @ .., last] = stages else {
        return true;
    };
    let width = last.primary_ohms - first.primary_ohms;
    let lies = |stage: &Stage| {
        let share = (stage.primary_ohms - first.primary_ohms) / width;
        let on_line = |pick: fn(&Stage) -> f64| {
            let expected = pick(first) + share * (pick(last) - pick(first));
            (pick(stage) - expected).abs() <= STRAIGHT * expected.abs()
        };
        let alike = Stage {
            primary_ohms: first.primary_ohms,
            plate_supply: first.plate_supply,
            bias: first.bias,
            ..*stage
        };
        alike == *first
            && on_line(|stage| stage.plate_supply.volts)
            && on_line(|stage| match stage.bias {
                Bias::Fixed(volts) => volts,
                Bias::Cathode(ohms) => ohms,
            })
    };
    between.is_empty() || (width <= apart && between.iter().all(lies))
}
