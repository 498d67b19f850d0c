//! The readings of one transformer, sorted by what they say, and the windings that they make.

use super::conflicts::{open_inside, suspects};
use super::questions::about_order;
use super::{CentreTap, Conflict, Order, Question, Resistance, Winding};
use crate::measured::along_winding::{AlongWinding, ReadingsAlong};
use crate::measured::groups::Groups;
use crate::measured::lead_order::{Distance, EXCLUDED, Orders, PlacedLeads, orders};
use crate::measured::{Lead, Pair};
use tapwright_units::uncertainty::Uncertain;

/// The halves of a winding may differ by this part of its resistance, and the lead between
/// them is a centre tap: the turns of the outer half are longer. Common practice, no source.
const HALVES_ALIKE_IN_OHMS: f64 = 0.15;

/// Readings by what they say.
pub(super) struct SortedReadings<'a> {
    leads: usize,
    /// Readings of a resistance, with their places.
    connected: Vec<(usize, Distance)>,
    /// Readings of an open circuit, with their places.
    pub open: Vec<(usize, Pair)>,
    /// Pairs that an AC test took for leads of one winding.
    pub by_voltage: Vec<Pair>,
    /// The voltages of each AC test, between leads of one winding.
    pub sessions: &'a [Vec<Distance>],
}

impl<'a> SortedReadings<'a> {
    pub fn new(leads: usize, readings: &[Resistance], sessions: &'a [Vec<Distance>]) -> Self {
        let is_there = |pair: Pair| pair.0 < leads && pair.1 < leads && pair.0 != pair.1;
        let (mut connected, mut open) = (Vec::new(), Vec::new());
        for (place, reading) in readings.iter().enumerate() {
            let ends = reading.pair;
            match reading.ohms {
                _ if !is_there(ends) => {}
                Some(length) => connected.push((place, Distance { ends, length })),
                None => open.push((place, ends)),
            }
        }
        let by_voltage = sessions.iter().flatten().map(|distance| distance.ends);
        Self {
            leads,
            connected,
            open,
            by_voltage: by_voltage.filter(|pair| is_there(*pair)).collect(),
            sessions,
        }
    }

    /// The leads of each winding, in the order of their first leads.
    pub fn groups(&self) -> Vec<Vec<Lead>> {
        let by_ohms = self.connected.iter().map(|(_, distance)| distance.ends);
        gather(self.leads, by_ohms.chain(self.by_voltage.iter().copied()))
    }

    /// Whether a reading shows an open circuit between two groups of leads.
    pub fn are_apart(&self, a: &[Lead], b: &[Lead]) -> bool {
        let from = |x: &[Lead], y: &[Lead], pair: Pair| x.contains(&pair.0) && y.contains(&pair.1);
        (self.open.iter()).any(|(_, pair)| from(a, b, *pair) || from(b, a, *pair))
    }

    /// The winding of one group of leads, readings on it that contradict each other, and the
    /// reading that would settle the order of its leads.
    pub fn winding(
        &self,
        group: &[Lead],
        closed: bool,
    ) -> (Winding, Vec<Conflict>, Option<Question>) {
        let mut resistances = self.connected.clone();
        resistances.retain(|(_, distance)| group.contains(&distance.ends.0));
        let ties = resistances.iter().map(|(_, d)| d.ends);
        let tied = gather(self.leads, ties).iter().any(|tied| tied == group);
        let (mut found, mut misfits) = self.orders(group, &resistances);
        let adds_up = found.agree();
        let mut conflicts = Vec::new();
        if !adds_up {
            let suspects = suspects(group, &resistances);
            if let [culprit] = suspects[..] {
                resistances.retain(|(place, _)| *place != culprit);
                (found, misfits) = self.orders(group, &resistances);
            }
            conflicts.push(Conflict::DoNotAddUp(if suspects.is_empty() {
                resistances.iter().map(|(place, _)| *place).collect()
            } else {
                suspects
            }));
        }
        let open_inside = open_inside(group, &self.open, &resistances);
        let sound = adds_up && open_inside.is_empty();
        conflicts.extend(open_inside);
        // An order and its reverse are the same: the end that was named first comes first.
        for order in &mut found.possible {
            if order.first() > order.last() {
                order.reverse();
            }
        }
        let lengths = lengths(&resistances);
        let readings = ReadingsAlong {
            ohms: &lengths,
            volts: self.sessions,
        };
        let (question, telling) = if found.is_settled() || group.len() < 3 {
            (None, Vec::new())
        } else {
            about_order(&found.possible, readings)
        };
        let sections = |order: &[Lead]| -> Vec<Uncertain> {
            let placed = PlacedLeads::new(order, &lengths).filter(|_| tied && group.len() > 1);
            let between = |pair: &[Lead]| placed.as_ref()?.distance((pair[0], pair[1]));
            order.windows(2).filter_map(between).collect()
        };
        let least = misfits.first().copied().unwrap_or(0.0);
        let orders = found
            .possible
            .iter()
            .zip(misfits)
            .map(|(leads, misfit)| Order {
                leads: leads.clone(),
                sections: sections(leads),
                misfit: misfit - least,
            });
        let mut winding = Winding {
            leads: Vec::new(),
            tied,
            closed,
            ends_known: false,
            order_known: false,
            sections: Vec::new(),
            ohms: None,
            centre_tap: None,
            orders: Vec::new(),
            orders_complete: found.complete,
            telling,
            sound: sound && tied && found.agree(),
        };
        winding.take(orders.collect());
        (winding, conflicts, question)
    }

    /// The orders that the readings of both meters allow together; those that the resistances
    /// allow, where the two contradict each other. With each its misfit.
    fn orders(&self, group: &[Lead], resistances: &[(usize, Distance)]) -> (Orders, Vec<f64>) {
        let lengths = lengths(resistances);
        let alone = orders(group, std::slice::from_ref(&lengths));
        if !alone.agree() || group.len() < 3 {
            let misfits = vec![0.0; alone.possible.len()];
            return (alone, misfits);
        }
        let inside = |d: &&Distance| group.contains(&d.ends.0) && group.contains(&d.ends.1);
        let mut sets = vec![lengths];
        sets.extend(
            self.sessions
                .iter()
                .map(|session| session.iter().filter(inside).copied().collect()),
        );
        let both = orders(group, &sets);
        let mut found = if both.agree() { both } else { alone };
        let readings = ReadingsAlong {
            ohms: &sets[0],
            volts: self.sessions,
        };
        let misfit = |order: Vec<Lead>| {
            let along = AlongWinding::new(&order, readings);
            let unlikely = along.map_or(f64::INFINITY, |along| along.unlikely(&order));
            (unlikely, order)
        };
        let mut placed: Vec<(f64, Vec<Lead>)> = found.possible.into_iter().map(misfit).collect();
        placed.sort_by(|a, b| a.0.total_cmp(&b.0));
        let best = placed.first().map_or(0.0, |(misfit, _)| *misfit);
        placed.retain(|(misfit, _)| *misfit <= best + EXCLUDED);
        let misfits = placed.iter().map(|(misfit, _)| *misfit).collect();
        found.possible = placed.into_iter().map(|(_, order)| order).collect();
        (found, misfits)
    }
}

/// The readings without their places.
pub(super) fn lengths(resistances: &[(usize, Distance)]) -> Vec<Distance> {
    resistances.iter().map(|(_, distance)| *distance).collect()
}

/// Groups of leads that pairs connect, in the order of their first leads.
fn gather(leads: usize, pairs: impl Iterator<Item = Pair>) -> Vec<Vec<Lead>> {
    let mut groups = Groups::new(leads);
    for (a, b) in pairs {
        groups.join(a, b);
    }
    groups.lists()
}

/// The tap that divides a winding into nearly equal halves.
pub(super) fn centre_tap(order: &[Lead], sections: &[Uncertain]) -> Option<CentreTap> {
    if sections.len() + 1 != order.len() {
        return None;
    }
    let whole: f64 = sections.iter().map(|section| section.value).sum();
    let mut before = 0.0;
    let inner = sections.iter().zip(order.iter().skip(1));
    let taps = inner
        .take(sections.len().saturating_sub(1))
        .map(|(section, lead)| {
            before += section.value;
            CentreTap {
                lead: *lead,
                unlike: (2.0 * before / whole - 1.0).abs(),
            }
        });
    taps.filter(|tap| tap.unlike <= HALVES_ALIKE_IN_OHMS)
        .min_by(|a, b| a.unlike.total_cmp(&b.unlike))
}
