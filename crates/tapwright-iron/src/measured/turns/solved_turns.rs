//! The turns that agree best with the readings, by nonlinear least squares.

use tapwright_squares::normal::{Estimate, Normal};

use super::model::TurnsModel;
use super::{Deviation, SUSPICIOUS, Voltage};
use crate::measured::Pair;

/// An unknown that no reading settles is held at its first guess with this uncertainty, on the
/// logarithm.
const OPEN: f64 = 1e3;

/// The unknowns of a model, solved.
#[derive(Debug, Clone)]
pub(super) struct SolvedTurns {
    pub model: TurnsModel,
    at: Vec<f64>,
    estimate: Estimate,
}

/// How well readings agree with a solution.
#[derive(Debug, Clone)]
pub(super) struct Consistency {
    pub deviations: Vec<Option<Deviation>>,
    pub misfit: f64,
    pub spare: usize,
    pub suspects: Vec<usize>,
    pub doubt: f64,
}

impl SolvedTurns {
    /// `None` when the model has no unknowns or a reading is not finite.
    pub fn new(model: TurnsModel, readings: &[Voltage]) -> Option<Self> {
        if model.count() == 0 {
            return None;
        }
        let start = model.start(readings);
        // With logarithms of the voltages first: from far away they lead straight to the solution.
        let near = descend(&model, readings, &start, &start, true)?.0;
        let (at, estimate) = descend(&model, readings, &near, &start, false)?;
        Some(Self {
            model,
            at,
            estimate,
        })
    }

    /// Compares every reading with the solution, and looks for some that stand out.
    pub fn compare(&self, readings: &[Voltage]) -> Consistency {
        let (mut misfit, mut redundancy) = (0.0, 0.0);
        let mut deviations = Vec::new();
        for reading in readings {
            deviations.push(self.predict(reading).map(|(expected, slopes)| {
                let u = reading.volts.uncertainty;
                let off = (reading.volts.value - expected) / u;
                misfit += off * off;
                // The part of the reading's own variance that the fit did not use up.
                let left = (1.0 - self.estimate.variance(&slopes) / (u * u)).max(0.0);
                redundancy += left;
                Deviation {
                    expected,
                    standardised: if left < 1e-6 { 0.0 } else { off / left.sqrt() },
                }
            }));
        }
        let suspects = suspects(&deviations);
        let doubt = if suspects.is_empty() {
            1.0
        } else {
            (misfit / redundancy.max(1.0)).sqrt().max(1.0)
        };
        for place in &suspects {
            let without = self.expected_without(readings, *place);
            if let (Some(Some(deviation)), Some(expected)) = (deviations.get_mut(*place), without) {
                deviation.expected = expected;
            }
        }
        Consistency {
            deviations,
            misfit,
            spare: redundancy.round() as usize,
            suspects,
            doubt,
        }
    }

    fn predict(&self, reading: &Voltage) -> Option<(f64, Vec<f64>)> {
        self.model.predict(&self.at, reading)
    }

    /// What one reading should be, by all the others.
    fn expected_without(&self, readings: &[Voltage], place: usize) -> Option<f64> {
        let mut others = readings.to_vec();
        let suspect = others.remove(place);
        let (at, _) = descend(&self.model, &others, &self.at, &self.at, false)?;
        self.model
            .predict(&at, &suspect)
            .map(|(expected, _)| expected)
    }

    /// Turns between two leads of one winding, in a unit that all windings share, with slopes
    /// against all unknowns.
    pub fn turns(&self, pair: Pair) -> Option<(f64, Vec<f64>)> {
        self.model.turns(&self.at, pair)
    }

    /// Variance of a sum of the unknowns, each times its slope.
    pub fn variance(&self, slopes: &[f64]) -> f64 {
        self.estimate.variance(slopes)
    }
}

/// The readings with the largest deviation, by their places, when it is suspicious.
fn suspects(deviations: &[Option<Deviation>]) -> Vec<usize> {
    let size = |deviation: &Option<Deviation>| deviation.map_or(0.0, |d| d.standardised.abs());
    let largest = deviations.iter().map(size).fold(0.0, f64::max);
    if largest <= SUSPICIOUS {
        return Vec::new();
    }
    let places = deviations.iter().enumerate();
    places
        .filter(|(_, deviation)| size(deviation) > 0.999 * largest)
        .map(|(place, _)| place)
        .collect()
}

/// Gauss–Newton steps, halved where a whole one gets worse, from `at`. Unknowns that no
/// reading settles are held at `start`. Returns the unknowns and their covariance.
fn descend(
    model: &TurnsModel,
    readings: &[Voltage],
    at: &[f64],
    start: &[f64],
    logarithmic: bool,
) -> Option<(Vec<f64>, Estimate)> {
    let mut at = at.to_vec();
    let mut cost = cost(model, readings, &at, start, logarithmic);
    for _ in 0..40 {
        let estimate = linearise(model, readings, &at, start, logarithmic)?;
        let mut step = 1.0;
        let moved = loop {
            let moved: Vec<f64> = (at.iter().zip(&estimate.unknowns))
                .map(|(at, by)| at + step * by)
                .collect();
            let there = self::cost(model, readings, &moved, start, logarithmic);
            if there <= cost {
                cost = there;
                break Some(moved);
            }
            step *= 0.5;
            if step < 1e-3 {
                break None;
            }
        };
        let Some(moved) = moved else {
            return Some((at, estimate));
        };
        let largest = estimate
            .unknowns
            .iter()
            .fold(0.0, |most: f64, by| most.max(by.abs()));
        at = moved;
        if largest * step < 1e-7 {
            return Some((at, estimate));
        }
    }
    let estimate = linearise(model, readings, &at, start, logarithmic)?;
    Some((at, estimate))
}

/// A reading as an equation: its residual and the slopes of it, divided by its uncertainty.
fn equation(
    model: &TurnsModel,
    reading: &Voltage,
    at: &[f64],
    logarithmic: bool,
) -> Option<(f64, Vec<f64>)> {
    let (expected, mut slopes) = model.predict(at, reading)?;
    let volts = reading.volts;
    let (left, weight) = if logarithmic {
        // The difference of two windings may be zero, which has no logarithm.
        if reading.joined.is_some() || volts.value <= 0.0 {
            return None;
        }
        let weight = volts.value / volts.uncertainty;
        slopes.iter_mut().for_each(|slope| *slope /= expected);
        ((volts.value / expected).ln() * weight, weight)
    } else {
        let weight = volts.uncertainty.recip();
        ((volts.value - expected) * weight, weight)
    };
    slopes.iter_mut().for_each(|slope| *slope *= weight);
    Some((left, slopes))
}

fn cost(model: &TurnsModel, readings: &[Voltage], at: &[f64], start: &[f64], log: bool) -> f64 {
    let equations = (readings.iter()).filter_map(|reading| equation(model, reading, at, log));
    let held = at
        .iter()
        .zip(start)
        .map(|(at, start)| ((at - start) / OPEN).powi(2));
    let anchor = (at[model.anchor()] - start[model.anchor()]).powi(2);
    let cost = equations.map(|(left, _)| left * left).sum::<f64>() + held.sum::<f64>() + anchor;
    if cost.is_finite() {
        cost
    } else {
        f64::INFINITY
    }
}

fn linearise(
    model: &TurnsModel,
    readings: &[Voltage],
    at: &[f64],
    start: &[f64],
    log: bool,
) -> Option<Estimate> {
    let mut normal = Normal::new(model.count(), OPEN);
    for (unknown, (at, start)) in at.iter().zip(start).enumerate() {
        normal.hold(unknown, start - at, OPEN);
    }
    // A voltage is a product of turns and volts per turn. The volts per turn of the first test
    // are held where they started: the ratios are the same, and no digits are lost in
    // differences.
    let mut anchor = vec![0.0; model.anchor() + 1];
    anchor[model.anchor()] = 1.0;
    normal.add(&anchor, start[model.anchor()] - at[model.anchor()]);
    for reading in readings {
        if let Some((left, slopes)) = equation(model, reading, at, log) {
            normal.add(&slopes, left);
        }
    }
    normal.solve()
}
