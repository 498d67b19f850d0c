//! The answer for each hookup: which connection to use, why that one, what to beware of.

use serde::Serialize;

use crate::caution::Caution;
use crate::connection::Connection;
use crate::judged::{Judged, equally_far};
use crate::matching::Verdict;
use crate::remedy::{self, Remedy};
use crate::solved::Solved;
use crate::target::Target;
use crate::wiring::Wiring;

/// Why a connection was taken before others that are as good, or nearly.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// It is the nearest to the target.
    Nearest,
    /// A tap pair (its place among the connections) is nearer, but within the same
    /// verdict an ordinary tap is preferred.
    TapBeforePair(usize),
    /// Others (their places) are equally near; this one leaves fewer turns idle.
    MoreTurnsInUse(Vec<usize>),
    /// Others (their places) are equally near and use as many turns; this one stands
    /// first.
    FirstOfEquals(Vec<usize>),
    /// No target: every lead (the places of the others) sees the same share of its own rating
    /// through this tap.
    AnyLead(Vec<usize>),
}

/// The recommended connection of one hookup.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// Place of the hookup in the set-up.
    pub hookup: usize,
    /// Place of the connection among [`Solved::connections`].
    pub connection: usize,
    /// Why this one.
    pub reason: Reason,
    /// What to beware of, most pressing first; never empty.
    pub cautions: Vec<Caution>,
    /// What would suit, where the recommended connection is one to avoid.
    pub remedies: Vec<Remedy>,
    /// Where every lead goes.
    pub wiring: Option<Wiring>,
}

/// The answer for each hookup that has a connection.
pub(crate) fn every(solved: &Solved) -> Vec<Answer> {
    let best = (solved.connections.iter().enumerate()).filter(|(_, judged)| judged.rank == 1);
    best.map(|(place, judged)| Answer {
        hookup: judged.connection.choice.hookup,
        connection: place,
        reason: reason(solved, judged),
        cautions: Caution::every(solved, place),
        remedies: match judged.verdict() {
            Verdict::Avoid => remedy::every(solved, judged),
            _ => Vec::new(),
        },
        wiring: Wiring::new(solved, judged),
    })
    .collect()
}

fn reason(solved: &Solved, best: &Judged) -> Reason {
    let choice = best.connection.choice;
    let others = || {
        solved.connections.iter().enumerate().filter(|(_, other)| {
            other.connection.choice.hookup == choice.hookup
                && other.connection.choice != choice
                && other.connection.degenerate.is_none()
        })
    };
    let distance = |judged: &Judged| judged.connection.load.distance();
    let is_as_far = |other: &Judged| equally_far(&other.connection, &best.connection);
    let nearer_pair = others()
        .filter(|(_, other)| other.connection.is_pair() && !best.connection.is_pair())
        .filter(|(_, other)| other.verdict() == best.verdict())
        .filter(|(_, other)| distance(other) < distance(best) && !is_as_far(other))
        .min_by(|a, b| distance(a.1).total_cmp(&distance(b.1)));
    if let Some((place, _)) = nearer_pair {
        return Reason::TapBeforePair(place);
    }
    let equals: Vec<(usize, &Judged)> = others()
        .filter(|(_, other)| other.connection.is_pair() == best.connection.is_pair())
        .filter(|(_, other)| is_as_far(other))
        .collect();
    let places = || equals.iter().map(|(place, _)| *place).collect();
    let turns = |connection: &Connection| {
        let choice = connection.choice;
        (solved.transformer.as_ref()).map_or(0.0, |transformer| {
            transformer.turns_in_use(choice.lead, choice.secondary)
        })
    };
    let most = turns(&best.connection) * (1.0 - 1e-9);
    if equals.is_empty() {
        Reason::Nearest
    } else if solved.target == Target::AsRated {
        Reason::AnyLead(places())
    } else if (equals.iter()).all(|(_, other)| turns(&other.connection) < most) {
        Reason::MoreTurnsInUse(places())
    } else {
        Reason::FirstOfEquals(places())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Report, link, solve};
    use tapwright_iron::transformer::Secondary;

    fn report(link: &str) -> Report {
        solve(&link::parse(link).setup)
    }

    #[test]
    fn a_nearer_pair_is_named_when_the_tap_is_preferred() {
        // The 4 Ω tap is at 1.15, the pair 3–15 (4.58 Ω) at 1.004: both fit.
        let report = report("primary=8k&taps=4,3,15&hookup=4.6&target=8k");
        let answer = &report.answers[0];
        let best = &report.solved.connections[answer.connection].connection;
        assert_eq!(best.choice.secondary, Secondary::Tap(0));
        let Reason::TapBeforePair(pair) = answer.reason else {
            panic!("{:?}", answer.reason)
        };
        assert!((report.solved.connections[pair].connection.ratio - 1.0036).abs() < 1e-3);
    }

    #[test]
    fn without_a_target_any_lead_will_do() {
        let report = report("primary=8k,%2010k&taps=4,%208&hookup=8");
        let Reason::AnyLead(others) = &report.answers[0].reason else {
            panic!()
        };
        assert_eq!(others.len(), 1);
    }

    #[test]
    fn ties_are_told_with_their_rule() {
        let more = report("primary=4k,%208k&taps=4,%208&hookup=8&target=8k");
        assert!(matches!(more.answers[0].reason, Reason::MoreTurnsInUse(_)));
        // 5 k and 20 k are equally far from 10 k; 5 k is half the turns of 20 k.
        let either_side = report("primary=5k,%2020k&taps=8&hookup=8&target=10k");
        assert!(
            matches!(&either_side.answers[0].reason, Reason::MoreTurnsInUse(o) if o.len() == 1)
        );
    }
}
