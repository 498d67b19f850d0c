//! The order of the connections of one hookup.

use std::cmp::Ordering;

use crate::connection::Connection;
use crate::matching::Verdict;
use tapwright_iron::transformer::Transformer;

/// Distances this close on the logarithm of the ratio are one distance.
const SAME: f64 = 1e-9;

/// The rank of each connection among those of its hookup, which stand together; 1 is the best.
///
/// ```
/// use tapwright_core::connection::{self, SpeakerLoad};
/// use tapwright_core::judged;
/// use tapwright_iron::transformer::*;
/// use tapwright_units::Ohms;
/// let transformer = Transformer {
///     leads: read_leads("8k").unwrap(), taps: read_taps("3, 8").unwrap(), line: None,
/// };
/// let speakers = [SpeakerLoad { hookup: 0, impedance: Ohms(8.0), lowest: Ohms(6.4) }];
/// let all = connection::every(&transformer, None, &speakers, |_| Some(Ohms(8_000.0)));
/// let judged: Vec<_> = all.iter().map(|c| (c, c.load.verdict())).collect();
/// assert_eq!(judged::ranks(&transformer, &judged)[1], 1);
/// ```
pub fn ranks(transformer: &Transformer, connections: &[(&Connection, Verdict)]) -> Vec<usize> {
    let hookup = |place: usize| connections[place].0.choice.hookup;
    let places: Vec<usize> = (0..connections.len()).collect();
    let mut ranks = vec![0; connections.len()];
    for of_one_hookup in places.chunk_by(|a, b| hookup(*a) == hookup(*b)) {
        let mut sorted = of_one_hookup.to_vec();
        sorted.sort_by(|a, b| better(transformer, connections[*a], connections[*b]));
        for (before, place) in sorted.into_iter().enumerate() {
            ranks[place] = before + 1;
        }
    }
    ranks
}

/// Sound before degenerate; then by verdict; within one verdict a tap before a pair;
/// then by distance from the target; of equals, the one with more turns in use.
fn better(
    transformer: &Transformer,
    a: (&Connection, Verdict),
    b: (&Connection, Verdict),
) -> Ordering {
    let coarse = |(connection, verdict): (&Connection, Verdict)| {
        (
            connection.degenerate.is_some(),
            verdict,
            connection.is_pair(),
        )
    };
    let turns = |connection: &Connection| {
        transformer.turns_in_use(connection.choice.lead, connection.choice.secondary)
    };
    coarse(a)
        .cmp(&coarse(b))
        .then_with(|| steps(a.0).cmp(&steps(b.0)))
        .then_with(|| turns(b.0).total_cmp(&turns(a.0)))
        .then_with(|| a.0.choice.cmp(&b.0.choice))
}

/// The distance counted in steps of [`SAME`], so that equality is an equivalence and
/// the order a total one.
fn steps(connection: &Connection) -> i64 {
    (connection.load.distance() / SAME).round() as i64
}

/// Whether two connections are equally far from the target, within rounding.
pub fn equally_far(a: &Connection, b: &Connection) -> bool {
    (a.load.distance() - b.load.distance()).abs() <= SAME
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::connection::{SpeakerLoad, every};
    use tapwright_iron::transformer::{Secondary, TapPair, read_leads, read_taps};
    use tapwright_units::Ohms;

    fn best(leads: &str, taps: &str, speakers: f64, target: f64) -> Connection {
        let transformer = Transformer {
            leads: read_leads(leads).expect("leads"),
            taps: read_taps(taps).expect("taps"),
            line: None,
        };
        let speakers = SpeakerLoad {
            hookup: 0,
            impedance: Ohms(speakers),
            lowest: Ohms(0.8 * speakers),
        };
        let all = every(&transformer, None, &[speakers], |_| Some(Ohms(target)));
        let judged: Vec<_> = all.iter().map(|c| (c, c.load.verdict())).collect();
        let ranks = ranks(&transformer, &judged);
        all[ranks
            .iter()
            .position(|rank| *rank == 1)
            .expect("one is best")]
    }

    #[test]
    fn a_tap_is_preferred_to_a_nearer_pair_of_the_same_verdict() {
        // 4–16 is 4 Ω: with 3.9 Ω of speaker both are at 0.975 and the tap wins the tie.
        let connection = best("8k", "4, 8, 16", 3.9, 8_000.0);
        assert_eq!(connection.choice.secondary, Secondary::Tap(0));
        // 3–15 is 4.58 Ω, dead on; the 8 Ω tap is at 0.57 and only usable: the pair wins.
        let connection = best("8k", "3, 8, 15", 4.5836, 8_000.0);
        assert_eq!(
            connection.choice.secondary,
            Secondary::Pair(TapPair::new(0, 2).expect("pair"))
        );
    }

    #[test]
    fn of_equal_ratios_the_one_with_more_turns_comes_first() {
        // 4 k with 4 Ω and 8 k with 8 Ω are one turns ratio.
        let connection = best("4k, 8k", "4, 8", 8.0, 8_000.0);
        assert_eq!(
            (connection.choice.lead, connection.choice.secondary),
            (1, Secondary::Tap(1))
        );
    }

    #[test]
    fn a_degenerate_pair_is_never_first() {
        // 14–16 is 0.067 Ω and would fit a 0.5 Ω load best.
        let connection = best("8k", "14, 16", 0.5, 60_000.0);
        assert!(connection.degenerate.is_none());
    }
}
