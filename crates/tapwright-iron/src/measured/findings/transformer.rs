//! The transformer that the readings make: what the rest of the page takes for a stamped one.

use super::super::guess::Guess;
use super::super::turns::{TurnsFit, TurnsRatio};
use super::super::{Lead, Pair, names, same};
use super::{Findings, HALVES_WITHIN};
use crate::transformer::{MOST_LEADS, PrimaryLead, Secondary, Tap, Transformer};
use tapwright_tube::Topology;
use tapwright_units::Ohms;
use tapwright_units::uncertainty::Uncertain;

impl Findings {
    /// Primary leads, taps and the scale of their ratings.
    pub(super) fn make_transformer(&mut self, fit: &TurnsFit, topology: Topology) {
        let (Some((primary, _)), Some(secondary)) = (self.primary, self.secondary) else {
            return;
        };
        let (Some(whole), Some(winding)) = (self.ends(primary), self.winding(secondary)) else {
            return;
        };
        let along = winding.leads.clone();
        let part = |pair: Pair| fit.ratio(pair, whole).map(|ratio| ratio.n);
        self.centre_tap = self.middle(primary, &part);
        let leads: Vec<(Pair, f64)> = (self.primary_pairs(primary, topology).into_iter())
            .filter_map(|pair| Some((pair, part(pair)?)))
            .collect();
        let taps_from = |common: Lead| -> Vec<(Lead, f64)> {
            let others = along.iter().filter(|lead| **lead != common);
            let mut taps: Vec<(Lead, f64)> = others
                .filter_map(|lead| Some((*lead, part((common, *lead))?)))
                .collect();
            taps.sort_by(|a, b| a.1.total_cmp(&b.1));
            // Of two that no reading tells apart only one can be used.
            let mut apart: Vec<(Lead, f64)> = Vec::new();
            for tap in taps {
                if apart.iter().all(|other| part((other.0, tap.0)).is_some()) {
                    apart.push(tap);
                }
            }
            apart.truncate(MOST_LEADS);
            apart
        };
        let turns: Vec<f64> = leads.iter().map(|(_, turns)| *turns).collect();
        let guessed = |common: Lead| {
            let taps = taps_from(common);
            let turns_of_taps: Vec<f64> = taps.iter().map(|(_, turns)| *turns).collect();
            Some((common, taps, Guess::from_turns(&turns, &turns_of_taps)?))
        };
        let candidates = match (self.common, along.first().zip(along.last())) {
            (Some(common), _) => vec![common],
            (None, Some((first, last))) => vec![*first, *last],
            (None, None) => Vec::new(),
        };
        // Either end may be the common lead; the one that makes the more usual ratings is.
        let best = (candidates.into_iter().filter_map(guessed))
            .reduce(|a, b| if b.2.within < 0.99 * a.2.within { b } else { a });
        let Some((common, taps, guess)) = best else {
            return;
        };
        self.common = Some(common);
        self.lead_pairs = leads.into_iter().map(|(pair, _)| pair).collect();
        let turns_of_taps = taps.iter().map(|(_, turns)| *turns).collect();
        self.tap_leads = taps.into_iter().map(|(lead, _)| lead).collect();
        self.parts = (turns, turns_of_taps);
        self.guess = Some(guess);
        self.compare(fit);
    }

    /// The tap in the middle of the primary: by its turns, or by resistance while those are
    /// not known.
    fn middle(&self, primary: usize, part: &dyn Fn(Pair) -> Option<f64>) -> Option<Lead> {
        let winding = self.winding(primary)?;
        let (first, last) = self.ends(primary)?;
        let inner = winding.leads.get(1..winding.leads.len() - 1)?;
        let unlike = |lead: Lead| match part((first, lead)).zip(part((lead, last))) {
            Some((a, b)) => ((a - b) / (a + b)).abs() / HALVES_WITHIN,
            None => match winding.centre_tap {
                Some(tap) if tap.lead == lead => 1.0,
                _ => f64::INFINITY,
            },
        };
        let best = inner
            .iter()
            .min_by(|a, b| unlike(**a).total_cmp(&unlike(**b)))?;
        (unlike(*best) <= 1.0).then_some(*best)
    }

    /// Which pairs of its leads may be used as a primary: in push-pull those that lie evenly
    /// about the centre tap, otherwise those that start at an end.
    fn primary_pairs(&self, primary: usize, topology: Topology) -> Vec<Pair> {
        let Some((winding, (first, last))) = self.winding(primary).zip(self.ends(primary)) else {
            return Vec::new();
        };
        let leads = &winding.leads;
        if topology == Topology::PushPull {
            let middle = self
                .centre_tap
                .and_then(|tap| leads.iter().position(|l| *l == tap));
            let Some(middle) = middle.filter(|at| 2 * at + 1 == leads.len()) else {
                return vec![(first, last)];
            };
            let pairs = leads[..middle].iter().zip(leads[middle + 1..].iter().rev());
            return pairs.map(|(a, b)| (*a, *b)).collect();
        }
        let mut pairs = vec![(first, last)];
        for inner in leads[1..leads.len() - 1].iter().rev() {
            pairs.push((first, *inner));
        }
        for inner in &leads[1..leads.len() - 1] {
            pairs.push((*inner, last));
        }
        pairs.truncate(MOST_LEADS);
        pairs
    }

    /// The ratio of each primary lead to each tap and tap pair.
    fn compare(&mut self, fit: &TurnsFit) {
        let Some((leads, taps)) = self.transformer() else {
            return;
        };
        let transformer = Transformer {
            leads,
            taps,
            line: None,
        };
        for (lead, over) in self.lead_pairs.iter().enumerate() {
            for secondary in transformer.secondaries() {
                let under = self.secondary_pair(secondary);
                if let Some(ratio) = under.and_then(|under| fit.ratio(*over, under)) {
                    self.ratios.push((lead, secondary, ratio));
                }
            }
        }
    }

    /// The leads and taps as the rest of the page knows them: the turns as measured, in a
    /// scale of impedance that is a guess.
    pub fn transformer(&self) -> Option<(Vec<PrimaryLead>, Vec<Tap>)> {
        let guess = self.guess.as_ref()?;
        let whole = self.parts.1.iter().copied().fold(0.0, f64::max);
        let rated = |turns: &f64| Ohms(guess.whole.0 * (turns / whole).powi(2));
        let leads = self.lead_pairs.iter().zip(&self.parts.0);
        let taps = self.tap_leads.iter().zip(&self.parts.1);
        Some((
            leads
                .map(|(pair, turns)| PrimaryLead {
                    name: names::pair_name(&self.leads, *pair),
                    rated: rated(turns),
                    power_tap: None,
                    guessed: true,
                })
                .collect(),
            taps.map(|(lead, turns)| Tap {
                name: names::lead_name(&self.leads, *lead).to_owned(),
                rated: rated(turns),
                guessed: true,
            })
            .collect(),
        ))
    }

    /// The two leads that a tap or a tap pair of the transformer is.
    pub fn secondary_pair(&self, secondary: Secondary) -> Option<Pair> {
        let lead = |at: usize| self.tap_leads.get(at).copied();
        Some(match secondary {
            Secondary::Tap(at) => (self.common?, lead(at)?),
            Secondary::Pair(pair) => (lead(pair.taps().0)?, lead(pair.taps().1)?),
        })
    }

    /// The turns ratio of a primary lead to a tap or tap pair, with its uncertainty.
    pub fn ratio(&self, lead: usize, secondary: Secondary) -> Option<TurnsRatio> {
        let mut all = self.ratios.iter();
        all.find(|(l, s, _)| (*l, *s) == (lead, secondary))
            .map(|(.., ratio)| *ratio)
    }

    /// Turns of a primary lead and of a tap or tap pair, over those of the whole primary.
    pub fn parts_of(&self, lead: usize, secondary: Secondary) -> Option<(f64, f64)> {
        let tap = |at: usize| self.parts.1.get(at).copied();
        let under = match secondary {
            Secondary::Tap(at) => tap(at)?,
            Secondary::Pair(pair) => (tap(pair.taps().0)? - tap(pair.taps().1)?).abs(),
        };
        Some((*self.parts.0.get(lead)?, under))
    }

    /// Leads of the primary that this primary lead leaves unused, by name, with how many times
    /// the swing between its two ends they may carry against one of these.
    pub fn unused(&self, lead: usize) -> Vec<(String, f64)> {
        let used = self.lead_pairs.get(lead).copied();
        let winding = self.primary.and_then(|(at, _)| self.winding(at));
        let (Some((a, b)), Some(winding)) = (used, winding) else {
            return Vec::new();
        };
        // The centre tap of a push-pull primary is where B+ goes.
        let middle = self.centre_tap.filter(|_| self.push_pull);
        let others = winding
            .leads
            .iter()
            .filter(|other| **other != a && **other != b && Some(**other) != middle);
        let swing = |other: Lead| {
            let from = |end: Lead| {
                self.found
                    .resistance((end, other))
                    .map_or(0.0, |ohms| ohms.value)
            };
            let whole = (self.found)
                .resistance((a, b))
                .map_or(f64::INFINITY, |ohms| ohms.value);
            from(a).max(from(b)) / whole
        };
        let name = |lead: Lead| names::lead_name(&self.leads, lead).to_owned();
        others.map(|other| (name(*other), swing(*other))).collect()
    }

    /// Windings that are neither the primary nor the secondary, by their two ends, with how
    /// many times the swing of this primary lead stands across each, where that is known.
    pub fn unused_windings(&self, lead: usize) -> Vec<(String, Option<f64>)> {
        let primary = self.primary.map(|(at, _)| at);
        let others = (0..self.found.windings.len())
            .filter(|at| Some(*at) != primary && Some(*at) != self.secondary);
        let ends = others.filter_map(|at| Some((at, self.ends(at)?)));
        ends.map(|(at, ends)| {
            let turns = (self.turns.iter())
                .filter(|turns| turns.winding == at)
                .filter_map(|turns| Some(turns.part?.n));
            let most = turns.reduce(f64::max);
            let used = self.parts.0.get(lead);
            (
                names::pair_name(&self.leads, ends),
                most.zip(used).map(|(most, used)| most / used),
            )
        })
        .collect()
    }

    /// The two readings of one test that this ratio is made of, when it is made of no others:
    /// across the primary lead and across the tap.
    pub fn direct(&self, lead: usize, secondary: Secondary) -> Option<(Uncertain, Uncertain)> {
        let (over, under) = (*self.lead_pairs.get(lead)?, self.secondary_pair(secondary)?);
        let plain = || {
            self.voltages
                .iter()
                .filter(|voltage| voltage.joined.is_none())
        };
        let mut at = plain().filter(|voltage| same(voltage.pair, over));
        let above = at.next()?;
        let mut below = plain().filter(|v| same(v.pair, under) && v.test == above.test);
        let direct = (above.volts, below.next()?.volts);
        (self.spare == 0 && at.next().is_none()).then_some(direct)
    }
}
