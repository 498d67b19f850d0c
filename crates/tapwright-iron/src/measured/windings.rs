//! Which leads share a winding, and in which order, from DC resistances.
//!
//! A meter shows a resistance between leads of one winding and an open circuit between
//! windings; along a winding resistances add up. The finder says what the readings leave open,
//! with the reading that would settle it, and names readings that contradict each other.

use serde::Serialize;

use super::lead_order::Distance;
use super::{Lead, Pair};
use tapwright_units::uncertainty::Uncertain;

mod conflicts;
mod questions;
mod sorted_readings;

use sorted_readings::SortedReadings;

/// A reading of the ohmmeter between two leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// The two leads.
    pub pair: Pair,
    /// Ohms; `None` is an open circuit.
    pub ohms: Option<Uncertain>,
}

/// A winding, as far as it is known.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Winding {
    /// Its leads from one end to the other, in the likeliest order. A single lead has no partner
    /// so far.
    pub leads: Vec<Lead>,
    /// Whether resistances connect all of them. If not, voltages do.
    pub tied: bool,
    /// Whether readings exclude that any further lead belongs to it.
    pub closed: bool,
    /// Whether the two ends are known beyond doubt.
    pub ends_known: bool,
    /// Whether the order is known beyond doubt.
    pub order_known: bool,
    /// Resistance between neighbours in that order, Ω; empty when it is not known.
    pub sections: Vec<Uncertain>,
    /// Resistance from end to end, Ω.
    pub ohms: Option<Uncertain>,
    /// The lead in the middle, where the halves are nearly equal.
    pub centre_tap: Option<CentreTap>,
    /// Every order that the readings allow, the likeliest first.
    pub orders: Vec<Vec<Lead>>,
}

/// A tap in the middle of a winding.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CentreTap {
    /// The lead.
    pub lead: Lead,
    /// Difference of the halves' resistances divided by the whole.
    pub unlike: f64,
}

/// What is open, and the pair of leads whose reading would settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Question {
    /// Whether these two leads are on one winding.
    OneWinding(Pair),
    /// In which order the leads of a winding stand.
    Order(Pair),
    /// The same, when ohms cannot tell and AC volts may.
    Volts(Pair),
}

impl Question {
    /// The pair to read.
    ///
    /// ```
    /// # use tapwright_iron::measured::windings::Question;
    /// assert_eq!(Question::OneWinding((0, 1)).pair(), (0, 1));
    /// ```
    pub fn pair(self) -> Pair {
        match self {
            Self::OneWinding(pair) | Self::Order(pair) | Self::Volts(pair) => pair,
        }
    }
}

/// Readings that cannot all be right, by their places.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Conflict {
    /// The first shows an open circuit between leads that the others connect.
    OpenAndConnected(Vec<usize>),
    /// Resistances along a winding that do not add up. Without any one of these the rest do.
    DoNotAddUp(Vec<usize>),
}

/// Everything that the ohmmeter tells.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Found {
    /// Windings, the one with the most resistance first; leads without a partner last.
    pub windings: Vec<Winding>,
    /// What is open, the most useful reading first.
    pub questions: Vec<Question>,
    /// Readings that cannot all be right.
    pub conflicts: Vec<Conflict>,
    /// Resistance of the first winding, the likely primary, divided by that of the second.
    /// `None` until both are known.
    pub primary_times: Option<f64>,
}

impl Found {
    /// The winding that a lead is on, by its place.
    pub fn winding_of(&self, lead: Lead) -> Option<usize> {
        (self.windings.iter()).position(|winding| winding.leads.contains(&lead))
    }

    /// A winding by its place; `None` for a single lead.
    pub(super) fn winding(&self, at: usize) -> Option<&Winding> {
        self.windings
            .get(at)
            .filter(|winding| winding.leads.len() > 1)
    }

    /// The two ends of a winding; `None` for a single lead.
    pub(super) fn ends(&self, at: usize) -> Option<Pair> {
        let leads = &self.winding(at)?.leads;
        Some((*leads.first()?, *leads.last()?))
    }

    /// Resistance of one winding divided by that of another.
    pub(super) fn times_the_ohms(&self, over: usize, under: usize) -> Option<f64> {
        let ohms = |at: usize| Some(self.winding(at)?.ohms?.value);
        Some(ohms(over)? / ohms(under)?)
    }

    /// The same with the order of leads that the voltages insist on against the resistances.
    /// Where these orders differ the resistances say nothing about sections of the winding.
    pub(super) fn in_order(mut self, orders: &[Vec<Lead>]) -> Self {
        for (winding, order) in self.windings.iter_mut().zip(orders) {
            if winding.leads != *order {
                winding.leads.clone_from(order);
                winding.order_known = false;
                winding.sections.clear();
                winding.centre_tap = None;
            }
        }
        self
    }

    /// Resistance of the wire between two leads of one winding, Ω; `None` when no reading tells
    /// it.
    pub fn resistance(&self, pair: Pair) -> Option<Uncertain> {
        let winding = self.windings.get(self.winding_of(pair.0)?)?;
        let place = |lead: Lead| winding.leads.iter().position(|other| *other == lead);
        let (a, b) = (place(pair.0)?, place(pair.1)?);
        let sections = winding.sections.get(a.min(b)..a.max(b))?;
        let squares: f64 = sections.iter().map(|s| s.uncertainty * s.uncertainty).sum();
        Some(Uncertain {
            value: sections.iter().map(|section| section.value).sum(),
            uncertainty: squares.sqrt(),
        })
    }
}

/// Finds the windings of a transformer with `leads` leads. `sessions` has the voltages of each
/// AC test that were read between leads of one winding: they connect leads too, and settle an
/// order that the resistances leave open. Readings of leads that do not exist are ignored.
///
/// ```
/// use tapwright_iron::measured::windings::{self, Resistance};
/// use tapwright_units::uncertainty::Uncertain;
/// let ohms = |a, b, value: f64| Resistance {
///     pair: (a, b),
///     ohms: Some(Uncertain { value, uncertainty: 0.01 * value }),
/// };
/// let open = |a, b| Resistance { pair: (a, b), ohms: None };
/// let found = windings::find(
///     5,
///     &[ohms(0, 1, 320.0), ohms(0, 2, 150.0), ohms(1, 2, 170.0), ohms(3, 4, 0.6), open(0, 3)],
///     &[],
/// );
/// assert_eq!(found.windings[0].leads, [0, 2, 1]);
/// assert_eq!(found.windings[0].centre_tap.map(|tap| tap.lead), Some(2));
/// assert!(found.questions.is_empty());
/// ```
pub fn find(leads: usize, readings: &[Resistance], sessions: &[Vec<Distance>]) -> Found {
    let readings = SortedReadings::new(leads, readings, sessions);
    let groups = readings.groups();
    let (mut windings, mut conflicts) = (Vec::new(), Vec::new());
    let mut order_questions = Vec::new();
    for group in &groups {
        let closed = groups
            .iter()
            .all(|other| other == group || readings.are_apart(group, other));
        let (winding, contradictory, question) = readings.winding(group, closed);
        windings.push(winding);
        conflicts.extend(contradictory);
        order_questions.extend(question);
    }
    let mut questions = questions::about_windings(&readings, &windings);
    questions.extend(order_questions);
    // Leads without a resistance come last, the largest groups of them first.
    let ohms = |winding: &Winding| {
        winding
            .ohms
            .map_or(-(1.0 / winding.leads.len() as f64), |o| o.value)
    };
    windings.sort_by(|a, b| ohms(b).total_cmp(&ohms(a)));
    let primary_times = match &windings[..] {
        [first, second, ..] => first.ohms.zip(second.ohms).map(|(a, b)| a.value / b.value),
        _ => None,
    };
    Found {
        windings,
        questions,
        conflicts,
        primary_times,
    }
}

#[cfg(test)]
mod tests;
