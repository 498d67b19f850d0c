//! The turns of every lead, and the voltages that are still to be read.

use serde::Serialize;

use crate::measured::turns::{TurnsFit, TurnsRatio};
use crate::measured::windings::{Found, Winding};
use crate::measured::{Lead, Pair, same};

/// Turns from the start of a winding to one of its leads.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Turns {
    /// The start: the common lead of the secondary, or the first lead of another winding.
    pub start: Lead,
    /// The lead.
    pub lead: Lead,
    /// The winding, by its place.
    pub winding: usize,
    /// Turns divided by those of the whole primary; `None` as long as no reading tells.
    pub part: Option<TurnsRatio>,
}

/// Turns of every lead that shares a winding with another; `whole` is the whole primary.
pub(super) fn turns_of_leads(
    found: &Found,
    fit: Option<&TurnsFit>,
    whole: Pair,
    common: Option<Lead>,
) -> Vec<Turns> {
    let mut turns = Vec::new();
    for (winding, one) in found.windings.iter().enumerate() {
        let mut leads = one.leads.clone();
        if leads.last() == common.as_ref() {
            leads.reverse();
        }
        let Some((start, rest)) = leads.split_first() else {
            continue;
        };
        turns.extend(rest.iter().map(|lead| Turns {
            start: *start,
            lead: *lead,
            winding,
            part: fit.and_then(|fit| fit.ratio((*start, *lead), whole)),
        }));
    }
    turns
}

/// Pairs whose voltage is still to be read with `fed` fed, the most useful first.
pub(super) fn wanted(found: &Found, fit: Option<&TurnsFit>, fed: Pair) -> Vec<Pair> {
    // Without a reading that ties the primary to it, a part of it is not known either. Which order
    // is the right one is another question.
    let is_known = |pair: Pair| fit.and_then(|fit| fit.likeliest_ratio(pair, fed)).is_some();
    // Where the order of leads is open, the pair that tells it as well.
    let telling = |winding: &Winding| {
        let one = winding.telling.iter().find(|pair| !is_known(**pair));
        one.copied()
    };
    let windings = || found.windings.iter();
    let of_winding = |winding: &Winding| -> Vec<Pair> {
        let ends = winding.leads.split_first();
        let from_start = ends
            .into_iter()
            .flat_map(|(first, rest)| rest.iter().rev().map(|lead| (*first, *lead)));
        let mut pairs: Vec<Pair> = from_start
            .filter(|pair| !same(*pair, fed) && !is_known(*pair))
            .collect();
        if let Some(first) = pairs.first_mut() {
            *first = telling(winding).unwrap_or(*first);
        }
        pairs
    };
    let from_start: Vec<Pair> = windings().flat_map(of_winding).collect();
    if !from_start.is_empty() {
        return from_start;
    }
    // Two neighbours may still be too near each other to tell apart.
    (windings().flat_map(|winding| winding.leads.windows(2)))
        .map(|pair| (pair[0], pair[1]))
        .filter(|pair| !is_known(*pair))
        .collect()
}
