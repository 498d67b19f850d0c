//! Findings as a plain list, for scripts: one kind of object instead of twenty.

use serde::{Serialize, Serializer};

use super::super::windings::Question;
use super::super::{Lead, Pair, names};
use super::Findings;

/// One thing that the readings tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fact {
    /// What it is: `primary`, `secondary`, `winding`, `lone-lead`, `centre-tap`, `ask-ohms`,
    /// `feed`, `ask-volts`, `turns`, `fit`, `suspect`, `danger`, `untested`, `alike`, `guess-lead`,
    /// `guess-tap`, `unsure`.
    pub what: &'static str,
    /// The leads that it is about, by name; of a winding all, in their order.
    pub leads: Vec<String>,
    /// Ohms of a winding, turns over those of the whole primary, volts of a reading as the
    /// fit expects it or of a danger, ohms of a guessed rating.
    pub value: Option<f64>,
    /// Standard uncertainty: of ohms in ohms, of turns as a part of them.
    pub uncertainty: Option<f64>,
    /// The row of the voltmeter's readings, counted from 0.
    pub row: Option<usize>,
}

impl Findings {
    /// Everything as a list.
    pub fn facts(&self) -> Vec<Fact> {
        let mut list = List {
            findings: self,
            facts: Vec::new(),
        };
        list.windings();
        list.open();
        list.voltages();
        list.guess();
        list.facts
    }
}

struct List<'a> {
    findings: &'a Findings,
    facts: Vec<Fact>,
}

impl List<'_> {
    fn push(&mut self, what: &'static str, leads: &[Lead]) -> &mut Self {
        let name = |lead: &Lead| names::lead_name(&self.findings.leads, *lead).to_owned();
        self.facts.push(Fact {
            what,
            leads: leads.iter().map(name).collect(),
            value: None,
            uncertainty: None,
            row: None,
        });
        self
    }

    fn pair(&mut self, what: &'static str, pair: Pair) -> &mut Self {
        self.push(what, &[pair.0, pair.1])
    }

    /// Numbers of the last fact.
    fn with(&mut self, value: f64, uncertainty: Option<f64>, row: Option<usize>) {
        if let Some(fact) = self.facts.last_mut() {
            fact.value = Some(value);
            fact.uncertainty = uncertainty;
            fact.row = row;
        }
    }

    fn windings(&mut self) {
        let findings = self.findings;
        for (at, winding) in findings.found.windings.iter().enumerate() {
            let what = match findings.primary {
                _ if winding.leads.len() == 1 => "lone-lead",
                Some((primary, _)) if primary == at => "primary",
                _ if findings.secondary == Some(at) => "secondary",
                _ => "winding",
            };
            self.push(what, &winding.leads);
            if let Some(ohms) = winding.ohms {
                self.with(ohms.value, Some(ohms.uncertainty), None);
            }
            if let Some(tap) = winding.centre_tap {
                self.push("centre-tap", &[tap.lead]);
            }
        }
    }

    fn open(&mut self) {
        let findings = self.findings;
        if findings.is_unsure() {
            self.push("unsure", &[]);
        }
        for question in &findings.found.questions {
            let what = match question {
                Question::Volts(_) => "ask-volts",
                _ => "ask-ohms",
            };
            self.pair(what, question.pair());
        }
        if let Some(pair) = findings.feed {
            self.pair("feed", pair);
        }
        for pair in &findings.wanted {
            self.pair("ask-volts", *pair);
        }
    }

    fn voltages(&mut self) {
        let findings = self.findings;
        for turns in &findings.turns {
            if let Some((first, part)) = findings.start(turns.winding).zip(turns.part) {
                self.pair("turns", (first, turns.lead));
                self.with(part.n, Some(part.relative), None);
            }
        }
        for agreement in &findings.agreements {
            let what = if agreement.suspected {
                "suspect"
            } else {
                "fit"
            };
            self.pair(what, agreement.shown.voltage.pair);
            self.with(agreement.expected, None, Some(agreement.shown.row));
        }
        for hazard in &findings.hazards {
            if hazard.live.is_empty() {
                self.pair("untested", hazard.test.fed);
            }
            for live in &hazard.live {
                self.pair("danger", live.pair);
                self.with(live.volts.0, None, Some(hazard.test.row));
            }
        }
        for phase in &findings.phases {
            self.pair("alike", phase.alike);
        }
    }

    fn guess(&mut self) {
        let findings = self.findings;
        let guess = findings.guess.as_ref().filter(|guess| guess.is_customary());
        let Some(guess) = guess else { return };
        for (pair, rated) in findings.lead_pairs.iter().zip(&guess.leads) {
            self.pair("guess-lead", *pair);
            self.with(rated.0, None, None);
        }
        for (lead, rated) in findings.tap_leads.iter().zip(&guess.taps) {
            self.push("guess-tap", &[*lead]);
            self.with(rated.0, None, None);
        }
    }
}

impl Serialize for Findings {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.facts().serialize(serializer)
    }
}
