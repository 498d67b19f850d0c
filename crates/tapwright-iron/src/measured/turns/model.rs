//! The voltage that a set of windings has between any two leads.

use super::{LikeEnds, Voltage};
use crate::measured::groups::Groups;
use crate::measured::windings::Winding;
use crate::measured::{Lead, Pair};

/// An order of leads along each winding, and a direction of each winding.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Arrangement {
    /// Leads of each winding from end to end.
    pub orders: Vec<Vec<Lead>>,
    /// One or minus one for each winding: which way it is wound.
    pub signs: Vec<f64>,
}

impl Arrangement {
    /// The ways that the readings along each winding leave possible. Only windings that a series
    /// reading ties to an earlier one can be wound either way.
    pub fn all(windings: &[Winding], readings: &[Voltage], most: usize) -> Arrangements {
        let likeliest = windings.iter().map(|winding| winding.leads.clone());
        let mut arrangements = vec![Self {
            orders: likeliest.collect(),
            signs: vec![1.0; windings.len()],
        }];
        let mut every_direction = true;
        for (winding, _) in tied(windings, readings) {
            for arrangement in arrangements.clone() {
                let mut reversed = arrangement;
                reversed.signs[winding] = -1.0;
                arrangements.push(reversed);
            }
            every_direction &= arrangements.len() <= most;
            arrangements.truncate(most);
        }
        let orders = windings.iter().map(|winding| winding.orders.len().max(1));
        let every_combination = orders.product::<usize>() * arrangements.len() <= most;
        let likeliest = arrangements.clone();
        for (at, winding) in windings.iter().enumerate() {
            let before = if every_combination {
                arrangements.clone()
            } else {
                likeliest.clone()
            };
            for order in winding.orders.iter().skip(1) {
                arrangements.extend(before.iter().cloned().map(|mut arrangement| {
                    arrangement.orders[at].clone_from(&order.leads);
                    arrangement
                }));
            }
        }
        Arrangements {
            arrangements,
            every_direction,
            every_combination,
        }
    }

    /// By how much the readings along each winding agree less with its order than with the
    /// likeliest.
    pub fn misfit(&self, windings: &[Winding]) -> f64 {
        let misfit = |(winding, leads): (&Winding, &Vec<Lead>)| {
            let order = winding.orders.iter().find(|order| order.leads == *leads);
            order.map_or(0.0, |order| order.misfit)
        };
        windings.iter().zip(&self.orders).map(misfit).sum()
    }
}

/// Arrangements to try.
pub(super) struct Arrangements {
    pub arrangements: Vec<Arrangement>,
    /// Whether no combination of directions is left out.
    pub every_direction: bool,
    /// Whether no combination of orders is left out. If not, each arrangement has another order on one
    /// winding at most.
    pub every_combination: bool,
}

/// The winding of a lead, and of another.
fn homes(windings: &[Vec<Lead>], pair: Pair) -> Option<(usize, usize)> {
    let of = |lead: Lead| windings.iter().position(|leads| leads.contains(&lead));
    Some((of(pair.0)?, of(pair.1)?))
}

/// Windings that series readings tie to an earlier one, each with the first winding of its
/// group.
fn tied(windings: &[Winding], readings: &[Voltage]) -> Vec<(usize, usize)> {
    let leads: Vec<Vec<Lead>> = windings.iter().map(|w| w.leads.clone()).collect();
    let mut groups = Groups::new(windings.len());
    for reading in readings.iter().filter(|reading| reading.joined.is_some()) {
        if let Some((a, b)) = homes(&leads, reading.pair) {
            groups.join(a, b);
        }
    }
    (0..windings.len())
        .map(|winding| (winding, groups.first(winding)))
        .filter(|(winding, first)| winding != first)
        .collect()
}

/// The unknowns of an arrangement: the logarithm of the turns between neighbours, winding by
/// winding, then of the volts per turn of each test.
#[derive(Debug, Clone)]
pub(super) struct TurnsModel {
    pub arrangement: Arrangement,
    /// Where each winding's unknowns start.
    first: Vec<usize>,
    /// Where the tests' unknowns start.
    tests: usize,
    count: usize,
    guess: Vec<f64>,
    tied: Vec<(usize, usize)>,
}

impl TurnsModel {
    pub fn new(windings: &[Winding], arrangement: Arrangement, readings: &[Voltage]) -> Self {
        let mut first = Vec::new();
        let mut guess = Vec::new();
        for (winding, order) in windings.iter().zip(&arrangement.orders) {
            first.push(guess.len());
            let gaps = order.len().saturating_sub(1);
            // Windings fill similar parts of the window: turns follow the root of the resistance.
            let whole = winding.ohms.map_or(1.0, |ohms| ohms.value.max(1e-6)).sqrt();
            guess.extend(std::iter::repeat_n((whole / gaps.max(1) as f64).ln(), gaps));
        }
        let tests = guess.len();
        let used = readings.iter().map(|reading| reading.test + 1).max();
        Self {
            first,
            tests,
            count: tests + used.unwrap_or(0),
            guess,
            tied: tied(windings, readings),
            arrangement,
        }
    }

    /// The number of unknowns; zero without readings.
    pub fn count(&self) -> usize {
        if self.count > self.tests && self.tests > 0 {
            self.count
        } else {
            0
        }
    }

    /// The unknown that is held at its first guess: the volts per turn of the first test.
    pub fn anchor(&self) -> usize {
        self.tests
    }

    /// First guesses: turns from resistances, volts per turn from the first plain reading of
    /// each test.
    pub fn start(&self, readings: &[Voltage]) -> Vec<f64> {
        let mut at = self.guess.clone();
        for test in 0..self.count - self.tests {
            let plain = readings
                .iter()
                .filter(|r| r.test == test && r.joined.is_none());
            let per_turn = plain
                .filter_map(|reading| Some(reading.volts.value / self.turns(&at, reading.pair)?.0))
                .find(|per_turn| *per_turn > 0.0 && per_turn.is_finite());
            at.push(per_turn.map_or(0.0, f64::ln));
        }
        at
    }

    /// The unknowns between two leads of a winding, by the leads' places along it.
    fn between(&self, winding: usize, a: usize, b: usize) -> std::ops::Range<usize> {
        self.first[winding] + a.min(b)..self.first[winding] + a.max(b)
    }

    fn place(&self, winding: usize, lead: Lead) -> Option<usize> {
        self.arrangement
            .orders
            .get(winding)?
            .iter()
            .position(|other| *other == lead)
    }

    /// Turns between two leads of one winding, with slopes against all unknowns.
    pub fn turns(&self, at: &[f64], pair: Pair) -> Option<(f64, Vec<f64>)> {
        let (home, other) = homes(&self.arrangement.orders, pair)?;
        (home == other && pair.0 != pair.1)
            .then(|| self.signed(at, home, pair.0, pair.1))
            .flatten()
            .map(|(turns, mut slopes)| {
                slopes.iter_mut().for_each(|slope| *slope = slope.abs());
                (turns.abs(), slopes)
            })
    }

    /// Turns from one lead to another along a winding; negative if they are in reverse order.
    fn signed(&self, at: &[f64], winding: usize, from: Lead, to: Lead) -> Option<(f64, Vec<f64>)> {
        let (a, b) = (self.place(winding, from)?, self.place(winding, to)?);
        let along = if a <= b { 1.0 } else { -1.0 };
        let sign = along * self.arrangement.signs[winding];
        let mut slopes = vec![0.0; self.count];
        let mut turns = 0.0;
        for gap in self.between(winding, a, b) {
            slopes[gap] = sign * at[gap].exp();
            turns += slopes[gap];
        }
        Some((turns, slopes))
    }

    /// The voltage that a reading should show, with slopes against all unknowns. `None` when its
    /// leads are on two windings that are not joined.
    pub fn predict(&self, at: &[f64], reading: &Voltage) -> Option<(f64, Vec<f64>)> {
        let (home, other) = homes(&self.arrangement.orders, reading.pair)?;
        let (turns, mut slopes) = if home == other {
            self.turns(at, reading.pair)?
        } else {
            self.in_series(at, reading, home, other)?
        };
        let test = self.tests + reading.test;
        let per_turn = at.get(test)?.exp();
        slopes.iter_mut().for_each(|slope| *slope *= per_turn);
        slopes[test] = turns * per_turn;
        Some((turns * per_turn, slopes))
    }

    /// Turns between leads of two windings that are joined.
    fn in_series(
        &self,
        at: &[f64],
        reading: &Voltage,
        home: usize,
        other: usize,
    ) -> Option<(f64, Vec<f64>)> {
        let joined = reading.joined?;
        let (here, there) = match homes(&self.arrangement.orders, joined)? {
            (a, b) if (a, b) == (home, other) => joined,
            (a, b) if (a, b) == (other, home) => (joined.1, joined.0),
            _ => return None,
        };
        let (to, to_slopes) = self.signed(at, home, here, reading.pair.0)?;
        let (from, from_slopes) = self.signed(at, other, there, reading.pair.1)?;
        let turns = to - from;
        let sign = if turns < 0.0 { -1.0 } else { 1.0 };
        let slopes = (to_slopes.iter().zip(&from_slopes)).map(|(a, b)| sign * (a - b));
        Some((turns.abs(), slopes.collect()))
    }

    /// For each winding that series readings tie to an earlier one, which ends are alike.
    pub fn like_ends(&self, known: impl Fn(usize) -> bool) -> Vec<LikeEnds> {
        let alike = |winding: usize, before: usize| {
            let first = |at: usize, start: bool| {
                let order = self.arrangement.orders.get(at)?;
                if start { order.first() } else { order.last() }.copied()
            };
            let same = self.arrangement.signs[winding] == self.arrangement.signs[before];
            Some(LikeEnds {
                alike: (first(before, true)?, first(winding, same)?),
                known: known(winding),
            })
        };
        let tied = self.tied.iter();
        tied.filter_map(|(winding, before)| alike(*winding, *before))
            .collect()
    }
}
