//! Everything that the readings of one transformer tell, and the transformer that they make.

use super::danger::{self, Danger};
use super::guess::Guess;
use super::line::Distance;
use super::meter::Measured;
use super::ratios::{self, Fit, Phase, Ratio, Voltage};
use super::windings::{self, Found, Resistance, Winding};
use super::{Lead, Pair, same};
use crate::setup::Topology;
use crate::transformer::Secondary;
use crate::units::Volts;

mod facts;
mod iron;

pub use facts::Fact;

/// What a test is taken to be fed with before that is typed: a heater winding's 6.3 V.
pub const USUAL_SOURCE: Volts = Volts(6.3);

/// Halves of a winding with turns that differ by no more than this part of the whole are
/// halves. Common practice, no source.
const HALVES_WITHIN: f64 = 0.05;

/// A winding with this many times the resistance of any other is the primary beyond
/// reasonable doubt. Common practice, no source.
const SURELY: f64 = 3.0;

/// A reading of the voltmeter and where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// Its row, counted from 0.
    pub row: usize,
    /// Whether it is what was fed, and not what was read.
    pub fed: bool,
    /// The reading.
    pub voltage: Voltage,
}

/// A test: leads that are fed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Test {
    /// The row that it starts with, counted from 0.
    pub row: usize,
    /// The leads that are fed.
    pub fed: Pair,
    /// What they are fed with; `None` until it is typed.
    pub volts: Option<Volts>,
}

/// The readings, as far as they make sense one by one.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Readings {
    /// Names of all leads.
    pub leads: Vec<String>,
    /// Of the ohmmeter.
    pub ohms: Vec<Resistance>,
    /// Of the voltmeter.
    pub volts: Vec<Shown>,
    /// Tests with a known feed.
    pub tests: Vec<Test>,
    /// A lead of the primary, when the person says which winding it is.
    pub primary_is: Option<Lead>,
    /// The common lead of the secondary, when the person says.
    pub common: Option<Lead>,
    /// Whether readings had to be left out because they contradict others.
    pub contradicted: bool,
    /// The windings by [`Self::ohms`] alone, where they were looked for already.
    pub found: Option<Found>,
}

/// How it is known which winding is the primary.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Because {
    /// The person says so.
    Typed,
    /// It has this many times the turns of any other that was read.
    Turns(f64),
    /// It has this many times the resistance of any other.
    Resistance(f64),
}

/// Turns from the first lead of its winding to a lead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turns {
    /// The lead.
    pub lead: Lead,
    /// Its winding.
    pub winding: usize,
    /// Turns over those of the whole primary; `None` as long as no reading tells.
    pub part: Option<Ratio>,
}

/// How well one reading of the voltmeter agrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// The reading.
    pub shown: Shown,
    /// What it should have been, V.
    pub expected: f64,
    /// How far it is off, in standard uncertainties; zero where nothing could contradict it.
    pub standardised: f64,
    /// Whether it does not belong: it, or one of those that are suspected with it.
    pub suspected: bool,
}

/// A test that puts hazardous voltage on leads.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// The test.
    pub test: Test,
    /// The windings that it makes live, the highest voltage first.
    pub live: Vec<Danger>,
}

/// Everything that the readings tell. Leads are places in [`Self::leads`].
#[derive(Debug, Clone, PartialEq)]
pub struct Findings {
    /// Names of all leads.
    pub leads: Vec<String>,
    /// The windings.
    pub found: Found,
    /// Whether readings were left out because they contradict others.
    pub contradicted: bool,
    /// The primary, by its place among the windings, and why.
    pub primary: Option<(usize, Because)>,
    /// The secondary.
    pub secondary: Option<usize>,
    /// The centre tap of the primary.
    pub centre_tap: Option<Lead>,
    /// The common lead of the secondary.
    pub common: Option<Lead>,
    /// Turns of every lead that is on a winding with another.
    pub turns: Vec<Turns>,
    /// How well the readings of the voltmeter agree.
    pub agreements: Vec<Agreement>,
    /// How many of them there are more than it takes.
    pub spare: usize,
    /// Whether the order of all leads is beyond doubt.
    pub order_known: bool,
    /// Which ends of windings are alike.
    pub phases: Vec<Phase>,
    /// Tests that are dangerous.
    pub hazards: Vec<Hazard>,
    /// The pair that is fed with the least danger: the whole primary.
    pub feed: Option<Pair>,
    /// Pairs still to be read with that fed, the most useful first.
    pub wanted: Vec<Pair>,
    /// What it probably is.
    pub guess: Option<Guess>,
    /// The two leads of each primary lead of the transformer, in its order.
    pub lead_pairs: Vec<Pair>,
    /// The lead of each tap of the transformer, in its order.
    pub tap_leads: Vec<Lead>,
    push_pull: bool,
    /// Turns of each primary lead, and of each tap, over those of the whole primary.
    parts: (Vec<f64>, Vec<f64>),
    voltages: Vec<Voltage>,
    /// Turns ratio of each primary lead to each tap and tap pair.
    ratios: Vec<(usize, Secondary, Ratio)>,
}

impl Findings {
    /// Makes out what the readings tell, for a stage of this kind.
    pub fn of(readings: &Readings, topology: Topology) -> Self {
        let leads = readings.leads.len();
        let voltages: Vec<Voltage> = readings.volts.iter().map(|shown| shown.voltage).collect();
        let sessions = sessions(&voltages);
        let found = match &readings.found {
            Some(found) if sessions.is_empty() => found.clone(),
            _ => windings::find(leads, &readings.ohms, &sessions),
        };
        let fit = ratios::fit(&found.windings, &voltages);
        let mut findings = Self {
            leads: readings.leads.clone(),
            contradicted: readings.contradicted || !found.contradictions.is_empty(),
            primary: None,
            secondary: None,
            centre_tap: None,
            common: None,
            turns: Vec::new(),
            agreements: Vec::new(),
            spare: 0,
            order_known: found
                .windings
                .iter()
                .all(|w| w.leads.len() < 3 || w.order_known),
            phases: Vec::new(),
            hazards: Vec::new(),
            feed: None,
            wanted: Vec::new(),
            guess: None,
            lead_pairs: Vec::new(),
            tap_leads: Vec::new(),
            push_pull: topology == Topology::PushPull,
            parts: (Vec::new(), Vec::new()),
            voltages,
            ratios: Vec::new(),
            found,
        };
        if let Some(fit) = &fit {
            findings.reorder(fit);
        }
        findings.choose(readings, fit.as_ref());
        if let Some(fit) = &fit {
            findings.agree(readings, fit);
            findings.make_transformer(fit, topology);
        }
        findings.list_turns(fit.as_ref());
        findings.beware(readings, fit.as_ref());
        findings
    }

    fn winding(&self, at: usize) -> Option<&Winding> {
        self.found
            .windings
            .get(at)
            .filter(|winding| winding.leads.len() > 1)
    }

    fn ends(&self, at: usize) -> Option<Pair> {
        let leads = &self.winding(at)?.leads;
        Some((*leads.first()?, *leads.last()?))
    }

    /// Chooses the primary and the secondary.
    fn choose(&mut self, readings: &Readings, fit: Option<&Fit>) {
        let typed = readings
            .primary_is
            .and_then(|lead| self.found.winding_of(lead));
        self.primary = typed
            .filter(|at| self.winding(*at).is_some())
            .map(|at| (at, Because::Typed))
            .or_else(|| self.most_turns(fit?))
            .or_else(|| Some((0, Because::Resistance(self.found.primary_times?))));
        let Some((primary, _)) = self.primary else {
            return;
        };
        self.feed = self.ends(primary);
        let typed = readings.common.and_then(|lead| self.found.winding_of(lead));
        let others = (0..self.found.windings.len()).filter(|at| *at != primary);
        let best = others
            .filter_map(|at| Some((at, self.winding(at)?)))
            .max_by_key(|(at, winding)| (winding.leads.len(), *at));
        self.secondary = typed
            .filter(|at| *at != primary && self.winding(*at).is_some())
            .or(best.map(|(at, _)| at));
        let secondary = self.secondary.and_then(|at| self.winding(at));
        self.common = readings
            .common
            .filter(|lead| secondary.is_some_and(|winding| winding.leads.contains(lead)));
    }

    /// The winding with the most turns, of those that were compared, if it is clearly that.
    fn most_turns(&self, fit: &Fit) -> Option<(usize, Because)> {
        let all = || (0..self.found.windings.len()).filter_map(|at| Some((at, self.ends(at)?)));
        all().find_map(|(at, ends)| {
            let others = all().filter(|(other, _)| *other != at);
            let times = others.map(|(_, other)| fit.ratio(ends, other).map(|ratio| ratio.n));
            let least = times
                .collect::<Option<Vec<f64>>>()?
                .into_iter()
                .reduce(f64::min)?;
            (least > 1.5).then_some((at, Because::Turns(least)))
        })
    }

    /// Takes the order that the voltages insist on against the resistances; those then say
    /// nothing about its sections.
    fn reorder(&mut self, fit: &Fit) {
        for (winding, order) in self.found.windings.iter_mut().zip(fit.orders()) {
            if winding.leads != *order {
                winding.leads.clone_from(order);
                winding.order_known = false;
                winding.sections.clear();
                winding.centre_tap = None;
            }
        }
    }

    fn agree(&mut self, readings: &Readings, fit: &Fit) {
        let all = readings.volts.iter().zip(&fit.residuals).enumerate();
        self.agreements = all
            .filter_map(|(place, (shown, residual))| {
                let residual = (*residual)?;
                Some(Agreement {
                    shown: *shown,
                    expected: residual.expected,
                    standardised: residual.standardised,
                    suspected: fit.suspects.contains(&place),
                })
            })
            .collect();
        self.spare = fit.spare;
        self.phases.clone_from(&fit.phases);
        self.order_known &= fit.order_known;
    }

    fn list_turns(&mut self, fit: Option<&Fit>) {
        let Some(whole) = self.feed else { return };
        for (at, winding) in self.found.windings.iter().enumerate() {
            let mut leads = winding.leads.clone();
            // The common lead counts as the start of the secondary.
            if leads.last() == self.common.as_ref() {
                leads.reverse();
            }
            let Some((first, rest)) = leads.split_first() else {
                continue;
            };
            self.turns.extend(rest.iter().map(|lead| Turns {
                lead: *lead,
                winding: at,
                part: fit.and_then(|fit| fit.ratio((*first, *lead), whole)),
            }));
        }
        // Without a reading that ties the primary to it, a part of it is not known either.
        let pairs = self
            .found
            .windings
            .iter()
            .filter_map(|winding| winding.leads.split_first());
        let wanted = pairs.flat_map(|(first, rest)| rest.iter().rev().map(|lead| (*first, *lead)));
        let known = |pair: Pair| fit.and_then(|fit| fit.ratio(pair, whole)).is_some();
        let mut wanted: Vec<Pair> = wanted
            .filter(|pair| !same(*pair, whole) && !known(*pair))
            .collect();
        // Where all else is known, two leads may still be too near each other to tell apart.
        if wanted.is_empty() {
            let windings = self.found.windings.iter();
            let neighbours = windings.flat_map(|winding| winding.leads.windows(2));
            let neighbours = neighbours.map(|pair| (pair[0], pair[1]));
            wanted.extend(neighbours.filter(|pair| !known(*pair)));
        }
        self.wanted = wanted;
    }

    /// The lead that turns of a winding are counted from: the common lead of the secondary,
    /// else the first.
    pub fn start(&self, winding: usize) -> Option<Lead> {
        let leads = &self.winding(winding)?.leads;
        match self.common {
            Some(common) if leads.last() == Some(&common) => Some(common),
            _ => leads.first().copied(),
        }
    }

    /// What each test, as it stands, makes live.
    fn beware(&mut self, readings: &Readings, fit: Option<&Fit>) {
        for test in &readings.tests {
            let volts = test.volts.unwrap_or(USUAL_SOURCE);
            let live = danger::of(&self.found.windings, fit, test.fed, volts);
            if !live.is_empty() {
                self.hazards.push(Hazard { test: *test, live });
            }
        }
    }

    /// Whether something is left open or does not agree, so that what follows is not certain.
    pub fn is_unsure(&self) -> bool {
        self.contradicted
            || !self.found.questions.is_empty()
            || !self.order_known
            || self.agreements.iter().any(|agreement| agreement.suspected)
            || matches!(self.primary, Some((_, Because::Resistance(times))) if times < SURELY)
    }

    /// Resistance of the wire between two leads of one winding, Ω; `None` where no reading
    /// tells.
    pub fn resistance(&self, pair: Pair) -> Option<Measured> {
        let winding = self.winding(self.found.winding_of(pair.0)?)?;
        let place = |lead: Lead| winding.leads.iter().position(|other| *other == lead);
        let (a, b) = (place(pair.0)?, place(pair.1)?);
        let sections = winding.sections.get(a.min(b)..a.max(b))?;
        let squares: f64 = sections.iter().map(|s| s.uncertainty * s.uncertainty).sum();
        Some(Measured {
            value: sections.iter().map(|section| section.value).sum(),
            uncertainty: squares.sqrt(),
        })
    }
}

/// Plain readings of each test, as distances along windings.
fn sessions(voltages: &[Voltage]) -> Vec<Vec<Distance>> {
    let tests = voltages
        .iter()
        .map(|voltage| voltage.test + 1)
        .max()
        .unwrap_or(0);
    let mut sessions = vec![Vec::new(); tests];
    for voltage in voltages.iter().filter(|voltage| voltage.joined.is_none()) {
        sessions[voltage.test].push(Distance {
            ends: voltage.pair,
            length: voltage.volts,
        });
    }
    sessions
}

#[cfg(test)]
mod tests;
