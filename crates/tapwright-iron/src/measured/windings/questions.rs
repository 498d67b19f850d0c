//! Which reading of the ohmmeter to take next.

use super::sorted_readings::{SortedReadings, lengths};
use super::{Question, Winding};
use crate::measured::lead_order::{Distance, Orders, PlacedLeads};
use crate::measured::{Pair, same};

/// The pair whose reading tells apart the most of the possible orders; a pair that was not read
/// with volts yet.
pub(super) fn about_order(
    found: &Orders,
    resistances: &[(usize, Distance)],
    sessions: &[Vec<Distance>],
) -> Option<Question> {
    let lengths = lengths(resistances);
    let placed: Vec<PlacedLeads> = (found.possible.iter())
        .filter_map(|order| PlacedLeads::new(order, &lengths))
        .collect();
    let leads = found.possible.first()?;
    let largest = lengths.iter().map(|d| d.length.value).fold(0.0, f64::max);
    let read = |all: &[Distance], pair: Pair| all.iter().any(|d| same(d.ends, pair));
    let mut best: Option<(usize, f64, Question)> = None;
    for (at, a) in leads.iter().enumerate() {
        for b in &leads[at + 1..] {
            let pair = (*a, *b);
            // Volts are finer than ohms: ohms cannot settle what volts left open.
            if sessions.iter().any(|session| read(session, pair)) {
                continue;
            }
            let mut values: Vec<f64> = (placed.iter())
                .filter_map(|leads| leads.distance((*a, *b)))
                .filter(|distance| distance.uncertainty < largest)
                .map(|distance| distance.value.abs())
                .collect();
            values.sort_by(f64::total_cmp);
            // A meter can tell values apart that differ by more than a twentieth.
            let is_step = |pair: &&[f64]| pair[1] - pair[0] > 0.05 * pair[1];
            let steps = values.windows(2).filter(is_step).count();
            let spread = values
                .last()
                .zip(values.first())
                .map_or(0.0, |(l, f)| l - f);
            let (rank, question) = if read(&lengths, pair) {
                (0, Question::Volts(pair))
            } else {
                (1 + steps, Question::Order(pair))
            };
            if best.is_none_or(|(r, s, _)| rank > r || rank == r && spread > s) {
                best = Some((rank, spread, question));
            }
        }
    }
    best.map(|(.., question)| question)
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
