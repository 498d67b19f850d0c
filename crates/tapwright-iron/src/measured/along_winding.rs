//! One winding with its leads in one order: turns and ohms of its sections, by the readings of
//! both meters together.
//!
//! Along one winding the ohms per turn change slowly: the wire is the same, and the outer turns
//! are a little longer. An order that takes a section with many ohms and hardly any turns is
//! therefore wrong, though ohms by themselves and volts by themselves allow it.

use super::lead_order::Distance;
use super::meter::FROM_READING_TO_READING;
use tapwright_squares::normal::{Estimate, Normal};
use tapwright_units::uncertainty::Uncertain;

/// How far the ohms per turn of a section differ from those of the winding, as a standard
/// uncertainty on the logarithm. Own estimate: from the innermost to the outermost turn of a full
/// window the length of a turn grows by half, so halves differ by a quarter at most.
const OHMS_PER_TURN_VARY: f64 = 0.1;

/// How much less likely an order without a lead in the middle is: a middle tap is what most
/// windings with three leads have. Own estimate, 7 to 1. It decides what is taken first while two
/// orders stand; by itself it excludes nothing.
const NO_MIDDLE: f64 = 4.0;

/// Halves are alike in ohms up to this factor.
const HALVES_ALIKE: f64 = 1.25;

/// An unknown that no reading settles is held with this uncertainty, on the logarithm.
const OPEN: f64 = 1e3;

/// Steps at most, from far away and then near the solution.
const MOST_STEPS: usize = 30;

/// What both meters read along one winding.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReadingsAlong<'a> {
    /// Readings of the ohmmeter.
    pub ohms: &'a [Distance],
    /// Readings of the voltmeter, those of one test together.
    pub volts: &'a [Vec<Distance>],
}

/// Which meter shows a reading, and for volts in which test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shows {
    Ohms,
    Volts(usize),
}

/// The sections of a winding in one order of its leads, as they agree best with the readings.
///
/// Unknowns are logarithms: the turns of each section, how far its ohms per turn differ from
/// those of the winding, then the ohms per turn and the volts per turn of each test.
#[derive(Debug, Clone)]
pub(super) struct AlongWinding {
    places: Vec<Option<usize>>,
    sections: usize,
    at: Vec<f64>,
    estimate: Estimate,
    /// Sum of squares: readings over what is left of their uncertainties from one to the next,
    /// and ohms per turn over [`OHMS_PER_TURN_VARY`].
    pub misfit: f64,
}

/// A reading as an equation: what it shows, between which leads.
type Equation = (Shows, Distance);

impl AlongWinding {
    /// Places the leads in this order. `None` when a reading is not finite.
    pub fn new(order: &[usize], readings: ReadingsAlong) -> Option<Self> {
        let equations = equations(order, readings);
        let most = order.iter().max()? + 1;
        let mut places = vec![None; most];
        for (at, lead) in order.iter().enumerate() {
            places[*lead] = Some(at);
        }
        let sections = order.len() - 1;
        let mut winding = Self {
            places,
            sections,
            at: vec![0.0; 2 * sections + 1 + readings.volts.len()],
            estimate: Normal::new(1, 1.0).solve()?,
            misfit: 0.0,
        };
        winding.start(&equations);
        // On logarithms first: from far away they lead straight to the solution.
        winding.descend(&equations, true)?;
        winding.descend(&equations, false)?;
        winding.misfit = winding.cost(&equations, false);
        winding.misfit.is_finite().then_some(winding)
    }

    /// The misfit, and what is unusual about the order.
    pub fn unlikely(&self, order: &[usize]) -> f64 {
        let [first, inner @ .., last] = order else {
            return self.misfit;
        };
        let ohms = |a: usize, b: usize| Some(self.predict(Shows::Ohms, (a, b))?.value);
        let is_middle = |lead: &usize| {
            let halves = ohms(*first, *lead).zip(ohms(*lead, *last));
            halves.is_some_and(|(a, b)| (a / b).ln().abs() <= HALVES_ALIKE.ln())
        };
        let unusual = if inner.iter().any(is_middle) {
            0.0
        } else {
            NO_MIDDLE
        };
        self.misfit + unusual
    }

    /// What a meter would show between two leads. When no reading tells it, its uncertainty is
    /// very large.
    pub fn predict(&self, shows: Shows, ends: (usize, usize)) -> Option<Uncertain> {
        let (value, slopes) = self.model(&self.at, shows, ends)?;
        Some(Uncertain {
            value,
            uncertainty: self.estimate.variance(&slopes).sqrt(),
        })
    }

    /// The unknown that is the scale of a meter's readings.
    fn scale(&self, shows: Shows) -> usize {
        2 * self.sections
            + match shows {
                Shows::Ohms => 0,
                Shows::Volts(test) => 1 + test,
            }
    }

    /// Each scale from the first reading of its meter, with sections of one turn each.
    fn start(&mut self, equations: &[Equation]) {
        for (shows, distance) in equations.iter().rev() {
            let scale = self.scale(*shows);
            self.at[scale] = 0.0;
            if let Some((turns, _)) = self.model(&self.at, *shows, distance.ends) {
                let start = (distance.length.value.max(f64::MIN_POSITIVE) / turns).ln();
                self.at[scale] = if start.is_finite() { start } else { 0.0 };
            }
        }
    }

    /// What a meter shows between two leads, with slopes against all unknowns.
    fn model(&self, at: &[f64], shows: Shows, ends: (usize, usize)) -> Option<(f64, Vec<f64>)> {
        let place = |lead: usize| self.places.get(lead).copied().flatten();
        let (a, b) = (place(ends.0)?, place(ends.1)?);
        let scale = self.scale(shows);
        let mut slopes = vec![0.0; at.len()];
        let mut sum = 0.0;
        for section in a.min(b)..a.max(b) {
            let wire = self.sections + section;
            let ohms = shows == Shows::Ohms;
            let part = (at[section] + at[scale] + if ohms { at[wire] } else { 0.0 }).exp();
            slopes[section] = part;
            if ohms {
                slopes[wire] = part;
            }
            sum += part;
        }
        slopes[scale] = sum;
        (sum > 0.0).then_some((sum, slopes))
    }

    /// A reading's residual and its slopes, both over what is left of its uncertainty.
    fn residual(
        &self,
        at: &[f64],
        (shows, distance): &Equation,
        logarithmic: bool,
    ) -> Option<(f64, Vec<f64>)> {
        let (expected, mut slopes) = self.model(at, *shows, distance.ends)?;
        let Uncertain { value, uncertainty } = distance.length;
        let weight = (FROM_READING_TO_READING * uncertainty).recip();
        let (left, weight) = if logarithmic {
            let value = value.max(uncertainty);
            (
                (value / expected).ln() * value * weight,
                value * weight / expected,
            )
        } else {
            ((value - expected) * weight, weight)
        };
        slopes.iter_mut().for_each(|slope| *slope *= weight);
        Some((left, slopes))
    }

    fn cost(&self, equations: &[Equation], logarithmic: bool) -> f64 {
        self.cost_at(&self.at, equations, logarithmic)
    }

    fn cost_at(&self, at: &[f64], equations: &[Equation], logarithmic: bool) -> f64 {
        let residuals = equations
            .iter()
            .filter_map(|e| self.residual(at, e, logarithmic));
        let readings: f64 = residuals.map(|(left, _)| left * left).sum();
        let wire = &at[self.sections..2 * self.sections];
        let wire: f64 = wire
            .iter()
            .map(|by| (by / OHMS_PER_TURN_VARY).powi(2))
            .sum();
        let cost = readings + wire;
        if cost.is_finite() {
            cost
        } else {
            f64::INFINITY
        }
    }

    /// Gauss–Newton steps, halved where a whole one gets worse.
    fn descend(&mut self, equations: &[Equation], logarithmic: bool) -> Option<()> {
        let start = self.at.clone();
        let mut cost = self.cost(equations, logarithmic);
        for _ in 0..MOST_STEPS {
            self.estimate = self.linearise(equations, &start, logarithmic)?;
            let by = self.estimate.unknowns.clone();
            let mut step = 1.0;
            let moved = loop {
                let moved: Vec<f64> = (self.at.iter().zip(&by))
                    .map(|(at, by)| at + step * by)
                    .collect();
                let there = self.cost_at(&moved, equations, logarithmic);
                if there <= cost {
                    break Some((moved, there));
                }
                step *= 0.5;
                if step < 1e-3 {
                    break None;
                }
            };
            let Some((moved, there)) = moved else { break };
            let gained = cost - there;
            (self.at, cost) = (moved, there);
            if gained < 1e-4 {
                break;
            }
        }
        self.estimate = self.linearise(equations, &start, logarithmic)?;
        Some(())
    }

    fn linearise(
        &self,
        equations: &[Equation],
        start: &[f64],
        logarithmic: bool,
    ) -> Option<Estimate> {
        let mut normal = Normal::new(self.at.len(), OPEN);
        for (unknown, (at, start)) in self.at.iter().zip(start).enumerate() {
            normal.hold(unknown, start - at, OPEN);
        }
        let mut one = |unknown: usize, weight: f64, value: f64| {
            let mut slopes = vec![0.0; unknown + 1];
            slopes[unknown] = weight;
            normal.add(&slopes, weight * value);
        };
        for wire in self.sections..2 * self.sections {
            one(wire, OHMS_PER_TURN_VARY.recip(), -self.at[wire]);
        }
        // Turns have no unit: the first scale that a reading has stays where it started.
        if let Some((shows, _)) = equations.first() {
            let scale = self.scale(*shows);
            one(scale, 1.0, start[scale] - self.at[scale]);
        }
        for equation in equations {
            if let Some((left, slopes)) = self.residual(&self.at, equation, logarithmic) {
                normal.add(&slopes, left);
            }
        }
        normal.solve()
    }
}

/// The readings between leads of this order.
fn equations(order: &[usize], readings: ReadingsAlong) -> Vec<Equation> {
    let inside = |d: &&Distance| order.contains(&d.ends.0) && order.contains(&d.ends.1);
    let ohms = readings
        .ohms
        .iter()
        .filter(inside)
        .map(|d| (Shows::Ohms, *d));
    let volts = readings
        .volts
        .iter()
        .enumerate()
        .flat_map(|(test, session)| {
            session
                .iter()
                .filter(inside)
                .map(move |d| (Shows::Volts(test), *d))
        });
    ohms.chain(volts).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(ends: (usize, usize), value: f64, share: f64, counts: f64) -> Distance {
        let uncertainty = share * value + counts;
        Distance {
            ends,
            length: Uncertain { value, uncertainty },
        }
    }

    fn misfit(order: &[usize], ohms: &[Distance], volts: &[Distance]) -> f64 {
        let volts = [volts.to_vec()];
        let readings = ReadingsAlong {
            ohms,
            volts: &volts,
        };
        AlongWinding::new(order, readings).expect("finite").misfit
    }

    /// From a centre tap: 210 Ω and 225 Ω, 3.15 V and 3.16 V. The tap between the other two makes
    /// two halves of which one is 7 % longer; the tap at an end would leave 15 Ω for no turns.
    #[test]
    fn the_usual_readings_from_a_centre_tap() {
        let ohms = [
            shown((0, 1), 210.0, 0.01, 2.0),
            shown((0, 2), 225.0, 0.01, 2.0),
        ];
        let volts = [
            shown((0, 1), 3.15, 0.01, 0.03),
            shown((0, 2), 3.16, 0.01, 0.03),
        ];
        let middle = misfit(&[1, 0, 2], &ohms, &volts);
        let end = misfit(&[0, 1, 2], &ohms, &volts);
        assert!(middle < 1.0 && end > 10.0 + middle, "{middle} {end}");
    }

    /// What was not read is not known; what was read is known as well as the reading.
    #[test]
    fn predictions_say_how_sure_they_are() {
        let ohms = [
            shown((0, 1), 100.0, 0.03, 0.0),
            shown((0, 2), 150.0, 0.03, 0.0),
        ];
        let volts = [vec![shown((0, 2), 6.0, 0.03, 0.0)]];
        let readings = ReadingsAlong {
            ohms: &ohms,
            volts: &volts,
        };
        let winding = AlongWinding::new(&[0, 1, 2], readings).expect("finite");
        let read = winding.predict(Shows::Ohms, (0, 2)).expect("on it");
        assert!(
            (read.value - 150.0).abs() < 0.1 && (read.uncertainty - 2.25).abs() < 0.15,
            "{read:?}"
        );
        let inner = winding.predict(Shows::Volts(0), (0, 1)).expect("on it");
        assert!((inner.value - 4.0).abs() < 0.05, "{inner:?}");
        assert!((0.1..0.8).contains(&inner.uncertainty), "{inner:?}");
        let open = AlongWinding::new(
            &[0, 1, 2],
            ReadingsAlong {
                ohms: &ohms,
                volts: &[Vec::new()],
            },
        );
        let open = open
            .expect("finite")
            .predict(Shows::Volts(0), (0, 1))
            .expect("on it");
        assert!(open.uncertainty > 10.0 * open.value, "{open:?}");
    }
}
