//! What the readings of a transformer without marking mean, one by one and together.

use super::reader::Reader;
use crate::setup::{Field, MeasuredText};
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::meter::{Accuracy, OHMMETER, VOLTMETER};
use tapwright_iron::measured::readings::Readings;
use tapwright_iron::measured::{Lead, Pair, meter, names};
use tapwright_units::entry::{Complaint, Expected, excerpt};

mod ohms;
mod unit_slip;
mod volts;

pub(super) fn read(reader: &mut Reader) -> Findings {
    let topology = reader.setup.topology;
    let accuracy = |reader: &mut Reader, text, usual: Accuracy| {
        let typed = reader.field(Field::Measured(text), Accuracy::read);
        typed.unwrap_or(usual)
    };
    let leads = reader
        .field(Field::Measured(MeasuredText::Leads), names::leads)
        .unwrap_or_default();
    let ohmmeter = accuracy(reader, MeasuredText::Ohmmeter, OHMMETER);
    let voltmeter = accuracy(reader, MeasuredText::Voltmeter, VOLTMETER);
    let mut rows = Rows {
        reader,
        leads,
        readings: Readings {
            ohmmeter,
            voltmeter,
            ..Readings::default()
        },
    };
    if !rows.leads.is_empty() {
        rows.ohms(ohmmeter);
        rows.volts(voltmeter);
        rows.choices();
    }
    rows.readings.leads = rows.leads;
    Findings::new(&rows.readings, topology)
}

/// The rows of readings as far as they are read.
struct Rows<'a, 'b> {
    reader: &'a mut Reader<'b>,
    leads: Vec<String>,
    readings: Readings,
}

impl Rows<'_, '_> {
    fn pair(&mut self, field: Field) -> Option<Pair> {
        let leads = &self.leads;
        self.reader.field(field, |text| names::pair(leads, text))
    }

    fn named(&self, pair: Pair) -> String {
        names::pair_name(&self.leads, pair)
    }

    /// Takes the primary and the common lead that the person chose.
    fn choices(&mut self) {
        let leads = self.leads.clone();
        let known = |text: &str| {
            names::lead(&leads, text).ok_or_else(|| {
                let why = format!("“{}” is not among the leads", excerpt(text.trim()));
                Complaint::new(why, leads.first().cloned().unwrap_or_default())
            })
        };
        let (primary, common) = (MeasuredText::PrimaryIs, MeasuredText::Common);
        self.readings.primary_is = self.reader.field(Field::Measured(primary), known);
        let found = self.readings.found.clone();
        let inner = |lead: Lead| {
            let found = found.as_ref()?;
            let winding = found
                .winding_of(lead)
                .and_then(|at| found.windings.get(at))?;
            let ends = [winding.leads.first(), winding.leads.last()];
            (winding.ends_known && !ends.contains(&Some(&lead))).then_some(())
        };
        self.readings.common = self.reader.field(Field::Measured(common), |text| {
            let lead = known(text)?;
            match inner(lead) {
                Some(()) => Err(Complaint::new(
                    "this lead lies between others of its winding; the common lead is an end of it",
                    "one of the two ends",
                )),
                None => Ok(lead),
            }
        });
    }
}

/// Whether the reading is zero.
fn is_zero(text: &str, range: &Expected, accuracy: Accuracy) -> bool {
    let or_zero = Expected {
        least: 0.0,
        ..*range
    };
    meter::read(text, &or_zero, accuracy).is_ok_and(|read| read.value == 0.0)
}
