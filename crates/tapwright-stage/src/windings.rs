//! A stage over a range of loads on primary windings of different resistance.
//!
//! The leads of one primary have their own copper each, but what the tubes do changes little
//! from one to the next. So the stage is solved on the winding of least resistance and on the
//! one of most, and, unless these are near each other, on one between. Values on the others
//! lie on the line or the parabola through the solved ones, at loads that make the same total
//! of load and copper: then only the direct drop differs, and what both tubes of a pair carry
//! at once. From an eighth of the target load up that is accurate to 0.1 % of power, 0.01
//! points of distortion and 0.5 % of dissipation. Where the windings are far apart, or supply
//! and bias differ irregularly, every one is solved.

use super::curve::{Delivered, LoadCurve, Roots};
use super::stress::{DRIVES, Stress, StressCurve};
use super::{Stage, StageError};
use tapwright_tube::Bias;

/// Relative error of supply and bias up to which a winding counts as on a straight line
/// between the least and the most.
const STRAIGHT: f64 = 1e-3;

/// The largest differences of winding resistance, divided by the target load, that a line
/// spans and that a parabola spans.
const LINE_SPANS: f64 = 0.025;
const PARABOLA_SPANS: f64 = 0.06;

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
    /// Solves `stages` over `loads` and three octaves around `target`, Ω; see
    /// [`LoadCurve::solve`]. The stages are one stage, at least once, on windings whose
    /// resistance rises from each to the next; supply and bias may change with it.
    ///
    /// # Errors
    /// As [`LoadCurve::solve`].
    pub fn solve(stages: &[Stage], target: f64, loads: (f64, f64)) -> Result<Self, StageError> {
        let last = stages.len().saturating_sub(1);
        let (least, most) = (&stages[0], &stages[last]);
        let loads = (
            on_other(loads.0, least.primary_ohms, most.primary_ohms),
            on_other(loads.1, most.primary_ohms, least.primary_ohms),
        );
        let width = (most.primary_ohms - least.primary_ohms) / target;
        let regular = stages.iter().all(|stage| lies_between(stage, least, most));
        let solved = stages.iter().enumerate().filter(|(at, _)| {
            let middle = width > LINE_SPANS && *at == last / 2;
            [0, last].contains(at) || middle || width > PARABOLA_SPANS || !regular
        });
        let solved = solved.map(|(_, stage)| OnWinding::solve(*stage, target, loads));
        Ok(Self {
            solved: solved.collect::<Result<_, _>>()?,
        })
    }

    /// Power and distortion at the onset of grid current on a winding and into a load, Ω;
    /// `None` outside of what could be solved.
    pub fn delivered(&self, winding: f64, load: f64) -> Option<Delivered> {
        let mut roots = Vec::new();
        for (weight, on) in self.around(winding)? {
            let there = on_other(load, winding, on.ohms);
            // What goes from one winding to the other is the load's current: the root of
            // power divided by that of the load.
            roots.push((weight * (load / there).sqrt(), on.curve.roots(there)?));
        }
        Some(Roots::weighted(roots.iter().map(|(w, r)| (*w, r))).delivered())
    }

    /// Stress there at [`DRIVES`].
    pub fn stress(&self, winding: f64, load: f64) -> Option<[Stress; DRIVES.len()]> {
        let mut stresses = Vec::new();
        for (weight, on) in self.around(winding)? {
            let there = on_other(load, winding, on.ohms);
            let at = on.stress.at(there)?.map(|stress| Stress {
                watts: stress.watts * load / there,
                ..stress
            });
            stresses.push((weight, at));
        }
        Some(std::array::from_fn(|drive| {
            Stress::weighted(stresses.iter().map(|(w, at)| (*w, &at[drive])))
        }))
    }

    /// The solved windings, each with its weight at a winding: the winding itself where it was
    /// solved, otherwise all, which are two or three (Lagrange's form).
    fn around(&self, winding: f64) -> Option<Vec<(f64, &OnWinding)>> {
        if let Some(on) = self.solved.iter().find(|on| on.ohms == winding) {
            return Some(vec![(1.0, on)]);
        }
        let (first, last) = (self.solved.first()?, self.solved.last()?);
        if self.solved.len() > 3 || !(first.ohms..=last.ohms).contains(&winding) {
            return None;
        }
        let weight = |on: &OnWinding| {
            let others = self.solved.iter().filter(|other| other.ohms != on.ohms);
            let factors = others.map(|other| (winding - other.ohms) / (on.ohms - other.ohms));
            factors.product::<f64>()
        };
        Some(self.solved.iter().map(|on| (weight(on), on)).collect())
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

/// Whether `stage` differs from `least` and `most` by its winding only, with supply and bias on
/// the straight line between theirs.
fn lies_between(stage: &Stage, least: &Stage, most: &Stage) -> bool {
    let width = most.primary_ohms - least.primary_ohms;
    let share = (stage.primary_ohms - least.primary_ohms) / width;
    let on_line = |value: fn(&Stage) -> f64| {
        let expected = value(least) + share * (value(most) - value(least));
        (value(stage) - expected).abs() <= STRAIGHT * expected.abs()
    };
    let alike = Stage {
        primary_ohms: least.primary_ohms,
        plate_supply: least.plate_supply,
        bias: least.bias,
        ..*stage
    };
    alike == *least
        && on_line(|stage| stage.plate_supply.volts)
        && on_line(|stage| match stage.bias {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(ohms) => ohms,
        })
}
