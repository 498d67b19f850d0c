//! Which leads share a winding, and in which order, from DC resistances.
//!
//! A meter shows a resistance between leads of one winding and an open circuit between
//! windings; along a winding resistances add up. The finder says what the readings leave open,
//! with the reading that would settle it, and names readings that contradict each other.

use serde::{Serialize, Serializer};

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
    #[serde(serialize_with = "serialize_orders")]
    pub orders: Vec<Order>,
    /// Whether there are no others than those.
    #[serde(skip)]
    pub orders_complete: bool,
    /// While several orders are possible: pairs of leads whose voltage would tell them apart, the
    /// best first.
    #[serde(skip)]
    pub telling: Vec<Pair>,
    /// Whether its readings agree with each other and connect all of its leads.
    #[serde(skip)]
    pub sound: bool,
}

/// A possible order of the leads of a winding.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// From one end to the other.
    pub leads: Vec<Lead>,
    /// Resistance between neighbours, Ω; empty when it is not known.
    pub sections: Vec<Uncertain>,
    /// By how much the readings agree less than with the likeliest order: squares of standard
    /// uncertainties.
    pub misfit: f64,
}

impl Order {
    /// Resistance of the wire between two leads, Ω; `None` when no reading tells it.
    pub fn resistance(&self, pair: Pair) -> Option<Uncertain> {
        let place = |lead: Lead| self.leads.iter().position(|other| *other == lead);
        let (a, b) = (place(pair.0)?, place(pair.1)?);
        let sections = self.sections.get(a.min(b)..a.max(b))?;
        let squares: f64 = sections.iter().map(|s| s.uncertainty * s.uncertainty).sum();
        Some(Uncertain {
            value: sections.iter().map(|section| section.value).sum(),
            uncertainty: squares.sqrt(),
        })
    }
}

fn serialize_orders<S: Serializer>(orders: &[Order], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(orders.iter().map(|order| &order.leads))
}

impl Winding {
    /// Takes these of its orders as the possible ones, the likeliest first.
    fn take(&mut self, orders: Vec<Order>) {
        let ends = |order: &Order| (order.leads.first().copied(), order.leads.last().copied());
        let Some(best) = orders.first() else { return };
        let is_known = self.sound && self.orders_complete;
        self.ends_known = is_known && orders.iter().all(|other| ends(other) == ends(best));
        self.order_known = is_known && orders.len() == 1;
        self.leads.clone_from(&best.leads);
        self.sections.clone_from(&best.sections);
        self.ohms = best
            .leads
            .first()
            .zip(best.leads.last())
            .and_then(|(a, b)| {
                let ends = (self.leads.len() > 1).then_some((*a, *b))?;
                best.resistance(ends)
            });
        self.centre_tap = sorted_readings::centre_tap(&best.leads, &best.sections);
        self.orders = orders;
    }
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
    /// In which order the leads of a winding stand: ohms tell.
    Order(Pair),
    /// The same: AC volts tell.
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

    /// The same with those orders alone that the voltages of all windings together allow, the
    /// likeliest first.
    pub(super) fn in_orders(mut self, possible: &[Vec<&[Lead]>]) -> Self {
        for (winding, possible) in self.windings.iter_mut().zip(possible) {
            let order =
                |leads: &&[Lead]| winding.orders.iter().find(|o| o.leads == *leads).cloned();
            let orders: Vec<Order> = possible.iter().filter_map(order).collect();
            winding.take(orders);
        }
        let windings = &self.windings;
        self.questions.retain(|question| match question {
            Question::OneWinding(_) => true,
            Question::Order(pair) | Question::Volts(pair) => {
                let home = windings
                    .iter()
                    .find(|winding| winding.leads.contains(&pair.0));
                home.is_some_and(|winding| !winding.order_known)
            }
        });
        self
    }

    /// Resistance of the wire between two leads of one winding, Ω; `None` when no reading tells
    /// it.
    pub fn resistance(&self, pair: Pair) -> Option<Uncertain> {
        let winding = self.windings.get(self.winding_of(pair.0)?)?;
        winding.orders.first()?.resistance(pair)
    }

    /// The least and the most that the same may be, Ω, with every possible order of the leads.
    /// `None` when no reading tells it, or when not every order was tried.
    pub fn resistance_range(&self, pair: Pair) -> Option<(f64, f64)> {
        let winding = self.windings.get(self.winding_of(pair.0)?)?;
        let mut range: Option<(f64, f64)> = None;
        for order in winding.orders.iter().filter(|_| winding.orders_complete) {
            let ohms = order.resistance(pair)?;
            let least = (ohms.value - ohms.uncertainty).max(0.0);
            let most = ohms.value + ohms.uncertainty;
            let (low, high) = range.unwrap_or((least, most));
            range = Some((low.min(least), high.max(most)));
        }
        range
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
