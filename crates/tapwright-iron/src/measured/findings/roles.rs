//! Which winding is the primary, which the secondary, and which one to feed.

use serde::Serialize;

use crate::measured::danger::{GUESS_WITHIN, SURELY_FEWER, step_up_within};
use crate::measured::readings::Readings;
use crate::measured::turns::TurnsFit;
use crate::measured::windings::Found;
use crate::measured::{Lead, Pair};

/// A winding with this many times the resistance of any other is the primary beyond
/// reasonable doubt. Common practice, no source.
const SURELY: f64 = 3.0;

/// A winding has the most turns for certain when it has this many times those of any other.
/// Own estimate.
const CLEARLY_MORE: f64 = 1.5;

/// What tells which winding is the primary.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Evidence {
    /// The person says so.
    Typed,
    /// It has this many times the turns of any other winding that was read.
    Turns(f64),
    /// It has this many times the resistance of any other winding.
    Resistance(f64),
}

/// The primary.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Primary {
    /// Its place among the windings.
    pub winding: usize,
    /// What tells that it is the primary.
    pub evidence: Evidence,
}

/// The pair of leads to feed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Feed {
    /// The ends of the winding with the most turns, or with the most ohms while the turns are
    /// not known. What the person says of the primary does not count here.
    pub pair: Pair,
    /// The most that any two other leads get, divided by what is fed: 1 where everything else
    /// stays lower, more while the ends of the winding are not known. `None` where nobody knows.
    pub most: Option<f64>,
}

/// What each winding is.
#[derive(Debug, Default)]
pub(super) struct Roles {
    pub primary: Option<Primary>,
    pub secondary: Option<usize>,
    /// The common lead of the secondary, if the person says which it is.
    pub common: Option<Lead>,
    /// Ohms of another winding divided by those of the primary that the person named, where
    /// that speaks against the person.
    pub outweighed: Option<f64>,
}

/// The winding that is probably the primary.
pub(super) fn likely_primary(found: &Found, fit: Option<&TurnsFit>) -> Option<Primary> {
    let by_turns = fit.and_then(|fit| most_turns(found, fit));
    by_turns.or_else(|| {
        Some(Primary {
            winding: 0,
            evidence: Evidence::Resistance(found.primary_times?),
        })
    })
}

impl Roles {
    pub fn new(readings: &Readings, found: &Found, likely: Option<Primary>) -> Self {
        let typed = readings.primary_is.and_then(|lead| found.winding_of(lead));
        let typed = typed.filter(|at| found.winding(*at).is_some());
        let typed = typed.map(|winding| Primary {
            winding,
            evidence: Evidence::Typed,
        });
        let Some(primary) = typed.or(likely) else {
            return Self::default();
        };
        let is_other = |at: &usize| *at != primary.winding && found.winding(*at).is_some();
        let with_common = readings.common.and_then(|lead| found.winding_of(lead));
        let with_most_leads = (0..found.windings.len())
            .filter(is_other)
            .max_by_key(|at| (found.windings[*at].leads.len(), *at));
        let secondary = with_common.filter(is_other).or(with_most_leads);
        let is_on_secondary = |lead: &Lead| {
            let winding = secondary.and_then(|at| found.winding(at));
            winding.is_some_and(|winding| winding.leads.contains(lead))
        };
        Self {
            primary: Some(primary),
            secondary,
            common: readings.common.filter(is_on_secondary),
            outweighed: typed
                .and_then(|typed| found.times_the_ohms(0, typed.winding))
                .filter(|times| *times > SURELY),
        }
    }

    /// Whether another winding may be the primary.
    pub fn is_unsure(&self) -> bool {
        let evidence = self.primary.map(|primary| primary.evidence);
        self.outweighed.is_some()
            || matches!(evidence, Some(Evidence::Resistance(times)) if times < SURELY)
    }
}

impl Feed {
    /// The likely primary, or a winding that has more turns.
    pub(super) fn new(
        found: &Found,
        fit: Option<&TurnsFit>,
        likely: Primary,
        contradicted: bool,
    ) -> Option<Self> {
        let turns = |over: usize, under: usize| {
            fit.and_then(|fit| fit.ratio(found.ends(over)?, found.ends(under)?))
        };
        let mut most = likely.winding;
        for at in 0..found.windings.len() {
            if !has_fewer_turns(found, at) && turns(at, most).is_some_and(|ratio| ratio.n > 1.0) {
                most = at;
            }
        }
        let is_lower = |at: usize| {
            let ohms = found.times_the_ohms(most, at);
            // Turns guessed from ohms may be wrong by so much on both windings.
            let off = GUESS_WITHIN.powi(2);
            match turns(most, at) {
                Some(ratio) => {
                    ratio.range().0 > CLEARLY_MORE && ohms.is_none_or(|times| times * off >= 1.0)
                }
                None => ohms.is_some_and(|times| times >= off),
            }
        };
        let mut windings = found.windings.iter().enumerate();
        let others_are_lower = !contradicted
            && fit.is_none_or(|fit| fit.suspects.is_empty())
            && windings.all(|(at, winding)| winding.closed && (at == most || is_lower(at)));
        let (pair, step_up) = safest(found, most)?;
        Some(Self {
            pair,
            most: step_up.filter(|_| others_are_lower),
        })
    }

    /// Whether every other winding, and every part of this one, certainly has a lower voltage.
    pub fn stays_lower(self) -> bool {
        self.most.is_some_and(|most| most <= 1.0)
    }
}

/// The pair of leads of a winding that steps the rest of it up least, whatever its order is, and by
/// how much; the ends, where they are known.
fn safest(found: &Found, at: usize) -> Option<(Pair, Option<f64>)> {
    let (winding, ends) = (found.winding(at)?, found.ends(at)?);
    if winding.leads.len() == 2 || winding.ends_known {
        return Some((ends, Some(1.0)));
    }
    let pairs = winding.leads.iter().enumerate().flat_map(|(place, a)| {
        let rest = winding.leads[place + 1..].iter();
        rest.map(move |b| (*a, *b))
    });
    let step_ups = pairs.filter_map(|pair| Some((pair, step_up_within(winding, pair)?)));
    let least = step_ups.min_by(|a, b| a.1.total_cmp(&b.1));
    Some(least.map_or((ends, None), |(pair, step_up)| (pair, Some(step_up))))
}

/// Whether a winding has so few ohms beside another that it cannot have more turns.
fn has_fewer_turns(found: &Found, at: usize) -> bool {
    found
        .times_the_ohms(0, at)
        .is_some_and(|times| times >= SURELY_FEWER)
}

/// The winding with the most turns of those that were compared, if it clearly has more than
/// the others.
fn most_turns(found: &Found, fit: &TurnsFit) -> Option<Primary> {
    let all = || (0..found.windings.len()).filter_map(|at| Some((at, found.ends(at)?)));
    let mut able = all().filter(|(at, _)| !has_fewer_turns(found, *at));
    able.find_map(|(winding, ends)| {
        let others = all().filter(|(other, _)| *other != winding);
        let times = others.map(|(_, other)| fit.ratio(ends, other).map(|ratio| ratio.n));
        let least = times
            .collect::<Option<Vec<f64>>>()?
            .into_iter()
            .reduce(f64::min)?;
        (least > CLEARLY_MORE).then_some(Primary {
            winding,
            evidence: Evidence::Turns(least),
        })
    })
}
