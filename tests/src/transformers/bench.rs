//! The person at the bench, with a transformer, two meters and the page.

use anyhow::{Result, ensure};
use fastrand::Rng;
use tapwright_core::setup::{
    Field, Marking, MeasuredText, OhmsEntry, OhmsText, Setup, Topology, VoltsEntry, VoltsText,
};
use tapwright_iron::measured::{Pair, same};

use super::multimeter::Multimeter;
use super::wound::{Transformer, between, chance};

/// Of what would be read, this part is.
const READ: f64 = 0.5;

/// A person who sees what is fed takes at least this part of the primary: a few turns would step
/// the rest up.
const WIDE: f64 = 0.45;

/// What is on the bench, and what was typed so far.
#[derive(Debug, Clone)]
pub struct Bench {
    /// The transformer as it was wound.
    pub made: Transformer,
    /// What was typed.
    pub setup: Setup,
    rng: Rng,
    ohmmeter: Multimeter,
    voltmeter: Multimeter,
    /// What the source gives, V.
    source: f64,
}

impl Bench {
    /// The transformer and the meters that a number draws. Nothing is read yet.
    ///
    /// # Errors
    /// When a field does not take what is typed.
    pub fn new(seed: u64) -> Result<Self> {
        let mut rng = Rng::with_seed(seed);
        let made = Transformer::drawn(&mut rng);
        let mut setup = Setup {
            marking: Marking::Measured,
            topology: if made.push_pull {
                Topology::PushPull
            } else {
                Topology::SingleEnded
            },
            ..Setup::default()
        };
        if let Some(hookup) = setup.hookups.first_mut() {
            hookup.speakers = "8".into();
        }
        let names: Vec<String> = (0..made.leads).map(|lead| format!("w{lead}")).collect();
        let mut bench = Self {
            ohmmeter: Multimeter::ohmmeter(&mut rng),
            voltmeter: Multimeter::voltmeter(&mut rng),
            source: between(&mut rng, 6.0, 7.0),
            made,
            setup,
            rng,
        };
        bench.type_into(Field::Measured(MeasuredText::Leads), &names.join(", "))?;
        Ok(bench)
    }

    /// The readings that a person takes first: from a centre tap, or from a common lead; half of them
    /// are missing, and some are on too high a range.
    ///
    /// # Errors
    /// When a field does not take what is typed.
    pub fn first_readings(&mut self) -> Result<()> {
        let careless = if chance(&mut self.rng, 0.3) { 0.5 } else { 0.0 };
        let along = self.usual_pairs();
        let starts: Vec<usize> = (self.made.windings.iter())
            .map(|winding| winding.leads[0])
            .collect();
        let between_windings = pairs(&starts);
        for pair in along.iter().flatten().chain(&between_windings) {
            if chance(&mut self.rng, READ) {
                let is_careless = chance(&mut self.rng, careless);
                self.read_ohms(*pair, is_careless)?;
            }
        }
        let feed = self.widest(&along[0]);
        if chance(&mut self.rng, 0.5) {
            return Ok(());
        }
        let others = along.iter().flatten().filter(|pair| !same(**pair, feed));
        for pair in others {
            if chance(&mut self.rng, READ) {
                let is_careless = chance(&mut self.rng, careless);
                self.read_volts(feed, Some(*pair), is_careless)?;
            }
        }
        if self.setup.measured.volts.is_empty() {
            self.read_volts(feed, None, false)?;
        }
        Ok(())
    }

    /// For each winding with two leads or more the pairs that a person would read.
    fn usual_pairs(&mut self) -> Vec<Vec<Pair>> {
        let from_inner = self.rng.bool();
        let mut all = Vec::new();
        for winding in &self.made.windings {
            let leads = &winding.leads;
            let from = match leads.len() {
                0 | 1 => continue,
                2 => 0,
                count if from_inner => self.rng.usize(1..count - 1),
                count if self.rng.bool() => count - 1,
                _ => 0,
            };
            let star = leads.iter().filter(|lead| **lead != leads[from]);
            all.push(star.map(|lead| (leads[from], *lead)).collect());
        }
        all
    }

    /// The first of these pairs with a good part of the turns.
    fn widest(&self, of: &[Pair]) -> Pair {
        let part = |pair: &Pair| self.made.turns(*pair).unwrap_or(0.0);
        let most = of.iter().map(part).fold(0.0, f64::max);
        let wide = of.iter().find(|pair| part(pair) > WIDE * most);
        wide.copied().unwrap_or_else(|| self.made.ends())
    }

    /// Reads ohms between two leads, or an open circuit.
    ///
    /// # Errors
    /// When a field does not take what is typed.
    pub fn read_ohms(&mut self, pair: Pair, is_careless: bool) -> Result<()> {
        let shown = match self.made.ohms(pair) {
            Some(ohms) => self.ohmmeter.shows(&mut self.rng, ohms, is_careless),
            None => "open".into(),
        };
        let row = self.setup.measured.ohms.len();
        self.setup.measured.ohms.push(OhmsEntry::default());
        self.type_into(Field::Ohms(row, OhmsText::Pair), &named(pair))?;
        self.type_into(Field::Ohms(row, OhmsText::Ohms), &shown)?;
        Ok(())
    }

    /// Reads volts between two leads while a pair is fed; what is fed is read and typed where it
    /// changes.
    ///
    /// # Errors
    /// When a field does not take what is typed, or when the leads are on two windings.
    pub fn read_volts(&mut self, feed: Pair, pair: Option<Pair>, is_careless: bool) -> Result<()> {
        let row = self.setup.measured.volts.len();
        let rows = self.setup.measured.volts.iter().rev();
        let fed_before = rows.map(|row| &row.fed).find(|fed| !fed.is_empty());
        let is_new = fed_before.is_none_or(|before| *before != named(feed));
        let turns = self.made.turns(feed).unwrap_or(0.0);
        ensure!(turns > 0.0, "{} is not one winding", named(feed));
        self.setup.measured.volts.push(VoltsEntry::default());
        if is_new {
            let fed = self.voltmeter.shows(&mut self.rng, self.source, false);
            self.type_into(Field::Volts(row, VoltsText::Fed), &named(feed))?;
            self.type_into(Field::Volts(row, VoltsText::FedVolts), &fed)?;
        }
        if let Some(pair) = pair {
            let there = self.made.turns(pair);
            ensure!(there.is_some(), "{} is not one winding", named(pair));
            let volts = self.source * there.unwrap_or(0.0) / turns;
            let shown = self.voltmeter.shows(&mut self.rng, volts, is_careless);
            self.type_into(Field::Volts(row, VoltsText::Pair), &named(pair))?;
            self.type_into(Field::Volts(row, VoltsText::Volts), &shown)?;
        }
        Ok(())
    }

    fn type_into(&mut self, field: Field, text: &str) -> Result<()> {
        ensure!(self.setup.set(field, text), "{field} takes no “{text}”");
        Ok(())
    }
}

fn named((a, b): Pair) -> String {
    format!("w{a}-w{b}")
}

fn pairs(leads: &[usize]) -> Vec<Pair> {
    let with = |at: usize| leads[at + 1..].iter().map(move |other| (leads[at], *other));
    (0..leads.len()).flat_map(with).collect()
}
