//! Which reading of the ohmmeter to take next.

use super::sorted_readings::SortedReadings;
use super::{Question, Winding};
use crate::measured::along_winding::{AlongWinding, ReadingsAlong, Shows};
use crate::measured::lead_order::{Distance, EXCLUDED};
use crate::measured::meter::FROM_READING_TO_READING;
use crate::measured::{Lead, Pair, same};
use tapwright_units::uncertainty::Uncertain;

/// A reading is worth asking for when it moves two orders apart by so much: 2 standard
/// uncertainties.
const WORTH_READING: f64 = 4.0;

/// What a meter is taken to be off by where it has shown nothing yet.
const USUALLY_OFF: f64 = 0.02;

/// Orders that are compared at most: the likeliest.
const MOST_COMPARED: usize = 6;

/// The reading that tells the possible orders apart best, if one does, and pairs of leads whose
/// voltage does, the best first. Pairs that were read with that meter do not count.
pub(super) fn about_order(
    orders: &[Vec<Lead>],
    readings: ReadingsAlong,
) -> (Option<Question>, Vec<Pair>) {
    let placed: Vec<AlongWinding> = (orders.iter().take(MOST_COMPARED))
        .filter_map(|order| AlongWinding::new(order, readings))
        .collect();
    let leads = orders.first().map_or(&[][..], Vec::as_slice);
    let pairs =
        || (leads.iter().enumerate()).flat_map(|(at, a)| leads[at + 1..].iter().map(|b| (*a, *b)));
    let is_read = |all: &[Distance], pair: Pair| all.iter().any(|d| same(d.ends, pair));
    let ranked = |shows: Shows, shown: &[Distance]| -> Vec<(Worth, Pair)> {
        let mut ranked: Vec<(Worth, Pair)> = pairs()
            .filter(|pair| !is_read(shown, *pair))
            .filter_map(|pair| Some((Worth::new(&placed, shows, pair, shown)?, pair)))
            .collect();
        ranked.sort_by(|(a, _), (b, _)| b.cmp(a));
        ranked
    };
    let ohms = ranked(Shows::Ohms, readings.ohms);
    // In the test that read most of this winding.
    let on_it = |test: &usize| {
        readings.volts[*test]
            .iter()
            .filter(|d| leads.contains(&d.ends.0))
            .count()
    };
    let test = (0..readings.volts.len())
        .rev()
        .max_by_key(on_it)
        .filter(|test| on_it(test) > 0);
    let volts = test.map_or_else(Vec::new, |test| {
        ranked(Shows::Volts(test), &readings.volts[test])
    });
    let (by_ohms, by_volts) = (ohms.first(), volts.first());
    let question = match (by_ohms, by_volts) {
        (Some((ohms, _)), Some((volts, pair))) if volts.cmp(ohms).is_gt() => {
            Some(Question::Volts(*pair))
        }
        (Some((_, pair)), _) => Some(Question::Order(*pair)),
        (None, Some((_, pair))) => Some(Question::Volts(*pair)),
        (None, None) => None,
    };
    (question, volts.into_iter().map(|(_, pair)| pair).collect())
}

/// How well a reading would tell orders apart.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Worth {
    /// How many orders it would exclude, whichever is true.
    excluded: usize,
    /// By how much it moves those apart that it tells least well.
    apart: f64,
}

impl Worth {
    /// `None` when it would tell none apart.
    fn new(placed: &[AlongWinding], shows: Shows, pair: Pair, shown: &[Distance]) -> Option<Self> {
        let expected: Vec<(f64, Uncertain)> = (placed.iter())
            .filter_map(|along| Some((along.misfit, along.predict(shows, pair)?)))
            .collect();
        let mut worth = Self {
            excluded: 0,
            apart: 0.0,
        };
        for (at, (here, a)) in expected.iter().enumerate() {
            for (there, b) in &expected[at + 1..] {
                let off = FROM_READING_TO_READING * off_by(0.5 * (a.value + b.value), shown);
                let doubt = off.powi(2) + a.uncertainty.powi(2).max(b.uncertainty.powi(2));
                let apart = (a.value - b.value).powi(2) / doubt;
                worth.excluded += usize::from(apart > EXCLUDED + (here - there).abs());
                worth.apart += apart.min(EXCLUDED);
            }
        }
        (worth.apart >= WORTH_READING).then_some(worth)
    }

    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (self.excluded.cmp(&other.excluded)).then(self.apart.total_cmp(&other.apart))
    }
}

/// How far a meter may be off at a value, by what it has shown: as far as at the next higher value,
/// or relative to the value as far as at the highest.
fn off_by(value: f64, shown: &[Distance]) -> f64 {
    let lengths = || shown.iter().map(|distance| distance.length);
    let by_value = |a: &Uncertain, b: &Uncertain| a.value.total_cmp(&b.value);
    let above = lengths()
        .filter(|length| length.value >= value)
        .min_by(by_value);
    let highest = lengths().max_by(by_value);
    let relative = |length: Uncertain| length.uncertainty / length.value * value;
    (above.map(|length| length.uncertainty))
        .or(highest.map(relative))
        .unwrap_or(USUALLY_OFF * value)
}

/// Which leads may be on one winding: those that only volts connect, then the first leads of
/// groups that no reading shows to be apart. Groups with the fewest leads come first: a lead
/// without a partner is a larger puzzle than two windings.
pub(super) fn about_windings(readings: &SortedReadings, windings: &[Winding]) -> Vec<Question> {
    let by_voltage = readings.by_voltage.iter().filter(|pair| {
        (windings.iter()).any(|winding| !winding.tied && winding.leads.contains(&pair.0))
    });
    let mut not_apart: Vec<(usize, Pair)> = Vec::new();
    for (at, a) in windings.iter().enumerate() {
        for b in &windings[at + 1..] {
            if let (Some(from), Some(to)) = (a.leads.first(), b.leads.first())
                && !readings.are_apart(&a.leads, &b.leads)
            {
                not_apart.push((a.leads.len() + b.leads.len(), (*from, *to)));
            }
        }
    }
    not_apart.sort_by_key(|(leads, _)| *leads);
    let not_apart = not_apart.iter().map(|(_, pair)| pair);
    by_voltage
        .chain(not_apart)
        .map(|pair| Question::OneWinding(*pair))
        .collect()
}
