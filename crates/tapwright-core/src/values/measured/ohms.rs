//! Readings of the ohmmeter, and those of them that contradict each other.

use super::{Rows, is_zero};
use crate::setup::{Field, OhmsText};
use tapwright_iron::measured::meter::{self, Accuracy};
use tapwright_iron::measured::windings::{self, Conflict, Found, Resistance};
use tapwright_units::entry::{Complaint, Expected};
use tapwright_units::uncertainty::Uncertain;

/// How a meter, or a person, writes an open circuit.
const OPEN: [&str; 9] = [
    "open", "ol", "o.l", "o.l.", "0l", "∞", "inf", "infinite", "none",
];

/// Other readings that a complaint names.
const MOST_NAMED: usize = 5;

impl Rows<'_, '_> {
    pub(super) fn ohms(&mut self, accuracy: Accuracy) {
        let mut rows = Vec::new();
        for row in 0..self.reader.setup.measured.ohms.len() {
            let pair = self.pair(Field::Ohms(row, OhmsText::Pair));
            let field = Field::Ohms(row, OhmsText::Ohms);
            let ohms =
                (self.reader).in_range(field, |text, range| resistance(text, range, accuracy));
            if let (Some(pair), Some(ohms)) = (pair, ohms) {
                rows.push((row, Resistance { pair, ohms }));
            }
        }
        // One at a time: what is left may agree once the worst is out.
        loop {
            let found = self.find(&rows);
            let Some((places, culprit)) = contradiction(&found) else {
                self.readings.found = Some(found);
                break;
            };
            let field = Field::Ohms(rows[culprit].0, OhmsText::Ohms);
            let why = self.why(&rows, &places, culprit);
            self.reader.complain(field, why, "");
            rows.remove(culprit);
            self.readings.contradicted = true;
        }
        self.readings.ohms = rows.into_iter().map(|(_, reading)| reading).collect();
    }

    fn find(&self, rows: &[(usize, Resistance)]) -> Found {
        let readings: Vec<Resistance> = rows.iter().map(|(_, reading)| *reading).collect();
        windings::find(self.leads.len(), &readings, &[])
    }

    fn why(&self, rows: &[(usize, Resistance)], places: &[usize], culprit: usize) -> String {
        let others: Vec<String> = (places.iter())
            .filter(|place| **place != culprit)
            .filter_map(|place| rows.get(*place))
            .take(MOST_NAMED)
            .map(|(row, reading)| format!("{} (row {})", self.named(reading.pair), row + 1))
            .collect();
        let open = places.iter().any(|place| rows[*place].1.ohms.is_none());
        match (others.is_empty(), open) {
            (true, _) => "this does not add up with the other readings: along one winding the \
                          parts make the whole. Read these again"
                .into(),
            (false, true) => format!(
                "this contradicts {}: leads are connected, or open, and not both. Read \
                 these again",
                others.join(", ")
            ),
            (false, false) => format!(
                "this does not add up with {}: along one winding the parts make the whole, so one \
                 of them is wrong. Read these again",
                others.join(", ")
            ),
        }
    }
}

/// Readings that contradict each other, by their places, and the one of them that is
/// complained about: the last typed of those that are suspected.
fn contradiction(found: &Found) -> Option<(Vec<usize>, usize)> {
    let places = match found.conflicts.first()? {
        Conflict::OpenAndConnected(places) | Conflict::DoNotAddUp(places) => places,
    };
    Some((places.clone(), *places.iter().max()?))
}

fn resistance(
    text: &str,
    range: &Expected,
    accuracy: Accuracy,
) -> Result<Option<Uncertain>, Complaint> {
    if OPEN
        .iter()
        .any(|word| word.eq_ignore_ascii_case(text.trim()))
    {
        return Ok(None);
    }
    if is_zero(text, range, accuracy) {
        let why = "a winding is never zero ohms: type the smallest step that the meter shows";
        return Err(Complaint::new(why, "0.1"));
    }
    meter::read(text, range, accuracy).map(Some)
}
