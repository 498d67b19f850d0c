//! Readings of the ohmmeter that cannot all be right.

use super::Conflict;
use super::sorted_readings::lengths;
use crate::measured::lead_order::{Distance, orders};
use crate::measured::{Lead, Pair};

/// On a winding with more leads than this the search for a wrong reading, which leaves out one
/// reading after another, would take longer than a keystroke may. All readings are named.
const MOST_SUSPECTED: usize = 10;

/// The places of readings that may be wrong: without any one of them the rest adds up.
pub(super) fn suspects(group: &[Lead], resistances: &[(usize, Distance)]) -> Vec<usize> {
    if group.len() > MOST_SUSPECTED {
        return Vec::new();
    }
    let without = |place: usize| -> Vec<Distance> {
        let mut rest = resistances.to_vec();
        rest.retain(|(other, _)| *other != place);
        lengths(&rest)
    };
    (resistances.iter())
        .map(|(place, _)| *place)
        .filter(|place| orders(group, &[without(*place)]).agree())
        .collect()
}

/// Readings of an open circuit between leads of one group, each with the readings that connect
/// these leads.
pub(super) fn open_inside(
    group: &[Lead],
    open: &[(usize, Pair)],
    resistances: &[(usize, Distance)],
) -> Vec<Conflict> {
    let inside = |(_, pair): &&(usize, Pair)| group.contains(&pair.0) && group.contains(&pair.1);
    (open.iter().filter(inside))
        .map(|(place, pair)| {
            let mut places = vec![*place];
            places.extend(path(resistances, *pair));
            Conflict::OpenAndConnected(places)
        })
        .collect()
}

/// Places of the readings that lead from one lead of a pair to the other, the fewest possible.
fn path(resistances: &[(usize, Distance)], pair: Pair) -> Vec<usize> {
    let mut ways: Vec<(Lead, Vec<usize>)> = vec![(pair.0, Vec::new())];
    let mut at = 0;
    while let Some((here, way)) = ways.get(at).cloned() {
        if here == pair.1 {
            return way;
        }
        for (place, distance) in resistances {
            let next = match distance.ends {
                (a, b) if a == here => b,
                (a, b) if b == here => a,
                _ => continue,
            };
            if ways.iter().all(|(lead, _)| *lead != next) {
                ways.push((next, [&way[..], &[*place]].concat()));
            }
        }
        at += 1;
    }
    Vec::new()
}
