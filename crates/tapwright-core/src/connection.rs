//! Every connection: primary lead × tap or tap pair × speaker hookup, ranked.

use std::cmp::Ordering;

use serde::Serialize;

use crate::matching::{Match, Verdict};
use crate::output::{Because, Output};
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::turns::TurnsRatio;
use tapwright_iron::transformer::{Choice, Degenerate, Secondary, Transformer};
use tapwright_speaker::{Hookup, LOWEST_SHARE_OF_RATED};
use tapwright_units::{Decibels, Ohms};

/// Distances this close on the logarithm of the ratio are one distance.
const SAME: f64 = 1e-9;

/// One connection and what the tube sees through it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Connection {
    /// Lead, tap or pair, and hookup.
    #[serde(flatten)]
    pub choice: Choice,
    /// Turns of the primary over turns of the secondary in use.
    pub turns_ratio: f64,
    /// Standard uncertainty of the turns ratio over it, where the ratio was measured.
    pub uncertainty: Option<f64>,
    /// Impedance of the hookup, from rated impedances.
    pub impedance: Ohms,
    /// Reflected load and the load wanted.
    #[serde(flatten)]
    pub load: Match,
    /// Reflected over target.
    pub ratio: f64,
    /// What a matched source would lose.
    pub mismatch_loss: Decibels,
    /// The verdict on the rated impedance, and on what the stage delivers into it.
    pub verdict: Verdict,
    /// What weighs on it besides the ratio.
    pub because: Option<Because>,
    /// Reflected load with every driver at the lowest impedance its rating allows.
    pub lowest_reflected: Ohms,
    /// The verdict on that.
    pub lowest_verdict: Verdict,
    /// Why this pair of taps is shown and not recommended.
    pub degenerate: Option<Degenerate>,
    /// What the output stage delivers into it, where the tube is known.
    pub output: Option<Output>,
    /// 1 for the best connection of its hookup, and so on.
    pub rank: usize,
}

impl Connection {
    /// The loads that hold what is reflected in 95 of 100 cases, where the ratio was measured:
    /// `u(Z′)/Z′ = 2 u(n)/n` (JCGM 100:2008, 5.1).
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let report = solve(&link::parse("primary=8k&taps=8&hookup=8").setup);
    /// assert_eq!(report.connections[0].range(), None);
    /// ```
    pub fn range(&self) -> Option<(Ohms, Ohms)> {
        let relative = self.uncertainty?;
        let n = 1.0;
        let (low, high) = TurnsRatio { n, relative }.range();
        let reflected = self.load.reflected.0;
        Some((Ohms(reflected * low * low), Ohms(reflected * high * high)))
    }

    /// Takes the uncertainty of a measured ratio into account.
    pub(crate) fn widen(&mut self, ratio: TurnsRatio) {
        self.uncertainty = Some(ratio.relative);
        if let Some((low, _)) = self.range() {
            let target = self.load.target;
            let lowest = Ohms(LOWEST_SHARE_OF_RATED * low.0);
            self.lowest_reflected = lowest;
            self.lowest_verdict = Match {
                reflected: lowest,
                target,
            }
            .verdict();
        }
    }

    /// The worst verdict that the uncertainty of the ratio allows.
    pub fn worst_verdict(&self) -> Verdict {
        let target = self.load.target;
        let at = |reflected: Ohms| Match { reflected, target }.verdict();
        match self.range() {
            Some((low, high)) => self.verdict.max(at(low)).max(at(high)),
            None => self.verdict,
        }
    }
}

/// Every connection of `transformer` with `hookups`, in the order lead, secondary, hookup
/// within each hookup, not ranked yet; `target` gives the load wanted on a lead, by its place.
///
/// Linear in the number of connections.
///
/// ```
/// use tapwright_core::connection;
/// use tapwright_speaker::Hookup;
/// use tapwright_iron::transformer::*;
/// use tapwright_units::Ohms;
/// let transformer = Transformer {
///     leads: read_leads("8k").unwrap(), taps: read_taps("3, 8, 15").unwrap(), line: None,
/// };
/// let hookups = [(0, &Hookup::read("8").unwrap())];
/// let all = connection::every(&transformer, &hookups, |_| Some(Ohms(8_000.0)));
/// assert_eq!(all.len(), 6);
/// assert!((all[1].load.reflected.0 - 8_000.0).abs() < 1e-6);
/// ```
pub fn every(
    transformer: &Transformer,
    hookups: &[(usize, &Hookup)],
    target: impl Fn(usize) -> Option<Ohms>,
) -> Vec<Connection> {
    let mut all = Vec::new();
    for (hookup, speakers) in hookups {
        for lead in 0..transformer.leads.len() {
            let Some(target) = target(lead) else { continue };
            all.extend(transformer.secondaries().filter_map(|secondary| {
                let choice = Choice {
                    lead,
                    secondary,
                    hookup: *hookup,
                };
                connect(transformer, choice, speakers.impedance(), target)
            }));
        }
    }
    all
}

/// Ranks the connections of each hookup, which stand together.
///
/// ```
/// use tapwright_core::connection;
/// use tapwright_speaker::Hookup;
/// use tapwright_iron::transformer::*;
/// use tapwright_units::Ohms;
/// let transformer = Transformer {
///     leads: read_leads("8k").unwrap(), taps: read_taps("3, 8").unwrap(), line: None,
/// };
/// let hookups = [(0, &Hookup::read("8").unwrap())];
/// let mut all = connection::every(&transformer, &hookups, |_| Some(Ohms(8_000.0)));
/// connection::rank(&transformer, &mut all);
/// assert_eq!(all[1].rank, 1);
/// ```
pub fn rank(transformer: &Transformer, connections: &mut [Connection]) {
    let of_one_hookup = |a: &Connection, b: &Connection| a.choice.hookup == b.choice.hookup;
    for connections in connections.chunk_by_mut(of_one_hookup) {
        rank_one(transformer, connections);
    }
}

impl Connection {
    /// Lets something besides the ratio count; the verdict never gets better by it. Of things
    /// that weigh the same, the last counts.
    pub(crate) fn worsen(&mut self, verdict: Verdict, because: Because) {
        if verdict > Verdict::Fits && verdict >= self.verdict {
            (self.verdict, self.because) = (verdict, Some(because));
        }
    }
}

/// Puts the uncertainty of measured ratios into connections, and takes out those whose ratio
/// the readings leave open.
pub(crate) fn spread(measured: &Findings, connections: &mut Vec<Connection>) {
    connections.retain_mut(|connection| {
        let choice = connection.choice;
        let ratio = measured.ratio(choice.lead, choice.secondary);
        if let Some(ratio) = ratio {
            connection.widen(ratio);
        }
        ratio.is_some()
    });
}

fn connect(
    transformer: &Transformer,
    choice: Choice,
    impedance: Ohms,
    target: Ohms,
) -> Option<Connection> {
    let turns_ratio = transformer.turns_ratio(choice.lead, choice.secondary)?;
    let load = Match {
        reflected: Ohms(turns_ratio.powi(2) * impedance.0),
        target,
    };
    let lowest = Match {
        reflected: Ohms(LOWEST_SHARE_OF_RATED * load.reflected.0),
        target,
    };
    Some(Connection {
        choice,
        turns_ratio,
        uncertainty: None,
        impedance,
        load,
        ratio: load.ratio(),
        mismatch_loss: load.mismatch_loss(),
        verdict: load.verdict(),
        because: None,
        lowest_reflected: lowest.reflected,
        lowest_verdict: lowest.verdict(),
        degenerate: transformer.degenerate(choice.secondary),
        output: None,
        rank: 0,
    })
}

impl Connection {
    /// The same with an impedance of the hookup that is known at a frequency, and the lowest
    /// at any: so no rating says how low it may be.
    pub(crate) fn with_impedance(&mut self, impedance: Ohms, lowest: Ohms) {
        let load = |ohms: Ohms| Match {
            reflected: Ohms(self.turns_ratio.powi(2) * ohms.0),
            ..self.load
        };
        let lowest = load(lowest);
        self.load = load(impedance);
        self.impedance = impedance;
        self.ratio = self.load.ratio();
        self.mismatch_loss = self.load.mismatch_loss();
        self.verdict = self.load.verdict();
        self.lowest_reflected = lowest.reflected;
        self.lowest_verdict = lowest.verdict();
    }
}

fn rank_one(transformer: &Transformer, connections: &mut [Connection]) {
    let mut order: Vec<usize> = (0..connections.len()).collect();
    order.sort_by(|a, b| better(transformer, &connections[*a], &connections[*b]));
    for (rank, at) in order.into_iter().enumerate() {
        connections[at].rank = rank + 1;
    }
}

/// Sound before degenerate; then by verdict; within one verdict a tap before a pair;
/// then by distance from the target; of equals, the one with more turns in use.
fn better(transformer: &Transformer, a: &Connection, b: &Connection) -> Ordering {
    let coarse = |c: &Connection| {
        (
            c.degenerate.is_some(),
            c.verdict,
            matches!(c.choice.secondary, Secondary::Pair(_)),
        )
    };
    let turns = |c: &Connection| transformer.turns_in_use(c.choice.lead, c.choice.secondary);
    coarse(a)
        .cmp(&coarse(b))
        .then_with(|| steps(a).cmp(&steps(b)))
        .then_with(|| turns(b).total_cmp(&turns(a)))
        .then_with(|| a.choice.cmp(&b.choice))
}

/// The distance counted in steps of [`SAME`], so that equality is an equivalence and
/// the order a total one.
fn steps(connection: &Connection) -> i64 {
    (connection.load.distance() / SAME).round() as i64
}

/// Whether two connections are equally far from the target, within rounding.
pub(crate) fn equally_far(a: &Connection, b: &Connection) -> bool {
    (a.load.distance() - b.load.distance()).abs() <= SAME
}

#[cfg(test)]
mod tests {
    use super::*;
    use tapwright_iron::transformer::{TapPair, read_leads, read_taps};

    fn best(leads: &str, taps: &str, speakers: &str, target: f64) -> (Connection, Transformer) {
        let transformer = Transformer {
            leads: read_leads(leads).expect("leads"),
            taps: read_taps(taps).expect("taps"),
            line: None,
        };
        let speakers = Hookup::read(speakers).expect("speakers");
        let mut all = every(&transformer, &[(0, &speakers)], |_| Some(Ohms(target)));
        rank(&transformer, &mut all);
        (
            *all.iter().find(|c| c.rank == 1).expect("one is best"),
            transformer,
        )
    }

    /// 8 kΩ : 15 Ω and an 8 Ω speaker reflect 4266.7 Ω. Exact arithmetic.
    #[test]
    fn reflected_load() {
        let (connection, _) = best("8k", "15", "8", 8_000.0);
        assert!((connection.turns_ratio - 23.094).abs() < 5e-4);
        assert!((connection.load.reflected.0 - 4_266.7).abs() < 0.05);
        assert!((connection.lowest_reflected.0 - 3_413.3).abs() < 0.05);
    }

    #[test]
    fn a_tap_is_preferred_to_a_nearer_pair_of_the_same_verdict() {
        // 4–16 is 4 Ω: with 3.9 Ω of speaker both are at 0.975 and the tap wins the tie.
        let (connection, _) = best("8k", "4, 8, 16", "3.9", 8_000.0);
        assert_eq!(connection.choice.secondary, Secondary::Tap(0));
        // 3–15 is 4.58 Ω, dead on; the 8 Ω tap is at 0.57 and only usable: the pair wins.
        let (connection, _) = best("8k", "3, 8, 15", "4.5836", 8_000.0);
        assert_eq!(
            connection.choice.secondary,
            Secondary::Pair(TapPair::new(0, 2).expect("pair"))
        );
    }

    #[test]
    fn of_equal_ratios_the_one_with_more_turns_comes_first() {
        // 4 k with 4 Ω and 8 k with 8 Ω are one turns ratio.
        let (connection, _) = best("4k, 8k", "4, 8", "8", 8_000.0);
        assert_eq!(
            (connection.choice.lead, connection.choice.secondary),
            (1, Secondary::Tap(1))
        );
    }

    #[test]
    fn a_degenerate_pair_is_never_first() {
        // 14–16 is 0.067 Ω and would fit a 0.5 Ω load best.
        let (connection, _) = best("8k", "14, 16", "0.5", 60_000.0);
        assert!(connection.degenerate.is_none());
    }
}
