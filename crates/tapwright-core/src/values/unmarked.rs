//! What the readings of a transformer without marking mean, one by one and together.

use super::{Problem, Reader};
use crate::setup::{Field, LumpText, OhmsText, VoltsText};
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::meter::{self, Accuracy, OHMMETER, VOLTMETER};
use tapwright_iron::measured::readings::{Readings, Series, Test, VoltageRow};
use tapwright_iron::measured::turns::Voltage;
use tapwright_iron::measured::windings::{self, Conflict, Found, Resistance};
use tapwright_iron::measured::{Lead, Pair, danger, names, same};
use tapwright_units::entry::{Complaint, Expected, excerpt, shortest};
use tapwright_units::rounding::to_significant_digits;
use tapwright_units::uncertainty::Uncertain;
use tapwright_units::{Unit, Volts};

const OHMS: Expected = Expected {
    unit: Unit::Ohm,
    least: 0.001,
    most: 1e5,
    example: "318, or open",
    noun: "a winding’s resistance",
};

const READ: Expected = Expected {
    unit: Unit::Volt,
    least: 1e-5,
    most: 1_000.0,
    example: "0.2442, or 244.2 mV",
    noun: "a voltage of this test",
};

/// In series two windings may cancel.
const SERIES: Expected = Expected { least: 0.0, ..READ };

const FED: Expected = Expected {
    unit: Unit::Volt,
    least: 0.01,
    most: danger::HAZARDOUS.0,
    example: "6.31",
    noun: "a voltage that is safe to touch",
};

/// How a meter, or a person, writes an open circuit.
const OPEN: [&str; 9] = [
    "open", "ol", "o.l", "o.l.", "0l", "∞", "inf", "infinite", "none",
];

/// Other readings that a complaint names.
const MOST_NAMED: usize = 5;

/// A reading is above another beyond doubt from so many standard uncertainties on.
const BEYOND_DOUBT: f64 = 4.0;

pub(super) fn read(reader: &mut Reader) -> Findings {
    let setup = reader.setup;
    let lump = |reader: &mut Reader, text, accuracy: Accuracy| {
        reader
            .field(Field::Lump(text), Accuracy::read)
            .unwrap_or(accuracy)
    };
    let leads = reader
        .field(Field::Lump(LumpText::Leads), names::leads)
        .unwrap_or_default();
    let ohmmeter = lump(reader, LumpText::Ohmmeter, OHMMETER);
    let voltmeter = lump(reader, LumpText::Voltmeter, VOLTMETER);
    let mut rows = Rows {
        reader,
        leads,
        readings: Readings::default(),
    };
    if !rows.leads.is_empty() {
        rows.ohms(ohmmeter);
        rows.volts(voltmeter);
        rows.choices();
    }
    rows.readings.leads = rows.leads;
    Findings::new(&rows.readings, setup.topology)
}

struct Rows<'a, 'b> {
    reader: &'a mut Reader<'b>,
    leads: Vec<String>,
    readings: Readings,
}

impl Rows<'_, '_> {
    fn complain(&mut self, field: Field, why: String, example: &str) {
        let complaint = Complaint::new(why, example);
        self.reader.problems.push(Problem { field, complaint });
    }

    fn pair(&mut self, field: Field) -> Option<Pair> {
        let leads = &self.leads;
        self.reader.field(field, |text| names::pair(leads, text))
    }

    fn is_typed(&self, field: Field) -> bool {
        let text = self.reader.setup.text(field);
        text.is_some_and(|text| !text.trim().is_empty())
    }

    fn named(&self, pair: Pair) -> String {
        names::pair_name(&self.leads, pair)
    }

    fn ohms(&mut self, accuracy: Accuracy) {
        let mut rows = Vec::new();
        for row in 0..self.reader.setup.unmarked.ohms.len() {
            let pair = self.pair(Field::Ohms(row, OhmsText::Pair));
            let ohms = (self.reader).field(Field::Ohms(row, OhmsText::Ohms), |text| {
                resistance(text, accuracy)
            });
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
            self.complain(field, why, "");
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

    fn volts(&mut self, accuracy: Accuracy) {
        let Some(found) = self.readings.found.clone() else {
            return;
        };
        let mut feed: Option<(usize, Option<Pair>, Option<Uncertain>)> = None;
        let mut tests = 0;
        for row in 0..self.reader.setup.unmarked.volts.len() {
            let field = |part| Field::Volts(row, part);
            let is_typed = |part| self.is_typed(field(part));
            let starts = is_typed(VoltsText::Fed) || is_typed(VoltsText::FedVolts);
            if starts || feed.is_none() {
                let above = feed
                    .and_then(|(_, pair, _)| pair)
                    .filter(|_| !is_typed(VoltsText::Fed));
                let pair = self.pair(field(VoltsText::Fed)).or(above);
                let volts = (self.reader).field(field(VoltsText::FedVolts), |text| {
                    meter::read(text, &FED, accuracy)
                });
                let fed = field(VoltsText::Fed);
                let volts =
                    volts.filter(|_| pair.is_some_and(|pair| self.is_on_one(&found, pair, fed)));
                feed = Some((tests, pair, volts));
                if let Some(fed) = pair {
                    self.readings.tests.push(Test {
                        row,
                        fed,
                        volts: volts.map(|volts| Volts(volts.value)),
                    });
                }
                if let (Some(pair), Some(volts)) = (pair, volts) {
                    self.push(row, true, tests, pair, None, volts);
                }
                tests += 1;
            }
            if let Some(feed) = feed {
                self.row(row, feed, accuracy, &found);
            }
        }
    }

    /// What is read in one row, while this is fed.
    fn row(
        &mut self,
        row: usize,
        (test, fed, fed_volts): (usize, Option<Pair>, Option<Uncertain>),
        accuracy: Accuracy,
        found: &Found,
    ) {
        let field = |part| Field::Volts(row, part);
        let joined = self.pair(field(VoltsText::Joined));
        let pair = self.pair(field(VoltsText::Pair));
        let expected = if joined.is_some() { SERIES } else { READ };
        let volts = (self.reader).field(field(VoltsText::Volts), |text| {
            if expected.least > 0.0 && is_zero(text, expected, accuracy) {
                let why = "nothing to read: this winding is open or shorted, or a probe is off";
                return Err(Complaint::new(why, expected.example));
            }
            meter::read(text, &expected, accuracy)
        });
        let Some(pair) = pair else {
            return;
        };
        // From the lead that is read, the one of its own winding.
        let joined_from = joined.and_then(|joined| {
            let of = |pair: Pair| found.winding_of(pair.0).zip(found.winding_of(pair.1));
            let read = of(pair).filter(|(a, b)| a != b);
            let swapped = (joined.1, joined.0);
            let mut ways = [joined, swapped].into_iter();
            ways.find(|way| read.is_some() && of(*way) == read)
        });
        let this = fed.and_then(|_| self.readings.tests.len().checked_sub(1));
        let series = joined_from.zip(this).map(|(joined, test)| Series {
            test,
            pair,
            joined,
            volts: volts.map(|volts| Volts(volts.value)),
        });
        let Some(volts) = volts else {
            let series = series.filter(|_| !self.is_typed(field(VoltsText::Volts)));
            self.readings.series.extend(series);
            return;
        };
        if let Some(joined) = joined {
            if joined_from.is_none() {
                let why = format!(
                    "joining {} does not put the windings of {} in series",
                    self.named(joined),
                    self.named(pair)
                );
                return self.complain(field(VoltsText::Joined), why, "one lead of each winding");
            }
        } else if !self.is_on_one(found, pair, field(VoltsText::Pair)) {
            return;
        }
        let inside = fed.is_some_and(|fed| lies_inside(found, pair, fed));
        if let Some(fed_volts) = fed_volts.filter(|_| inside && joined.is_none()) {
            let doubt = fed_volts.uncertainty.hypot(volts.uncertainty);
            if volts.value - fed_volts.value > BEYOND_DOUBT * doubt {
                let why = format!(
                    "“{}” is more than is fed, and {} is part of what is fed",
                    excerpt(
                        self.reader
                            .setup
                            .text(field(VoltsText::Volts))
                            .unwrap_or_default()
                    ),
                    self.named(pair)
                );
                return self.complain(field(VoltsText::Volts), why, "6.31");
            }
        }
        let left = match joined_from {
            Some(joined) => self.left_by_other(test, pair, joined, volts),
            None => Some((pair, volts)),
        };
        let too_many = left.and_then(|(pair, volts)| {
            self.too_many_turns(found, test, pair, volts, joined.is_some())
        });
        if let Some(why) = too_many {
            self.readings.contradicted = true;
            return self.complain(field(VoltsText::Volts), why, READ.example);
        }
        self.readings.series.extend(series);
        self.push(row, false, test, pair, joined, volts);
    }

    /// The readings of a test within one winding.
    fn plain(&self, test: usize) -> impl Iterator<Item = &VoltageRow> {
        let plain =
            move |shown: &&VoltageRow| shown.voltage.test == test && shown.voltage.joined.is_none();
        self.readings.volts.iter().filter(plain)
    }

    /// What a reading in series leaves at least for one of its windings, where the other was
    /// read by itself.
    fn left_by_other(
        &self,
        test: usize,
        pair: Pair,
        joined: Pair,
        volts: Uncertain,
    ) -> Option<(Pair, Uncertain)> {
        let parts = [(pair.0, joined.0), (pair.1, joined.1)];
        self.plain(test).find_map(|shown| {
            let known = parts
                .iter()
                .position(|part| same(*part, shown.voltage.pair))?;
            let other = shown.voltage.volts;
            let left = Uncertain {
                value: (volts.value - other.value).abs(),
                uncertainty: volts.uncertainty.hypot(other.uncertainty),
            };
            let part = parts[1 - known];
            (part.0 != part.1).then_some((part, left))
        })
    }

    /// What is wrong with a reading that gives wire with few ohms more turns than wire with
    /// many has. Of a voltage that is `at_least` so much only what is too much tells.
    fn too_many_turns(
        &self,
        found: &Found,
        test: usize,
        pair: Pair,
        volts: Uncertain,
        at_least: bool,
    ) -> Option<String> {
        let here = found.resistance(pair)?;
        self.plain(test).find_map(|shown| {
            let there = found.resistance(shown.voltage.pair)?;
            let times = volts.value / shown.voltage.volts.value;
            let (few, many, times) = if times > 1.0 {
                (here, there, times)
            } else {
                (there, here, times.recip())
            };
            let most = few.value + 2.0 * few.uncertainty;
            (times > 1.0
                && (!at_least || volts.value > shown.voltage.volts.value)
                && most * danger::SURELY_FEWER <= many.value).then(|| {
                let written = |value, digits| shortest(to_significant_digits(value, digits));
                format!(
                    "it would give the {} Ω winding {} times the turns of the {} Ω one: perhaps those \
                     were millivolts, or other leads",
                    written(few.value, 2),
                    written(times, 2),
                    written(many.value, 3),
                )
            })
        })
    }

    fn push(
        &mut self,
        row: usize,
        fed: bool,
        test: usize,
        pair: Pair,
        joined: Option<Pair>,
        volts: Uncertain,
    ) {
        self.readings.volts.push(VoltageRow {
            row,
            fed,
            voltage: Voltage {
                test,
                pair,
                joined,
                volts,
            },
        });
    }

    /// Whether both leads may be on one winding; complains at the field when they are not.
    fn is_on_one(&mut self, found: &Found, pair: Pair, field: Field) -> bool {
        let of = |pair: Pair| found.winding_of(pair.0).zip(found.winding_of(pair.1));
        let homes = of(pair);
        let apart = (self.readings.ohms.iter())
            .filter(|reading| reading.ohms.is_none())
            .filter_map(|reading| of(reading.pair))
            .any(|between| homes.is_some_and(|homes| same(homes, between)));
        if apart && homes.is_some_and(|(a, b)| a != b) {
            let why = format!(
                "{} are on two windings that nothing joins: a meter shows stray coupling there. \
                 Join a lead of each and say which",
                self.named(pair)
            );
            self.complain(field, why, "two leads of one winding");
            return false;
        }
        true
    }

    /// What the person knows better.
    fn choices(&mut self) {
        let leads = self.leads.clone();
        let known = |text: &str| {
            names::lead(&leads, text).ok_or_else(|| {
                let why = format!("“{}” is not among the leads", excerpt(text.trim()));
                Complaint::new(why, leads.first().cloned().unwrap_or_default())
            })
        };
        let (primary, common) = (LumpText::PrimaryIs, LumpText::Common);
        self.readings.primary_is = self.reader.field(Field::Lump(primary), known);
        let found = self.readings.found.clone();
        let inner = |lead: Lead| {
            let found = found.as_ref()?;
            let winding = found
                .winding_of(lead)
                .and_then(|at| found.windings.get(at))?;
            let ends = [winding.leads.first(), winding.leads.last()];
            (winding.ends_known && !ends.contains(&Some(&lead))).then_some(())
        };
        self.readings.common = self.reader.field(Field::Lump(common), |text| {
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

/// Readings that contradict each other, by their places, and the one of them that is
/// complained about: the last typed of those that are suspected.
fn contradiction(found: &Found) -> Option<(Vec<usize>, usize)> {
    let places = match found.conflicts.first()? {
        Conflict::OpenAndConnected(places) | Conflict::DoNotAddUp(places) => places,
    };
    Some((places.clone(), *places.iter().max()?))
}

fn resistance(text: &str, accuracy: Accuracy) -> Result<Option<Uncertain>, Complaint> {
    if OPEN
        .iter()
        .any(|word| word.eq_ignore_ascii_case(text.trim()))
    {
        return Ok(None);
    }
    if is_zero(text, OHMS, accuracy) {
        let why = "a winding is never zero ohms: type the smallest step that the meter shows";
        return Err(Complaint::new(why, "0.1"));
    }
    meter::read(text, &OHMS, accuracy).map(Some)
}

/// Whether a meter shows nothing at all.
fn is_zero(text: &str, expected: Expected, accuracy: Accuracy) -> bool {
    let or_zero = Expected {
        least: 0.0,
        ..expected
    };
    meter::read(text, &or_zero, accuracy).is_ok_and(|read| read.value == 0.0)
}

/// Whether a pair lies along its winding within what is fed.
fn lies_inside(found: &Found, pair: Pair, fed: Pair) -> bool {
    let Some(winding) = found
        .winding_of(fed.0)
        .and_then(|at| found.windings.get(at))
    else {
        return false;
    };
    let place = |lead: Lead| winding.leads.iter().position(|other| *other == lead);
    let (Some(a), Some(b), Some(c), Some(d)) =
        (place(fed.0), place(fed.1), place(pair.0), place(pair.1))
    else {
        return false;
    };
    let whole = a.min(b) == 0 && a.max(b) == winding.leads.len() - 1 && winding.ends_known;
    let within = winding.order_known && a.min(b) <= c.min(d) && c.max(d) <= a.max(b);
    whole || within
}
