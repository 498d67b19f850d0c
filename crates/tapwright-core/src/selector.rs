//! A selector for the speakers: the taps of one primary lead, each with each hookup.

use serde::Serialize;

use crate::judged::{DIRTIER, Judged, MORE};
use crate::matching::Verdict;
use crate::solved::Solved;
use tapwright_iron::transformer::Secondary;

/// What a selector on one primary lead would do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Selector {
    /// Place of the primary lead.
    pub lead: usize,
    /// One for each tap, in the order of the taps.
    pub positions: Vec<Position>,
}

/// One tap as a position of the selector.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Position {
    /// Place of the tap.
    pub tap: usize,
    /// Places of its connections among [`Solved::connections`], one for each hookup.
    pub connections: Vec<usize>,
    /// Places of the hookups that this position is the best one for, and not one to avoid. It is
    /// worth a position when there are any.
    pub serves: Vec<usize>,
}

/// A hookup at a position that is not its own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Wrong {
    /// Place of the hookup.
    pub hookup: usize,
    /// The tap that the selector stands at.
    pub tap: usize,
    /// The tap of the hookup's own position.
    pub own: usize,
    /// The load divided by the load at the hookup's own position.
    pub load: f64,
    /// Power against its own position, dB; `None` without a tube.
    pub decibels: Option<f64>,
    /// Distortion there, 0 to 1, where it is much more than at its own position.
    pub dirtier: Option<f64>,
    /// The verdict on it.
    pub verdict: Verdict,
    /// What it asks beyond a limit that the own position does not pass as far: plates, screens.
    pub harder: [bool; 2],
}

impl Selector {
    /// The selector on the lead of the connection that is followed; `None` where a transformer
    /// has one tap, or nothing is followed.
    pub(crate) fn new(solved: &Solved) -> Option<Self> {
        let lead = solved.followed()?.connection.choice.lead;
        let transformer = solved.transformer.as_ref()?;
        if transformer.taps.len() < 2 {
            return None;
        }
        let mut positions: Vec<Position> = (0..transformer.taps.len())
            .map(|tap| Position {
                tap,
                connections: at(solved, lead, tap),
                serves: Vec::new(),
            })
            .filter(|position| !position.connections.is_empty())
            .collect();
        for hookup in &solved.hookups {
            let rank = |position: &Position| {
                let judged = position.of(solved, hookup.place)?;
                (judged.verdict() != Verdict::Avoid).then_some(judged.rank)
            };
            let best = (positions.iter().enumerate())
                .filter_map(|(place, position)| Some((rank(position)?, place)))
                .min();
            if let Some((_, place)) = best {
                positions[place].serves.push(hookup.place);
            }
        }
        Some(Self { lead, positions })
    }

    /// Positions that are worth having: each is the best one for some hookup.
    pub fn worth(&self) -> impl Iterator<Item = &Position> {
        self.positions
            .iter()
            .filter(|position| !position.serves.is_empty())
    }

    /// Places of the hookups that no position serves.
    pub fn unserved<'a>(&'a self, solved: &'a Solved) -> impl Iterator<Item = usize> + 'a {
        let served = |place: &usize| self.positions.iter().any(|p| p.serves.contains(place));
        (solved.hookups.iter())
            .map(|hookup| hookup.place)
            .filter(move |place| !served(place))
    }

    /// What each hookup gets at each position that is worth having and serves others.
    pub fn wrong<'a>(&'a self, solved: &'a Solved) -> impl Iterator<Item = Wrong> + 'a {
        self.worth().flat_map(move |own| {
            own.serves.iter().flat_map(move |hookup| {
                let others = self.worth().filter(|position| position.tap != own.tap);
                others.filter_map(move |at| wrong(solved, *hookup, own, at))
            })
        })
    }
}

impl Position {
    /// The connection of a hookup at this position.
    pub fn of<'a>(&self, solved: &'a Solved, hookup: usize) -> Option<&'a Judged> {
        (self.connections.iter())
            .filter_map(|place| solved.connections.get(*place))
            .find(|judged| judged.connection.choice.hookup == hookup)
    }
}

/// Places of the connections of a lead and a tap.
fn at(solved: &Solved, lead: usize, tap: usize) -> Vec<usize> {
    (solved.connections.iter().enumerate())
        .filter(|(_, judged)| {
            let choice = judged.connection.choice;
            (choice.lead, choice.secondary) == (lead, Secondary::Tap(tap))
        })
        .map(|(place, _)| place)
        .collect()
}

fn wrong(solved: &Solved, hookup: usize, own: &Position, at: &Position) -> Option<Wrong> {
    let (right, wrong) = (own.of(solved, hookup)?, at.of(solved, hookup)?);
    let outputs = right.output.as_ref().zip(wrong.output.as_ref());
    let ratio = |judged: &Judged| judged.connection.load.reflected.0;
    let harder = outputs.map_or([false; 2], |(right, wrong)| {
        // Plate and screen watts come first among the limits.
        [0, 1].map(|which| {
            wrong.passed[which].is_some_and(|passed| {
                right.passed[which].is_none_or(|before| passed.value > MORE * before.value)
            })
        })
    });
    Some(Wrong {
        hookup,
        tap: at.tap,
        own: own.tap,
        load: ratio(wrong) / ratio(right),
        decibels: outputs.map(|(right, wrong)| 10.0 * (wrong.watts.0 / right.watts.0).log10()),
        dirtier: outputs
            .filter(|(right, wrong)| wrong.thd > DIRTIER * right.thd)
            .map(|(_, wrong)| wrong.thd),
        verdict: wrong.verdict(),
        harder,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Report, link, solve};

    fn solved(text: &str) -> Report {
        let report = solve(&link::parse(text).setup);
        assert!(report.problems.is_empty(), "{text}: {:?}", report.problems);
        report
    }

    /// Taps of 4, 8 and 16 Ω with speakers of those ohms: each speaker has its own position, and
    /// on the 4 Ω tap an 8 Ω speaker is twice the load. Exact arithmetic.
    #[test]
    fn each_speaker_has_its_position_and_a_wrong_one_is_twice_the_load() {
        let report = solved(
            "primary=8k&taps=4,%208,%2016&hookup=4&hookup=8&hookup=16&tube=6V6GT&supply=285",
        );
        let selector = Selector::new(&report.solved).expect("a selector");
        let serves: Vec<_> = selector
            .worth()
            .map(|position| position.serves.clone())
            .collect();
        assert_eq!(serves, [[0], [1], [2]]);
        let wrong: Vec<Wrong> = selector.wrong(&report.solved).collect();
        let at = |tap, hookup| {
            *(wrong.iter())
                .find(|wrong| (wrong.tap, wrong.hookup) == (tap, hookup))
                .expect("told")
        };
        assert!((at(0, 1).load - 2.0).abs() < 1e-9);
        assert!((at(2, 0).load - 0.25).abs() < 1e-9);
        assert!(at(2, 0).decibels.expect("a tube") < -1.0);
        assert_eq!(at(2, 0).verdict, Verdict::Avoid);
    }

    /// Two speakers of 8 Ω share a position; a speaker that no tap suits has none.
    #[test]
    fn a_position_serves_all_that_it_suits() {
        let report =
            solved("primary=8k&taps=8,%2016&hookup=8&hookup=8//16%2B3&hookup=1.5&target=8k");
        let selector = Selector::new(&report.solved).expect("a selector");
        assert_eq!(selector.positions[0].serves, [0, 1]);
        assert_eq!(selector.worth().count(), 1);
        assert_eq!(selector.unserved(&report.solved).collect::<Vec<_>>(), [2]);
        assert_eq!(selector.wrong(&report.solved).count(), 0);
    }

    #[test]
    fn one_tap_needs_no_selector() {
        assert_eq!(
            Selector::new(&solved("primary=8k&taps=8&hookup=8").solved),
            None
        );
    }
}
