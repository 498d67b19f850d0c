//! The order of leads along a winding, from distances between some of them.
//!
//! Resistance and turns both add up along a winding. So the leads are points on a line, and
//! a reading between two of them is a distance with the meter's error. The search inserts one
//! lead after another into every gap and drops the orders that no longer agree with the
//! readings. At the end it is left with all orders that the readings allow.

use super::groups::Groups;
use super::meter::FROM_READING_TO_READING;
use tapwright_squares::normal::{Estimate, Normal};

use tapwright_units::uncertainty::Uncertain;

/// Most orders that the search follows at a time. With more it is not complete, and says so.
const MOST_ORDERS: usize = 24;

/// An order of the leads is excluded when its misfit is above that of the best by more than this, in
/// squares of what is left of the meter's uncertainty from one reading to the next: 3.5 standard
/// uncertainties.
pub(super) const EXCLUDED: f64 = 12.0;

/// The same in squares of the stated uncertainty, which the readings come with.
const MARGIN: f64 = EXCLUDED * FROM_READING_TO_READING * FROM_READING_TO_READING;

/// A gap that no reading settles is held at zero with an uncertainty of this many times the
/// largest reading.
const OPEN: f64 = 1_000.0;

/// A distance between two leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// The two leads.
    pub ends: (usize, usize),
    /// How far apart they are.
    pub length: Uncertain,
}

/// The orders that the readings allow; an order and its reverse are one.
#[derive(Debug, Clone, PartialEq)]
pub struct Orders {
    /// The possible orders, the likeliest first; never empty.
    pub possible: Vec<Vec<usize>>,
    /// Whether these are all.
    pub complete: bool,
    /// Misfit of the likeliest: the sum of its squared standardised residuals.
    pub misfit: f64,
    /// Chance makes the misfit larger than this once in a hundred thousand.
    pub limit: f64,
}

impl Orders {
    /// Whether the readings agree with each other.
    pub fn agree(&self) -> bool {
        self.misfit <= self.limit
    }

    /// Whether exactly one order is possible.
    pub fn is_settled(&self) -> bool {
        self.complete && self.possible.len() == 1 && self.agree()
    }
}

/// The leads of a winding placed along one order, by least squares.
#[derive(Debug, Clone)]
pub struct PlacedLeads {
    /// For each lead its place in the order.
    places: Vec<Option<usize>>,
    gaps: Estimate,
}

impl PlacedLeads {
    /// Places the leads in this order. Leads that are not in it, and readings to them, do not
    /// count. `None` when a reading is not finite.
    pub fn new(order: &[usize], distances: &[Distance]) -> Option<Self> {
        let leads = distances.iter().flat_map(|d| [d.ends.0, d.ends.1]);
        let count = leads.chain(order.iter().copied()).max()? + 1;
        let mut places = vec![None; count];
        for (at, lead) in order.iter().enumerate() {
            places[*lead] = Some(at);
        }
        let gaps = order.len() - 1;
        let lengths = distances.iter().map(|d| d.length.value);
        // Without a reading any scale will do.
        let largest = lengths.reduce(f64::max).unwrap_or(1.0);
        let mut normal = Normal::new(gaps, OPEN * largest.max(f64::MIN_POSITIVE));
        for distance in distances {
            if let Some(slopes) = slopes(&places, distance.ends, gaps) {
                let weight = distance.length.uncertainty.recip();
                let weighted: Vec<f64> = slopes.iter().map(|s| s * weight).collect();
                normal.add(&weighted, distance.length.value * weight);
            }
        }
        Some(Self {
            places,
            gaps: normal.solve()?,
        })
    }

    /// The distance between two leads. When no reading tells it, its uncertainty is about a
    /// thousand times the winding. `None` when one of the leads has no place.
    pub fn distance(&self, ends: (usize, usize)) -> Option<Uncertain> {
        let slopes = slopes(&self.places, ends, self.gaps.unknowns.len())?;
        Some(Uncertain {
            value: self.length(&slopes),
            uncertainty: self.gaps.variance(&slopes).sqrt(),
        })
    }

    fn length(&self, slopes: &[f64]) -> f64 {
        let parts = slopes.iter().zip(&self.gaps.unknowns);
        parts.map(|(slope, gap)| slope * gap).sum()
    }

    /// Sum of the squared residuals over their uncertainties, and of the squares of negative
    /// gaps over theirs.
    fn misfit(&self, distances: &[Distance]) -> f64 {
        let residuals = distances.iter().filter_map(|distance| {
            let slopes = slopes(&self.places, distance.ends, self.gaps.unknowns.len())?;
            let off = distance.length.value - self.length(&slopes);
            Some((off / distance.length.uncertainty).powi(2))
        });
        let gaps = self.gaps.unknowns.iter().enumerate();
        let reversed = gaps.filter(|(_, gap)| **gap < 0.0).map(|(at, gap)| {
            let mut slopes = vec![0.0; at + 1];
            slopes[at] = 1.0;
            gap * gap / self.gaps.variance(&slopes)
        });
        residuals.sum::<f64>() + reversed.sum::<f64>()
    }
}

/// One for each gap between two leads, zero for the others. `None` when a lead has no place.
fn slopes(places: &[Option<usize>], ends: (usize, usize), gaps: usize) -> Option<Vec<f64>> {
    let place = |lead: usize| places.get(lead).copied().flatten();
    let (a, b) = (place(ends.0)?, place(ends.1)?);
    let between = a.min(b)..a.max(b);
    Some(
        (0..gaps)
            .map(|gap| f64::from(between.contains(&gap)))
            .collect(),
    )
}

/// Every order of `leads`, all on one winding, that the readings allow. Each set of distances
/// has a scale of its own (ohms, or the volts of one test); the order is the same in all sets.
///
/// Time grows with the number of orders followed, two dozen at most, and with the fifth power
/// of the number of leads at worst.
pub fn orders(leads: &[usize], sets: &[Vec<Distance>]) -> Orders {
    let mut states: Vec<(f64, Vec<usize>)> = vec![(0.0, Vec::new())];
    let mut complete = true;
    for lead in sequence(leads, sets) {
        let mut next = Vec::new();
        for (_, before) in &states {
            // The second lead goes behind the first: this settles which way round the order is.
            let gaps = if before.len() == 1 {
                1..2
            } else {
                0..before.len() + 1
            };
            for gap in gaps {
                let mut longer = before.clone();
                longer.insert(gap, lead);
                next.push((misfit(&longer, sets), longer));
            }
        }
        next.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        let best = next.first().map_or(0.0, |(misfit, _)| *misfit);
        next.retain(|(misfit, _)| *misfit <= best + MARGIN);
        complete &= next.len() <= MOST_ORDERS;
        next.truncate(MOST_ORDERS);
        states = next;
    }
    let misfit = states.first().map_or(0.0, |(misfit, _)| *misfit);
    Orders {
        possible: states.into_iter().map(|(_, order)| order).collect(),
        complete,
        misfit,
        limit: limit(leads, sets),
    }
}

/// The leads in the sequence in which the search inserts them: next the lead with the most
/// readings to those already inserted. Wrong orders then drop out early.
fn sequence(leads: &[usize], sets: &[Vec<Distance>]) -> Vec<usize> {
    let mut rest = leads.to_vec();
    let mut sequence: Vec<usize> = Vec::new();
    while !rest.is_empty() {
        let bonds = |lead: usize, to: &dyn Fn(usize) -> bool| {
            let all = sets.iter().flatten();
            all.filter(|d| d.ends.0 == lead && to(d.ends.1) || d.ends.1 == lead && to(d.ends.0))
                .count()
        };
        let placed = |other: usize| sequence.contains(&other);
        // Of equal ones the first: `max_by_key` takes the last, so the range is reversed.
        let next = (0..rest.len())
            .rev()
            .max_by_key(|at| (bonds(rest[*at], &placed), bonds(rest[*at], &|_| true)))
            .unwrap_or(0);
        sequence.push(rest.remove(next));
    }
    sequence
}

fn misfit(order: &[usize], sets: &[Vec<Distance>]) -> f64 {
    if order.len() < 2 {
        return 0.0;
    }
    let each = sets
        .iter()
        .map(|set| PlacedLeads::new(order, set).map_or(f64::INFINITY, |placed| placed.misfit(set)));
    each.sum()
}

/// The quantile of chi-squared that chance exceeds once in a hundred thousand, with as many
/// degrees of freedom as there are more readings than it takes to place the leads (E. B. Wilson, M. M. Hilferty,
/// PNAS 17, 1931).
fn limit(leads: &[usize], sets: &[Vec<Distance>]) -> f64 {
    let spare: usize = (sets.iter())
        .map(|set| set.len().saturating_sub(spanned(leads, set)))
        .sum();
    let k = spare.max(1) as f64;
    let spread = 2.0 / (9.0 * k);
    k * (1.0 - spread + 4.265 * spread.sqrt()).powi(3)
}

/// How many leads a set places relative to others: one fewer than there are in each connected
/// group.
fn spanned(leads: &[usize], set: &[Distance]) -> usize {
    let mut groups = Groups::new(leads.iter().max().map_or(0, |most| most + 1));
    let inside = |d: &&Distance| leads.contains(&d.ends.0) && leads.contains(&d.ends.1);
    let joins = set.iter().filter(inside);
    joins.filter(|d| groups.join(d.ends.0, d.ends.1)).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ohms(a: usize, b: usize, value: f64) -> Distance {
        Distance {
            ends: (a, b),
            length: Uncertain {
                value,
                uncertainty: 0.01 * value,
            },
        }
    }

    #[test]
    fn the_largest_distance_is_between_the_ends() {
        let set = vec![ohms(0, 1, 300.0), ohms(0, 2, 160.0), ohms(2, 1, 140.0)];
        let orders = orders(&[0, 1, 2], &[set]);
        assert!(orders.is_settled());
        assert!([vec![0, 2, 1], vec![1, 2, 0]].contains(&orders.possible[0]));
    }

    /// From one end to each of the others: either may be between, or the end is none.
    #[test]
    fn a_star_of_readings_leaves_the_order_open() {
        let orders = orders(&[0, 1, 2], &[vec![ohms(0, 1, 100.0), ohms(0, 2, 150.0)]]);
        assert_eq!(orders.possible.len(), 2, "{orders:?}");
        assert!(orders.agree() && orders.complete);
    }

    #[test]
    fn a_triangle_that_does_not_close_does_not_agree() {
        let set = vec![ohms(0, 1, 300.0), ohms(0, 2, 100.0), ohms(2, 1, 100.0)];
        assert!(!orders(&[0, 1, 2], &[set]).agree());
    }

    /// Sixteen leads that are read from one end only could stand in thousands of orders.
    #[test]
    fn a_search_that_is_cut_off_says_so() {
        let set = (1..16).map(|lead| ohms(0, lead, lead as f64)).collect();
        let leads: Vec<usize> = (0..16).collect();
        let orders = orders(&leads, &[set]);
        assert!(!orders.complete && !orders.is_settled());
    }

    /// Chi-squared tables (from memory): 1 degree 19.5, 10 degrees 41.3 at one in 100,000.
    #[test]
    fn the_limit_is_the_quantile() {
        let set = |n: usize| (0..n).map(|_| ohms(0, 1, 1.0)).collect::<Vec<_>>();
        assert!((limit(&[0, 1], &[set(11)]) / 41.3 - 1.0).abs() < 0.02);
        assert!((limit(&[0, 1], &[set(2)]) / 19.5 - 1.0).abs() < 0.12);
    }
}
