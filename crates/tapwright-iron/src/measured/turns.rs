//! Turns of every lead relative to the rest, from AC voltages between leads.
//!
//! All windings share the core's flux, so in one test every turn has the same voltage. Each
//! test (something is fed, something is read) has its volts per turn as an unknown, each
//! winding the turns between neighbouring leads; a reading is one equation. Unknowns are
//! held as logarithms: turns cannot be negative, and 1 : 30 is no harder than 1 : 1. What
//! was fed is a reading like any other, so that readings of one test share its error.

use tapwright_squares::normal::{Estimate, Normal};

use super::windings::Winding;
use super::{Lead, Pair};
use tapwright_units::uncertainty::{COVERAGE_95, Uncertain};

mod model;

use model::{Shape, TurnsModel};

/// A ratio less certain than this is not known.
const UNKNOWN: f64 = 0.5;

/// What no reading settles is held at its first guess, on the logarithm, this loosely.
const OPEN: f64 = 1e3;

/// Combinations of orders and phases that are tried.
const MOST_SHAPES: usize = 32;

/// How much worse another combination agrees before it is excluded: 4 standard uncertainties.
const MARGIN: f64 = 16.0;

/// Standardised residual from which a reading is suspected: chance passes it once in a
/// thousand (W. Baarda, A testing procedure for use in geodetic networks, 1968; from memory).
const SUSPICIOUS: f64 = 3.29;

/// One AC voltage between two leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Voltage {
    /// The test that it belongs to: readings with the same feed.
    pub test: usize,
    /// Where it was read.
    pub pair: Pair,
    /// Two leads that were joined, so that windings stand in series.
    pub joined: Option<Pair>,
    /// Volts rms.
    pub volts: Uncertain,
}

/// A turns ratio.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnsRatio {
    /// Turns over turns.
    pub n: f64,
    /// Standard uncertainty over the ratio.
    pub relative: f64,
}

impl TurnsRatio {
    /// The interval that holds the true ratio in 95 of 100 cases, on a logarithmic scale.
    ///
    /// ```
    /// # use tapwright_iron::measured::turns::TurnsRatio;
    /// let (low, high) = TurnsRatio { n: 25.0, relative: 0.01 }.range();
    /// assert!((low - 24.515).abs() < 1e-3 && (high - 25.495).abs() < 1e-3);
    /// ```
    pub fn range(self) -> (f64, f64) {
        let half = (COVERAGE_95 * self.relative).exp();
        (self.n / half, self.n * half)
    }
}

/// How well one reading agrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// What it should have been, V: by all readings, or by all others where it is suspected.
    pub expected: f64,
    /// How far it is off, in standard uncertainties of a residual; zero where no other
    /// reading could contradict it.
    pub standardised: f64,
}

/// Which ends of two windings are alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LikeEnds {
    /// Two ends, one of each winding, that go the same way against the windings' other ends.
    pub alike: Pair,
    /// Whether the readings exclude the opposite.
    pub known: bool,
}

/// Turns as they were found.
#[derive(Debug, Clone)]
pub struct TurnsFit {
    model: TurnsModel,
    at: Vec<f64>,
    estimate: Estimate,
    /// One for each reading; `None` for one between windings that nothing joins.
    pub residuals: Vec<Option<Deviation>>,
    /// Sum of the squared residuals over their uncertainties.
    pub misfit: f64,
    /// How many readings there are more than it takes.
    pub spare: usize,
    /// The readings that do not belong, by their places: one, or some that only together can
    /// be told from the rest.
    pub suspects: Vec<usize>,
    /// What the uncertainty of every ratio is multiplied by: more than one where readings do
    /// not agree, by as much as they disagree more than their uncertainties say (R. T. Birge,
    /// Phys. Rev. 40, 1932; from memory).
    pub doubt: f64,
    /// Which ends are alike, for each winding that a series reading ties to an earlier one.
    pub phases: Vec<LikeEnds>,
    /// Whether every other order of leads that was possible is excluded.
    pub order_known: bool,
}

/// Fits the turns. `None` without a reading that says something.
///
/// ```
/// use tapwright_iron::measured::{turns::{self, Voltage}, windings};
/// use tapwright_units::uncertainty::Uncertain;
/// let volts = |pair, value: f64| Voltage {
///     test: 0, pair, joined: None, volts: Uncertain { value, uncertainty: 0.01 * value },
/// };
/// let readings = [volts((0, 1), 6.31), volts((2, 3), 0.2442)];
/// let plain = |reading: &Voltage| windings::Resistance {
///     pair: reading.pair, ohms: Some(Uncertain { value: 1.0, uncertainty: 0.1 }),
/// };
/// let found = windings::find(4, &readings.each_ref().map(plain), &[]);
/// let fit = turns::fit(&found.windings, &readings).unwrap();
/// let ratio = fit.ratio((0, 1), (2, 3)).unwrap();
/// assert!((ratio.n - 25.839).abs() < 1e-3);
/// assert!((ratio.relative - 0.01 * 2_f64.sqrt()).abs() < 1e-6);
/// ```
pub fn fit(windings: &[Winding], readings: &[Voltage]) -> Option<TurnsFit> {
    let (shapes, all_tried) = Shape::all(windings, readings, MOST_SHAPES);
    let mut fits: Vec<TurnsFit> = (shapes.into_iter())
        .filter_map(|shape| TurnsFit::new(TurnsModel::new(windings, shape, readings), readings))
        .collect();
    let least = |usual: bool| {
        let places = 0..fits.len();
        let shape = |at: &usize| fits[*at].model.shape.is_usual(windings);
        let places = places.filter(|at| !usual || shape(at));
        places.min_by(|a, b| fits[*a].misfit.total_cmp(&fits[*b].misfit))
    };
    // The order of the windings stands unless the voltages exclude it.
    let (best, usual) = (least(false)?, least(true)?);
    let excluded = fits[usual].misfit > fits[best].misfit + MARGIN;
    let mut fit = fits.swap_remove(if excluded { best } else { usual });
    let excluded = |other: &TurnsFit| other.misfit > fit.misfit + MARGIN;
    let same_phases = |other: &TurnsFit| other.model.shape.signs == fit.model.shape.signs;
    let order_known = all_tried
        && (fits.iter())
            .filter(|other| other.model.shape.orders != fit.model.shape.orders)
            .all(excluded);
    let agreed = fit.suspects.is_empty();
    let phases = fit.model.phases(|winding| {
        all_tried
            && agreed
            && fits
                .iter()
                .filter(|other| !same_phases(other))
                .filter(|other| other.model.shape.signs[winding] != fit.model.shape.signs[winding])
                .all(excluded)
    });
    fit.order_known = order_known;
    fit.phases = phases;
    Some(fit)
}

impl TurnsFit {
    fn new(model: TurnsModel, readings: &[Voltage]) -> Option<Self> {
        if model.count() == 0 {
            return None;
        }
        let start = model.start(readings);
        // On the logarithm first: from afar it goes straight to the solution.
        let near = descend(&model, readings, &start, &start, true)?.0;
        let (at, estimate) = descend(&model, readings, &near, &start, false)?;
        let mut fit = Self {
            at,
            estimate,
            residuals: Vec::new(),
            misfit: 0.0,
            spare: 0,
            suspects: Vec::new(),
            doubt: 1.0,
            phases: Vec::new(),
            order_known: true,
            model,
        };
        fit.judge(readings);
        Some(fit)
    }

    /// Residuals, and whether one of them stands out.
    fn judge(&mut self, readings: &[Voltage]) {
        let mut redundancy = 0.0;
        for reading in readings {
            let residual = (self.model.predict(&self.at, reading)).map(|(expected, slopes)| {
                let u = reading.volts.uncertainty;
                let off = (reading.volts.value - expected) / u;
                self.misfit += off * off;
                // The part of the reading's own variance that the fit did not use up.
                let left = (1.0 - self.estimate.variance(&slopes) / (u * u)).max(0.0);
                redundancy += left;
                Deviation {
                    expected,
                    standardised: if left < 1e-6 { 0.0 } else { off / left.sqrt() },
                }
            });
            self.residuals.push(residual);
        }
        self.spare = redundancy.round() as usize;
        let size = |residual: &Option<Deviation>| residual.map_or(0.0, |r| r.standardised.abs());
        let largest = self.residuals.iter().map(size).fold(0.0, f64::max);
        if largest > SUSPICIOUS {
            let places = self.residuals.iter().enumerate();
            self.suspects = places
                .filter(|(_, residual)| size(residual) > 0.999 * largest)
                .map(|(place, _)| place)
                .collect();
        }
        if !self.suspects.is_empty() {
            self.doubt = (self.misfit / redundancy.max(1.0)).sqrt().max(1.0);
        }
        for place in self.suspects.clone() {
            let mut others = readings.to_vec();
            let suspect = others.remove(place);
            let found = descend(&self.model, &others, &self.at, &self.at, false);
            let expected = found.and_then(|(at, _)| self.model.predict(&at, &suspect));
            if let (Some(Some(residual)), Some((expected, _))) =
                (self.residuals.get_mut(place), expected)
            {
                residual.expected = expected;
            }
        }
    }

    /// Turns between two leads of one winding, in a scale that all windings share.
    fn turns(&self, pair: Pair) -> Option<(f64, Vec<f64>)> {
        self.model.turns(&self.at, pair)
    }

    /// Turns between one pair of leads over the turns between another, each on one winding.
    /// `None` when the readings do not tell.
    ///
    /// By the law of propagation from the covariance of all unknowns (JCGM 100:2008, 5.2); for
    /// two readings of one test that is `u(n)/n = √(u₁² + u₂²)`, relative.
    pub fn ratio(&self, over: Pair, under: Pair) -> Option<TurnsRatio> {
        let ((above, up), (below, down)) = (self.turns(over)?, self.turns(under)?);
        let slopes: Vec<f64> = (up.iter().zip(&down))
            .map(|(up, down)| up / above - down / below)
            .collect();
        let ratio = TurnsRatio {
            n: above / below,
            relative: self.doubt * self.estimate.variance(&slopes).sqrt(),
        };
        (ratio.relative < UNKNOWN && ratio.n.is_finite()).then_some(ratio)
    }

    /// The leads of each winding in the order that was used.
    pub fn orders(&self) -> &[Vec<Lead>] {
        &self.model.shape.orders
    }
}

/// Gauss–Newton with halved steps, from `at`, with what is open held at `start`. Gives the
/// unknowns and their covariance.
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

/// A reading as an equation: what is left of it, and its slopes, over its uncertainty.
fn equation(
    model: &TurnsModel,
    reading: &Voltage,
    at: &[f64],
    logarithmic: bool,
) -> Option<(f64, Vec<f64>)> {
    let (expected, mut slopes) = model.predict(at, reading)?;
    let volts = reading.volts;
    let (left, weight) = if logarithmic {
        // A difference of two windings may be nothing: it has no logarithm.
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
    // Only products of turns and volts per turn show. One of the latter is held where it
    // started: what follows is the same, and no digits are lost in differences.
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
