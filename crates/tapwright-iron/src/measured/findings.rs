//! Everything that the readings of one transformer tell, and the transformer that they make.

use super::danger::{self, Danger};
use super::guess::Guess;
use super::lead_order::Distance;
use super::turns::{self, LikeEnds, TurnsFit, TurnsRatio, Voltage};
use super::windings::{self, Found, Resistance, Winding};
use super::{Lead, Pair, same};
use crate::transformer::Secondary;
use tapwright_tube::Topology;
use tapwright_units::Volts;

mod facts;
mod transformer;

pub use facts::Fact;

/// What a test is taken to be fed with before that is typed: a heater winding's 6.3 V.
pub const USUAL_SOURCE: Volts = Volts(6.3);

/// What leads may be fed with while others were not measured: it stays below the limit when
/// stepped up by 60, which is 11 kΩ over 3 Ω.
const CAUTIOUS: Volts = Volts(0.5);

/// Halves of a winding with turns that differ by no more than this part of the whole are
/// halves. Common practice, no source.
const HALVES_WITHIN: f64 = 0.05;

/// A winding with this many times the resistance of any other is the primary beyond
/// reasonable doubt. Common practice, no source.
const SURELY: f64 = 3.0;

/// A reading of the voltmeter and where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VoltageRow {
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

/// Two windings that a row of a test joins, so that their voltages may add.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Series {
    /// The test, by its place.
    pub test: usize,
    /// Where it is read: a lead of each winding.
    pub pair: Pair,
    /// From the first and the second of them, the lead of the same winding that is joined.
    pub joined: Pair,
    /// What was read; `None` until it is typed.
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
    pub volts: Vec<VoltageRow>,
    /// Tests with a known feed.
    pub tests: Vec<Test>,
    /// Windings that they put in series.
    pub series: Vec<Series>,
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
pub enum Evidence {
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
    pub part: Option<TurnsRatio>,
}

/// How well one reading of the voltmeter agrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// The reading.
    pub shown: VoltageRow,
    /// What it should have been, V: by all readings, or by all others where it is suspected.
    pub expected: f64,
    /// How far it is off, in standard uncertainties; zero where nothing could contradict it.
    pub standardised: f64,
    /// Whether it does not belong: it, or one of those that are suspected with it.
    pub suspected: bool,
}

/// A test that puts hazardous voltage on leads, or may.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// The test.
    pub test: Test,
    /// The windings that it makes live, the highest voltage first; none where leads that
    /// were not measured yet may be.
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
    pub primary: Option<(usize, Evidence)>,
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
    pub phases: Vec<LikeEnds>,
    /// Tests that are dangerous.
    pub hazards: Vec<Hazard>,
    /// The pair that is fed with the least danger: the winding with the most turns, or with
    /// the most ohms until they are known, whatever is typed.
    pub feed: Option<Pair>,
    /// Whether everything else certainly stays lower while that is fed.
    pub stays_lower: bool,
    /// How many times the ohms of the primary that was typed another winding has, where that
    /// speaks against it.
    pub outweighed: Option<f64>,
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
    ratios: Vec<(usize, Secondary, TurnsRatio)>,
}

impl Findings {
    /// Makes out what the readings tell, for a stage of this kind.
    pub fn new(readings: &Readings, topology: Topology) -> Self {
        let leads = readings.leads.len();
        let voltages: Vec<Voltage> = readings.volts.iter().map(|shown| shown.voltage).collect();
        let sessions = sessions(&voltages);
        let found = match &readings.found {
            Some(found) if sessions.is_empty() => found.clone(),
            _ => windings::find(leads, &readings.ohms, &sessions),
        };
        let fit = turns::fit(&found.windings, &voltages);
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
            stays_lower: false,
            outweighed: None,
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
    fn choose(&mut self, readings: &Readings, fit: Option<&TurnsFit>) {
        let typed = readings
            .primary_is
            .and_then(|lead| self.found.winding_of(lead));
        let likely = (fit.and_then(|fit| self.most_turns(fit)))
            .or_else(|| Some((0, Evidence::Resistance(self.found.primary_times?))));
        self.primary = typed
            .filter(|at| self.winding(*at).is_some())
            .map(|at| (at, Evidence::Typed))
            .or(likely);
        self.choose_feed(likely, fit);
        let Some((primary, because)) = self.primary else {
            return;
        };
        let times = self.times_the_ohms(0, primary);
        self.outweighed = times.filter(|times| because == Evidence::Typed && *times > SURELY);
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

    /// Chooses what is fed: the likely primary, or a winding that has more turns.
    fn choose_feed(&mut self, likely: Option<(usize, Evidence)>, fit: Option<&TurnsFit>) {
        let Some((mut most, _)) = likely else { return };
        let turns = |over: usize, under: usize| {
            fit.and_then(|fit| fit.ratio(self.ends(over)?, self.ends(under)?))
        };
        for at in 0..self.found.windings.len() {
            if !self.is_slight(at) && turns(at, most).is_some_and(|ratio| ratio.n > 1.0) {
                most = at;
            }
        }
        let is_lower = |at: usize| {
            let ohms = self.times_the_ohms(most, at);
            // A guess from ohms may be off by so much, either way.
            let off = danger::GUESS_WITHIN.powi(2);
            match turns(most, at) {
                Some(ratio) => ratio.range().0 > 1.5 && ohms.is_none_or(|times| times * off >= 1.0),
                None => ohms.is_some_and(|times| times >= off),
            }
        };
        let windings = self.found.windings.iter().enumerate();
        self.stays_lower = !self.contradicted
            && fit.is_none_or(|fit| fit.suspects.is_empty())
            && windings
                .into_iter()
                .all(|(at, winding)| winding.closed && (at == most || is_lower(at)));
        self.feed = self.ends(most);
    }

    /// How many times the ohms of one winding another has.
    fn times_the_ohms(&self, over: usize, under: usize) -> Option<f64> {
        let ohms = |at: usize| Some(self.winding(at)?.ohms?.value);
        Some(ohms(over)? / ohms(under)?)
    }

    /// Whether a winding has so few ohms beside another that it cannot have more turns.
    fn is_slight(&self, at: usize) -> bool {
        self.times_the_ohms(0, at)
            .is_some_and(|times| times >= danger::SURELY_FEWER)
    }

    /// The winding with the most turns, of those that were compared, if it is clearly that.
    fn most_turns(&self, fit: &TurnsFit) -> Option<(usize, Evidence)> {
        let all = || (0..self.found.windings.len()).filter_map(|at| Some((at, self.ends(at)?)));
        let mut able = all().filter(|(at, _)| !self.is_slight(*at));
        able.find_map(|(at, ends)| {
            let others = all().filter(|(other, _)| *other != at);
            let times = others.map(|(_, other)| fit.ratio(ends, other).map(|ratio| ratio.n));
            let least = times
                .collect::<Option<Vec<f64>>>()?
                .into_iter()
                .reduce(f64::min)?;
            (least > 1.5).then_some((at, Evidence::Turns(least)))
        })
    }

    /// Takes the order that the voltages insist on against the resistances; those then say
    /// nothing about its sections.
    fn reorder(&mut self, fit: &TurnsFit) {
        for (winding, order) in self.found.windings.iter_mut().zip(fit.orders()) {
            if winding.leads != *order {
                winding.leads.clone_from(order);
                winding.order_known = false;
                winding.sections.clear();
                winding.centre_tap = None;
            }
        }
    }

    fn agree(&mut self, readings: &Readings, fit: &TurnsFit) {
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

    fn list_turns(&mut self, fit: Option<&TurnsFit>) {
        let primary = self.primary.and_then(|(at, _)| self.ends(at));
        let Some(whole) = primary else { return };
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
        let Some(fed) = self.feed else { return };
        // Without a reading that ties the primary to it, a part of it is not known either.
        let pairs = self
            .found
            .windings
            .iter()
            .filter_map(|winding| winding.leads.split_first());
        let wanted = pairs.flat_map(|(first, rest)| rest.iter().rev().map(|lead| (*first, *lead)));
        let known = |pair: Pair| fit.and_then(|fit| fit.ratio(pair, fed)).is_some();
        let mut wanted: Vec<Pair> = wanted
            .filter(|pair| !same(*pair, fed) && !known(*pair))
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
    fn beware(&mut self, readings: &Readings, fit: Option<&TurnsFit>) {
        for (place, test) in readings.tests.iter().enumerate() {
            let volts = test.volts.unwrap_or(USUAL_SOURCE);
            let mut live = danger::live_windings(&self.found.windings, fit, test.fed, volts);
            let series = readings.series.iter().filter(|series| series.test == place);
            live.extend(series.filter_map(|series| {
                danger::in_series(&self.found.windings, fit, (test.fed, volts), series)
            }));
            live.sort_by(|a, b| b.volts.0.total_cmp(&a.volts.0));
            let blind =
                volts.0 > CAUTIOUS.0 && !danger::is_known(&self.found.windings, fit, test.fed);
            if blind || !live.is_empty() {
                self.hazards.push(Hazard { test: *test, live });
            }
        }
    }

    /// Whether something is left open or does not agree, so that what follows is not certain.
    pub fn is_unsure(&self) -> bool {
        self.contradicted
            || self.outweighed.is_some()
            || !self.found.questions.is_empty()
            || !self.order_known
            || self.agreements.iter().any(|agreement| agreement.suspected)
            || matches!(self.primary, Some((_, Evidence::Resistance(times))) if times < SURELY)
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
