//! The order of the connections of one hookup.

use std::cmp::Ordering;

use crate::connection::Connection;
use crate::matching::Verdict;
use crate::output::Output;
use tapwright_iron::transformer::Transformer;

/// Distances this close on the logarithm of the ratio are one distance.
const SAME: f64 = 1e-9;

/// Power and distortion are compared in steps of what the page shows: a tenth of a decibel,
/// and a tenth of a percent of distortion.
const DECIBELS: f64 = 0.1;
const DISTORTION: f64 = 1e-3;

/// A connection to be ranked.
#[derive(Debug, Clone, Copy)]
pub struct Ranked<'a> {
    /// The connection itself.
    pub connection: &'a Connection,
    /// The verdict on it, all counted.
    pub verdict: Verdict,
    /// What the stage delivers, where the tube is known.
    pub output: Option<&'a Output>,
}

/// The rank of each connection among those of its hookup, which stand together; 1 is the best.
///
/// Sound pairs come before degenerate ones, then it goes by verdict. Among connections to
/// avoid the nearest to the target comes first. Among others a tap comes before a pair; then
/// go decibels lost, distortion, distance from the target, and turns in use.
///
/// ```
/// use tapwright_core::connection::{self, SpeakerLoad};
/// use tapwright_core::judged::{Ranked, ranks};
/// use tapwright_iron::transformer::*;
/// use tapwright_units::Ohms;
/// let transformer = Transformer {
///     leads: read_leads("8k").unwrap(), taps: read_taps("3, 8").unwrap(), line: None,
/// };
/// let speakers = [SpeakerLoad { hookup: 0, impedance: Ohms(8.0), lowest: Ohms(6.4) }];
/// let all = connection::every(&transformer, None, &speakers, |_| Some(Ohms(8_000.0)));
/// let ranked: Vec<Ranked> = all
///     .iter()
///     .map(|c| Ranked { connection: c, verdict: c.load.verdict(), output: None })
///     .collect();
/// assert_eq!(ranks(&transformer, &ranked)[1], 1);
/// ```
pub fn ranks(transformer: &Transformer, connections: &[Ranked]) -> Vec<usize> {
    let hookup = |place: usize| connections[place].connection.choice.hookup;
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

fn better(transformer: &Transformer, a: Ranked, b: Ranked) -> Ordering {
    let class = |ranked: Ranked| (ranked.connection.degenerate.is_some(), ranked.verdict);
    let pair = |ranked: Ranked| ranked.connection.is_pair();
    let nearness = |ranked: Ranked| steps(ranked.connection);
    let turns = |ranked: Ranked| {
        let choice = ranked.connection.choice;
        transformer.turns_in_use(choice.lead, choice.secondary)
    };
    class(a)
        .cmp(&class(b))
        .then_with(|| match a.verdict {
            Verdict::Avoid => nearness(a).cmp(&nearness(b)).then(pair(a).cmp(&pair(b))),
            _ => pair(a).cmp(&pair(b)),
        })
        .then_with(|| lost(a).cmp(&lost(b)))
        .then_with(|| dirt(a).cmp(&dirt(b)))
        .then_with(|| nearness(a).cmp(&nearness(b)))
        .then_with(|| turns(b).total_cmp(&turns(a)))
        .then_with(|| a.connection.choice.cmp(&b.connection.choice))
}

/// Power lost against the target load, in steps of [`DECIBELS`]; more power counts as none lost.
fn lost(ranked: Ranked) -> i64 {
    let lost = ranked.output.map_or(0.0, |output| -output.against_target.0);
    (lost.max(0.0) / DECIBELS).round() as i64
}

/// Distortion in steps of [`DISTORTION`].
fn dirt(ranked: Ranked) -> i64 {
    let thd = ranked.output.map_or(0.0, |output| output.thd);
    (thd / DISTORTION).round() as i64
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
        let judged: Vec<_> = (all.iter())
            .map(|connection| Ranked {
                connection,
                verdict: connection.load.verdict(),
                output: None,
            })
            .collect();
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
