//! The transformer that the readings make, in place of a stamped one.

use serde::Serialize;

use crate::measured::guess::Guess;
use crate::measured::names;
use crate::measured::turns::{TurnsFit, TurnsRatio, Voltage};
use crate::measured::windings::{Found, Winding};
use crate::measured::{Lead, Pair, same};
use crate::transformer::{MOST_LEADS, PrimaryLead, Secondary, Tap};
use tapwright_tube::Topology;
use tapwright_units::Ohms;
use tapwright_units::uncertainty::Uncertain;

/// Turns that were measured, with a guess of the ratings that go with them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeasuredTransformer {
    /// The common lead of the secondary.
    pub common: Lead,
    /// The ways to use the primary.
    pub leads: Vec<MeasuredLead>,
    /// The taps of the secondary, the one with the fewest turns first.
    pub taps: Vec<MeasuredTap>,
    /// What it probably is.
    pub guess: Guess,
    /// The turns ratio of each primary lead to each tap and tap pair.
    #[serde(skip)]
    ratios: Vec<MeasuredRatio>,
}

/// Two leads that may be used as the primary.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeasuredLead {
    /// The two leads.
    pub pair: Pair,
    /// Turns divided by those of the whole primary.
    pub turns: f64,
    /// Leads of the primary that are not used then.
    pub unused: Vec<UnusedLead>,
}

/// A lead of the primary that is not used.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct UnusedLead {
    /// The lead.
    pub lead: Lead,
    /// The largest swing between this lead and one of the used ones, divided by the swing
    /// between those two. It follows from resistances; zero when they are not known.
    pub swing: f64,
}

/// A tap of the secondary.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeasuredTap {
    /// The lead.
    pub lead: Lead,
    /// Turns from the common lead, divided by those of the whole primary.
    pub turns: f64,
}

/// A turns ratio as measured.
#[derive(Debug, Clone, PartialEq)]
struct MeasuredRatio {
    lead: usize,
    secondary: Secondary,
    /// `None` when it is too uncertain.
    ratio: Option<TurnsRatio>,
    /// The two readings that the ratio is made of, if it is made of no others.
    readings: Option<(Uncertain, Uncertain)>,
}

/// What a transformer is made from: the windings and the turns that fit the voltages best.
pub(super) struct Source<'a> {
    pub found: &'a Found,
    pub fit: &'a TurnsFit,
    pub voltages: &'a [Voltage],
    pub topology: Topology,
    /// The primary, by its place, and its two ends.
    pub primary: usize,
    pub whole: Pair,
}

impl Source<'_> {
    /// Turns between two leads of one winding, divided by those of the whole primary.
    fn part(&self, pair: Pair) -> Option<f64> {
        self.fit.ratio(pair, self.whole).map(|ratio| ratio.n)
    }

    fn primary_leads(&self) -> &[Lead] {
        let winding = self.found.windings.get(self.primary);
        winding.map_or(&[], |winding| &winding.leads)
    }

    /// The pairs of leads that may be used as the primary. In push-pull those are symmetrical
    /// about the centre tap; otherwise they start at an end.
    fn primary_pairs(&self, centre_tap: Option<Lead>) -> Vec<Pair> {
        let leads = self.primary_leads();
        let (first, last) = self.whole;
        if self.topology == Topology::PushPull {
            let middle = centre_tap.and_then(|tap| leads.iter().position(|lead| *lead == tap));
            let Some(middle) = middle.filter(|at| 2 * at + 1 == leads.len()) else {
                return vec![self.whole];
            };
            let pairs = leads[..middle].iter().zip(leads[middle + 1..].iter().rev());
            return pairs.map(|(a, b)| (*a, *b)).collect();
        }
        let inner = leads.get(1..leads.len() - 1).unwrap_or_default();
        let mut pairs = vec![self.whole];
        pairs.extend(inner.iter().rev().map(|lead| (first, *lead)));
        pairs.extend(inner.iter().map(|lead| (*lead, last)));
        pairs.truncate(MOST_LEADS);
        pairs
    }

    /// The leads of the primary that a pair leaves unused. In push-pull B+ goes to the centre
    /// tap.
    fn unused(&self, pair: Pair, centre_tap: Option<Lead>) -> Vec<UnusedLead> {
        let b_plus = centre_tap.filter(|_| self.topology == Topology::PushPull);
        let ohms = |pair: Pair| self.found.resistance(pair).map(|ohms| ohms.value);
        let whole = ohms(pair).unwrap_or(f64::INFINITY);
        let from = |end: Lead, lead: Lead| ohms((end, lead)).unwrap_or(0.0);
        (self.primary_leads().iter().copied())
            .filter(|lead| *lead != pair.0 && *lead != pair.1 && Some(*lead) != b_plus)
            .map(|lead| UnusedLead {
                lead,
                swing: from(pair.0, lead).max(from(pair.1, lead)) / whole,
            })
            .collect()
    }

    /// The taps of a secondary with these leads, counted from `common`. Of taps whose
    /// difference no reading tells only one can be used.
    fn taps(&self, leads: &[Lead], common: Lead) -> Vec<MeasuredTap> {
        let mut all: Vec<MeasuredTap> = (leads.iter().copied())
            .filter(|lead| *lead != common)
            .filter_map(|lead| {
                let turns = self.part((common, lead))?;
                Some(MeasuredTap { lead, turns })
            })
            .collect();
        all.sort_by(|a, b| a.turns.total_cmp(&b.turns));
        let mut apart: Vec<MeasuredTap> = Vec::new();
        for tap in all {
            // Two taps whose order is open are two taps all the same.
            let differs = |other: &MeasuredTap| {
                let apart = self.fit.likeliest_ratio((other.lead, tap.lead), self.whole);
                apart.is_some()
            };
            if apart.iter().all(differs) {
                apart.push(tap);
            }
        }
        apart.truncate(MOST_LEADS);
        apart
    }

    /// The two readings of one test across these pairs, when the fit has no others to compare
    /// them with.
    fn direct(&self, over: Pair, under: Pair) -> Option<(Uncertain, Uncertain)> {
        let plain = || self.voltages.iter().filter(|v| v.joined.is_none());
        let mut across = plain().filter(|voltage| same(voltage.pair, over));
        let above = across.next()?;
        let mut below = plain().filter(|v| same(v.pair, under) && v.test == above.test);
        let direct = (above.volts, below.next()?.volts);
        (self.fit.spare == 0 && across.next().is_none()).then_some(direct)
    }
}

impl MeasuredTransformer {
    /// The transformer whose secondary is the winding with these leads; `common` is its common
    /// lead, if the person says which it is. `None` as long as too little is read.
    pub(super) fn new(
        source: &Source,
        secondary: &Winding,
        common: Option<Lead>,
        centre_tap: Option<Lead>,
    ) -> Option<Self> {
        let leads: Vec<MeasuredLead> = (source.primary_pairs(centre_tap).into_iter())
            .filter_map(|pair| {
                Some(MeasuredLead {
                    pair,
                    turns: source.part(pair)?,
                    unused: source.unused(pair, centre_tap),
                })
            })
            .collect();
        let turns: Vec<f64> = leads.iter().map(|lead| lead.turns).collect();
        let guessed = |common: Lead| {
            let taps = source.taps(&secondary.leads, common);
            let turns_of_taps: Vec<f64> = taps.iter().map(|tap| tap.turns).collect();
            Some((common, taps, Guess::from_turns(&turns, &turns_of_taps)?))
        };
        let mut ends: Vec<Lead> = Vec::new();
        for order in &secondary.orders {
            let both = [order.leads.first(), order.leads.last()];
            let new = both.into_iter().flatten().filter(|end| !ends.contains(end));
            ends.extend(new.copied().collect::<Vec<_>>());
        }
        let candidates = common.map_or(ends, |lead| vec![lead]);
        // Either end may be the common lead. It is the one from which more taps are known, or that
        // makes the more usual ratings.
        let (common, taps, guess) =
            (candidates.into_iter().filter_map(guessed)).reduce(|a, b| {
                let is_more_usual = a.1.len() == b.1.len() && b.2.within < 0.99 * a.2.within;
                if b.1.len() > a.1.len() || is_more_usual {
                    b
                } else {
                    a
                }
            })?;
        let mut ratios = Vec::new();
        for (place, lead) in leads.iter().enumerate() {
            for secondary in Secondary::all(taps.len()) {
                let under = secondary_pair(common, &taps, secondary)?;
                ratios.push(MeasuredRatio {
                    lead: place,
                    secondary,
                    ratio: source.fit.ratio(lead.pair, under),
                    readings: source.direct(lead.pair, under),
                });
            }
        }
        Some(Self {
            common,
            leads,
            taps,
            guess,
            ratios,
        })
    }

    /// Leads and taps like those of a stamped transformer, with ratings that follow the turns.
    /// Their scale is the guess.
    pub(super) fn ratings(&self, names: &[String]) -> (Vec<PrimaryLead>, Vec<Tap>) {
        let whole = self.taps.iter().map(|tap| tap.turns).fold(0.0, f64::max);
        let rated = |turns: f64| Ohms(self.guess.whole.0 * (turns / whole).powi(2));
        let leads = self.leads.iter().map(|lead| PrimaryLead {
            name: names::pair_name(names, lead.pair),
            rated: rated(lead.turns),
            power_tap: None,
            guessed: true,
        });
        let taps = self.taps.iter().map(|tap| Tap {
            name: names::lead_name(names, tap.lead).to_owned(),
            rated: rated(tap.turns),
            guessed: true,
        });
        (leads.collect(), taps.collect())
    }

    /// The two leads of a tap or a tap pair.
    pub fn secondary_pair(&self, secondary: Secondary) -> Option<Pair> {
        secondary_pair(self.common, &self.taps, secondary)
    }

    fn measured(&self, lead: usize, secondary: Secondary) -> Option<&MeasuredRatio> {
        let is_it = |one: &&MeasuredRatio| (one.lead, one.secondary) == (lead, secondary);
        self.ratios.iter().find(is_it)
    }

    /// The turns ratio of a primary lead to a tap or tap pair.
    pub fn ratio(&self, lead: usize, secondary: Secondary) -> Option<TurnsRatio> {
        self.measured(lead, secondary)?.ratio
    }

    /// The two readings of one test that a turns ratio is made of, across the primary lead and
    /// across the tap. `None` when it is made of more readings.
    pub fn readings(&self, lead: usize, secondary: Secondary) -> Option<(Uncertain, Uncertain)> {
        self.measured(lead, secondary)?.readings
    }

    /// Turns of a primary lead and of a tap or tap pair, divided by those of the whole primary.
    pub fn turns(&self, lead: usize, secondary: Secondary) -> Option<(f64, f64)> {
        let tap = |at: usize| Some(self.taps.get(at)?.turns);
        let under = match secondary {
            Secondary::Tap(at) => tap(at)?,
            Secondary::Pair(pair) => (tap(pair.taps().0)? - tap(pair.taps().1)?).abs(),
        };
        Some((self.leads.get(lead)?.turns, under))
    }
}

fn secondary_pair(common: Lead, taps: &[MeasuredTap], secondary: Secondary) -> Option<Pair> {
    let lead = |at: usize| Some(taps.get(at)?.lead);
    Some(match secondary {
        Secondary::Tap(at) => (common, lead(at)?),
        Secondary::Pair(pair) => (lead(pair.taps().0)?, lead(pair.taps().1)?),
    })
}
