//! Turns between all leads, from AC voltages.
//!
//! All windings share the core's flux, so in one test every turn has the same voltage. The
//! unknowns are the volts per turn of each test and the turns between neighbouring leads of
//! each winding; each reading is one equation. The unknowns are logarithms: turns cannot be
//! negative, and 1 : 30 is no harder than 1 : 1. The voltage that was fed is a reading like any
//! other, so that the readings of one test share its error.

use serde::Serialize;

use super::lead_order::EXCLUDED;
use super::meter::FROM_READING_TO_READING;
use super::windings::Winding;
use super::{Lead, Pair};
use tapwright_units::uncertainty::{COVERAGE_95, Uncertain};

mod model;
mod solved_turns;

use model::{Arrangement, Arrangements, TurnsModel};
use solved_turns::{Consistency, SolvedTurns};

/// A ratio with a relative uncertainty above this counts as unknown.
const UNKNOWN: f64 = 0.5;

/// Most combinations of orders and winding directions that are tried.
const MOST_ARRANGEMENTS: usize = 48;

/// While several orders of leads are possible, a ratio counts as unknown when one of them moves
/// either end of its 95 % interval by more than this, on the logarithm: a fifth, two fifths of the
/// load. Own estimate.
const TOO_OPEN: f64 = 0.2;

/// A winding direction is excluded when its misfit is above that of the best by more than this: 4
/// standard uncertainties.
const MARGIN: f64 = 16.0;

/// A reading is suspected when its standardised residual is above this: chance exceeds it once
/// in a thousand (W. Baarda, A testing procedure for use in geodetic networks, 1968; from memory).
const SUSPICIOUS: f64 = 3.29;

/// One AC voltage between two leads.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TurnsRatio {
    /// Turns divided by turns.
    pub n: f64,
    /// Standard uncertainty divided by the ratio.
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Deviation {
    /// What it should have been, V: by all readings, or by all others where it is suspected.
    pub expected: f64,
    /// How far it is off, in standard uncertainties of a residual; zero where no other
    /// reading could contradict it.
    pub standardised: f64,
}

/// Which ends of two windings are alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct LikeEnds {
    /// Two ends, one of each winding, that go the same way against the windings' other ends.
    pub alike: Pair,
    /// Whether the readings exclude the opposite.
    pub known: bool,
}

/// Turns as they were found.
#[derive(Debug, Clone)]
pub struct TurnsFit {
    solution: SolvedTurns,
    /// For each winding, the best solution with each other order that is possible.
    others: Vec<Vec<SolvedTurns>>,
    /// For each winding, whether no order of its leads was left out.
    complete: Vec<bool>,
    /// One for each reading; `None` for one between windings that nothing joins.
    pub deviations: Vec<Option<Deviation>>,
    /// Sum of the squared residuals over their uncertainties.
    pub misfit: f64,
    /// How many readings there are beyond those that the turns need.
    pub spare: usize,
    /// The readings that do not belong, by their places: one, or several of which the readings
    /// cannot tell which one is wrong.
    pub suspects: Vec<usize>,
    /// Factor on the uncertainty of every ratio. It is above one where readings are suspected:
    /// by how much they disagree more than their uncertainties say (R. T. Birge, Phys. Rev. 40,
    /// 1932; from memory).
    pub doubt: f64,
    /// Which ends are alike, for each winding that a series reading ties to an earlier one.
    pub like_ends: Vec<LikeEnds>,
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
    let Arrangements {
        arrangements,
        every_direction,
        every_combination,
    } = Arrangement::all(windings, readings, MOST_ARRANGEMENTS);
    let mut fits: Vec<(f64, SolvedTurns, Consistency)> = (arrangements.into_iter())
        .filter_map(|arrangement| {
            let along = arrangement.misfit(windings);
            let solution =
                SolvedTurns::new(TurnsModel::new(windings, arrangement, readings), readings)?;
            let consistency = solution.compare(readings);
            let left = FROM_READING_TO_READING.powi(2);
            Some((along + consistency.misfit / left, solution, consistency))
        })
        .collect();
    fits.sort_by(|a, b| a.0.total_cmp(&b.0));
    if fits.is_empty() {
        return None;
    }
    let (least, solution, consistency) = fits.remove(0);
    let arrangement = &solution.model.arrangement;
    let direction_known = |winding: usize| {
        let mut opposite = (fits.iter()).filter(|(_, other, _)| {
            other.model.arrangement.signs[winding] != arrangement.signs[winding]
        });
        every_direction
            && consistency.suspects.is_empty()
            && opposite.all(|(.., other)| other.misfit > consistency.misfit + MARGIN)
    };
    let like_ends = solution.model.like_ends(direction_known);
    // For each other order the best solution that has it. Where not every combination was tried
    // none is excluded.
    let mut others: Vec<Vec<SolvedTurns>> = vec![Vec::new(); windings.len()];
    let is_possible = |misfit: f64| !every_combination || misfit <= least + EXCLUDED;
    for (_, other, _) in fits.iter().filter(|(misfit, ..)| is_possible(*misfit)) {
        for (at, order) in other.model.arrangement.orders.iter().enumerate() {
            let has_it = |one: &SolvedTurns| one.model.arrangement.orders[at] == *order;
            if *order != arrangement.orders[at] && !others[at].iter().any(has_it) {
                others[at].push(other.clone());
            }
        }
    }
    let complete = windings.iter().map(|winding| winding.orders_complete);
    Some(TurnsFit {
        like_ends,
        others,
        complete: complete.collect(),
        solution,
        deviations: consistency.deviations,
        misfit: consistency.misfit,
        spare: consistency.spare,
        suspects: consistency.suspects,
        doubt: consistency.doubt,
    })
}

impl TurnsFit {
    /// The ratio of the turns between one pair of leads to the turns between another. Each pair
    /// is on one winding. `None` when the readings do not tell it. While several orders of leads
    /// are possible, its interval covers them all.
    pub fn ratio(&self, over: Pair, under: Pair) -> Option<TurnsRatio> {
        let ratio = self.likeliest_ratio(over, under)?;
        let (mut up, mut down) = (0.0, 0.0);
        for (at, others) in self.others.iter().enumerate() {
            let leads = &self.orders()[at];
            let concerns = |pair: Pair| leads.contains(&pair.0);
            if !concerns(over) && !concerns(under) {
                continue;
            }
            if !self.complete[at] {
                return None;
            }
            let (mut most, mut least) = (0.0_f64, 0.0_f64);
            for other in others {
                let other = ratio_of(other, self.doubt, over, under)?;
                let off = (other.n / ratio.n).ln();
                let wider = COVERAGE_95 * (other.relative - ratio.relative);
                most = most.max(off + wider);
                least = least.min(off - wider);
            }
            up += most;
            down -= least;
        }
        let wider: f64 = f64::max(up, down);
        (wider <= TOO_OPEN).then_some(TurnsRatio {
            n: ratio.n,
            relative: ratio.relative + wider / COVERAGE_95,
        })
    }

    /// The same with the likeliest order of all leads alone.
    ///
    /// Its uncertainty follows from the covariance of all unknowns by the law of propagation
    /// (JCGM 100:2008, 5.2). For two readings of one test that is `u(n)/n = √(u₁² + u₂²)`,
    /// relative.
    pub fn likeliest_ratio(&self, over: Pair, under: Pair) -> Option<TurnsRatio> {
        ratio_of(&self.solution, self.doubt, over, under)
    }

    /// The leads of each winding in the order that was used.
    pub fn orders(&self) -> &[Vec<Lead>] {
        &self.solution.model.arrangement.orders
    }

    /// The possible orders of each winding, the one that was used first.
    pub fn possible_orders(&self) -> Vec<Vec<&[Lead]>> {
        let mut possible = Vec::new();
        for (at, used) in self.orders().iter().enumerate() {
            let mut orders = vec![used.as_slice()];
            for other in &self.others[at] {
                let other = other.model.arrangement.orders[at].as_slice();
                if !orders.contains(&other) {
                    orders.push(other);
                }
            }
            possible.push(orders);
        }
        possible
    }
}

/// A ratio by one solution, its uncertainty times `doubt`.
fn ratio_of(solution: &SolvedTurns, doubt: f64, over: Pair, under: Pair) -> Option<TurnsRatio> {
    let ((above, up), (below, down)) = (solution.turns(over)?, solution.turns(under)?);
    let slopes: Vec<f64> = (up.iter().zip(&down))
        .map(|(up, down)| up / above - down / below)
        .collect();
    let ratio = TurnsRatio {
        n: above / below,
        relative: doubt * solution.variance(&slopes).sqrt(),
    };
    (ratio.relative < UNKNOWN && ratio.n.is_finite()).then_some(ratio)
}
