//! The one reading to take next.

use serde::Serialize;

use super::doubts::Doubt;
use super::roles::Feed;
use super::turns_of_leads::wanted;
use crate::measured::danger::Hazard;
use crate::measured::meter::Accuracy;
use crate::measured::readings::Readings;
use crate::measured::turns::TurnsFit;
use crate::measured::windings::{Found, Question};
use crate::measured::{Lead, Pair, same};
use tapwright_units::uncertainty::Uncertain;

/// A ratio that is less certain than this deserves more digits. Own estimate.
const COARSE: f64 = 0.05;

/// Digits are what lacks when they make this part of a reading's uncertainty at least.
const BY_DIGITS: f64 = 0.75;

/// Leads may be fed that step others up by so much at most: 6.3 V of a heater winding stays below 30 V,
/// from which on a voltage is dangerous.
const HARMLESS_STEP_UP: f64 = 4.0;

/// What to do next; one thing at a time.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Next {
    /// Read ohms, or an open circuit: are these two leads on one winding?
    OneWinding(Pair),
    /// Read ohms: they tell the order of the leads.
    Ohms(Pair),
    /// Read volts with a pair of leads fed.
    Volts(VoltsNext),
    /// Type the voltage that is fed to this pair.
    FedVolts(Pair),
    /// Read the same again.
    Again(Again),
    /// Readings contradict each other: read those again that are complained about.
    Contradiction,
    /// No reading with these instruments can tell.
    CannotTell(Open),
}

/// Volts to read next.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VoltsNext {
    /// The leads that are fed.
    pub feed: Pair,
    /// Whether that feed is among the readings already, and nothing speaks against it.
    pub fed: bool,
    /// The most that any two other leads get, as [`Feed::most`] says.
    pub most: Option<f64>,
    /// Where to read.
    pub pair: Pair,
    /// Whether it is for the order of the leads, and not for their turns.
    pub for_order: bool,
}

/// A reading to take once more.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Again {
    /// Between which leads.
    pub pair: Pair,
    /// With which meter.
    pub meter: Meter,
    /// Why.
    pub because: Because,
}

/// One of the two meters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meter {
    /// The ohmmeter.
    Ohms,
    /// The AC voltmeter.
    Volts,
}

/// Why to read again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Because {
    /// It has too few digits: a lower range shows more.
    Digits,
    /// It does not agree with the other readings.
    Disagrees,
}

/// What no reading with these instruments can tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Open {
    /// The order of the leads of a winding.
    Order(Vec<Lead>),
    /// The turns between two leads.
    Turns(Pair),
    /// Which winding is the primary.
    Primary,
    /// Where a second winding is.
    SecondWinding,
    /// Which of the readings that disagree is wrong.
    Disagreement,
}

/// What the next reading follows from.
pub(super) struct Progress<'a> {
    pub readings: &'a Readings,
    pub found: &'a Found,
    pub fit: Option<&'a TurnsFit>,
    pub feed: Option<Feed>,
    pub hazards: &'a [Hazard],
    pub doubts: &'a [Doubt],
    pub primary_unsure: bool,
    pub contradicted: bool,
}

impl Progress<'_> {
    /// The next thing to do; `None` when everything is settled, or no lead is named yet.
    pub fn next(&self) -> Option<Next> {
        if self.readings.leads.is_empty() {
            return None;
        }
        (self.one_winding())
            .or_else(|| self.second_winding())
            .or_else(|| self.disagreement())
            .or_else(|| self.ends_before_feeding())
            .or_else(|| self.turns())
            .or_else(|| self.order())
            .or_else(|| self.coarse())
            .or_else(|| self.contradicted.then_some(Next::Contradiction))
            .or_else(|| {
                self.primary_unsure
                    .then_some(Next::CannotTell(Open::Primary))
            })
    }

    fn one_winding(&self) -> Option<Next> {
        let questions = self.found.questions.iter();
        let open = questions.filter_map(|question| match question {
            Question::OneWinding(pair) => Some(*pair),
            _ => None,
        });
        (open.filter(|pair| self.readings.times_in_ohms(*pair) == 0))
            .map(Next::OneWinding)
            .next()
    }

    fn second_winding(&self) -> Option<Next> {
        (self.feed.is_none()).then_some(Next::CannotTell(Open::SecondWinding))
    }

    /// A reading that does not go with the others.
    fn disagreement(&self) -> Option<Next> {
        let suspects = self.fit.map_or(&[][..], |fit| &fit.suspects);
        let volts = suspects.iter().filter_map(|place| {
            let shown = self.readings.volts.get(*place)?;
            Some((shown.voltage.pair, Meter::Volts))
        });
        let ohms = (self.doubts.iter())
            .flat_map(|doubt| [(doubt.pair, Meter::Ohms), (doubt.by, Meter::Ohms)]);
        let mut all = volts.chain(ohms).peekable();
        all.peek()?;
        let again = all.find(|(pair, meter)| match meter {
            Meter::Ohms => self.readings.times_in_ohms(*pair) < 2,
            Meter::Volts => self.times_in_volts(*pair) < 2,
        });
        match again {
            Some((pair, meter)) => Some(Next::Again(Again {
                pair,
                meter,
                because: Because::Disagrees,
            })),
            // A person who reads the same ohms twice knows better.
            None if suspects.is_empty() => None,
            None => Some(Next::CannotTell(Open::Disagreement)),
        }
    }

    /// Ohms that tell the ends of the winding to feed, before it is fed: few turns in place of all
    /// would step the rest up too far.
    fn ends_before_feeding(&self) -> Option<Next> {
        let feed = self.feed?;
        let winding = self.found.winding(self.found.winding_of(feed.pair.0)?)?;
        let is_fed = (self.readings.tests.iter()).any(|test| winding.leads.contains(&test.fed.0))
            || feed.most.is_some_and(|most| most <= HARMLESS_STEP_UP);
        let mut questions = self.found.questions.iter();
        questions.find_map(|question| match *question {
            Question::Order(pair)
                if !is_fed
                    && !winding.ends_known
                    && winding.leads.contains(&pair.0)
                    && self.readings.times_in_ohms(pair) == 0 =>
            {
                Some(Next::Ohms(pair))
            }
            _ => None,
        })
    }

    /// Volts that tell turns.
    fn turns(&self) -> Option<Next> {
        let fed = self.fed()?;
        let wanted = wanted(self.found, self.fit, fed);
        let mut typed = None;
        for pair in wanted {
            if self.times_in_volts(pair) == 0 {
                return Some(self.volts(pair, false));
            }
            typed = typed.or(Some(pair));
        }
        let pair = typed?;
        if self.fed_volts_lack() {
            return Some(Next::FedVolts(fed));
        }
        Some(
            self.more_digits(&[pair.0, pair.1])
                .unwrap_or(Next::CannotTell(Open::Turns(pair))),
        )
    }

    /// A reading that tells the order of the leads.
    fn order(&self) -> Option<Next> {
        for question in &self.found.questions {
            match *question {
                Question::Order(pair) if self.readings.times_in_ohms(pair) == 0 => {
                    return Some(Next::Ohms(pair));
                }
                Question::Volts(pair) if self.times_in_volts(pair) == 0 => {
                    return Some(self.volts(pair, true));
                }
                _ => {}
            }
        }
        let is_open = |leads: &[Lead], known: bool| leads.len() > 2 && !known;
        let open = || (self.found.windings.iter()).filter(|w| is_open(&w.leads, w.order_known));
        (open().find_map(|winding| self.more_digits(&winding.leads)))
            .or_else(|| Some(Next::CannotTell(Open::Order(open().next()?.leads.clone()))))
            .filter(|_| !self.contradicted)
    }

    /// More digits where the turns of a lead are not well known.
    fn coarse(&self) -> Option<Next> {
        let (fed, fit) = (self.fed()?, self.fit?);
        let leads = self
            .found
            .windings
            .iter()
            .filter_map(|w| w.leads.split_first());
        let pairs = leads.flat_map(|(first, rest)| rest.iter().map(|lead| (*first, *lead)));
        let mut coarse = pairs.filter(|pair| {
            let ratio = fit.likeliest_ratio(*pair, fed);
            ratio.is_some_and(|ratio| ratio.relative > COARSE)
        });
        coarse.find_map(|pair| self.volts_again(&[pair.0, pair.1]))
    }

    /// A reading between these leads whose digits are too few, in volts if there is one.
    fn more_digits(&self, leads: &[Lead]) -> Option<Next> {
        self.volts_again(leads).or_else(|| {
            let ohms = self.readings.ohms.iter();
            let read = ohms.filter_map(|reading| Some((reading.pair, reading.ohms?)));
            let (pair, _) = self.coarsest(read, leads, self.readings.ohmmeter, |pair| {
                self.readings.times_in_ohms(pair)
            })?;
            Some(again(pair, Meter::Ohms))
        })
    }

    fn volts_again(&self, leads: &[Lead]) -> Option<Next> {
        let read = self.readings.volts.iter().filter(|shown| !shown.fed);
        let plain = read.filter(|shown| shown.voltage.joined.is_none());
        let read = plain.map(|shown| (shown.voltage.pair, shown.voltage.volts));
        let (pair, _) = self.coarsest(read, leads, self.readings.voltmeter, |pair| {
            self.times_in_volts(pair)
        })?;
        Some(again(pair, Meter::Volts))
    }

    /// The reading between two of these leads of which digits are what lacks most, and that was
    /// not repeated yet.
    fn coarsest(
        &self,
        read: impl Iterator<Item = (Pair, Uncertain)>,
        leads: &[Lead],
        meter: Accuracy,
        times: impl Fn(Pair) -> usize,
    ) -> Option<(Pair, f64)> {
        let inside = |pair: Pair| leads.contains(&pair.0) && leads.contains(&pair.1);
        let coarse = read.filter_map(|(pair, shown)| {
            let digits = shown.uncertainty - meter.share * shown.value;
            let lacks = digits > BY_DIGITS * shown.uncertainty && inside(pair) && times(pair) < 2;
            lacks.then_some((pair, digits / shown.value))
        });
        coarse.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn volts(&self, pair: Pair, for_order: bool) -> Next {
        let feed = self.fed().unwrap_or(pair);
        let is_fed = self.readings.tests.iter().any(|test| same(test.fed, feed));
        Next::Volts(VoltsNext {
            feed,
            fed: is_fed && !self.contradicted,
            most: self
                .feed
                .and_then(|feed| feed.most)
                .filter(|_| !self.contradicted),
            pair,
            for_order,
        })
    }

    /// What is fed: what was fed last, where that harms nobody, or what should be.
    fn fed(&self) -> Option<Pair> {
        let feed = self.feed?;
        let home = self.found.winding_of(feed.pair.0);
        let is_harmless = |fed: Pair| {
            self.hazards
                .iter()
                .all(|hazard| !same(hazard.test.fed, fed))
        };
        let mut fed = self.readings.tests.iter().rev().map(|test| test.fed);
        let before = fed.find(|fed| {
            self.found.winding_of(fed.0) == home
                && self.found.winding_of(fed.1) == home
                && is_harmless(*fed)
        });
        before.or(Some(feed.pair))
    }

    /// Whether leads are fed and nobody said with how many volts.
    fn fed_volts_lack(&self) -> bool {
        let Some(fed) = self.fed() else { return false };
        let mut tests = self
            .readings
            .tests
            .iter()
            .filter(|test| same(test.fed, fed))
            .peekable();
        tests.peek().is_some()
            && tests.all(|test| test.volts.is_none())
            && self.times_in_volts(fed) == 0
    }

    /// How many times a pair was read in volts, or fed.
    fn times_in_volts(&self, pair: Pair) -> usize {
        let read = self.readings.volts.iter().map(|shown| shown.voltage);
        read.filter(|voltage| voltage.joined.is_none() && same(voltage.pair, pair))
            .count()
    }
}

fn again(pair: Pair, meter: Meter) -> Next {
    Next::Again(Again {
        pair,
        meter,
        because: Because::Digits,
    })
}
