//! Readings of the AC voltmeter, held against what the ohmmeter found.

use super::{Rows, is_zero, unit_slip};
use crate::setup::{Field, VoltsText};
use tapwright_iron::measured::meter::{self, Accuracy};
use tapwright_iron::measured::readings::{Series, Test, VoltageRow};
use tapwright_iron::measured::turns::Voltage;
use tapwright_iron::measured::windings::Found;
use tapwright_iron::measured::{Lead, Pair, same};
use tapwright_units::Volts;
use tapwright_units::entry::{Complaint, Expected, excerpt};
use tapwright_units::uncertainty::Uncertain;

/// A reading is above another beyond doubt when it is so many standard uncertainties above it.
const BEYOND_DOUBT: f64 = 4.0;

impl Rows<'_, '_> {
    pub(super) fn volts(&mut self, accuracy: Accuracy) {
        let Some(found) = self.readings.found.clone() else {
            return;
        };
        let mut feed: Option<Feed> = None;
        let mut tests = 0;
        for row in 0..self.reader.setup.measured.volts.len() {
            let field = |part| Field::Volts(row, part);
            let is_typed = |part| self.reader.typed(field(part)).is_some();
            let starts = is_typed(VoltsText::Fed) || is_typed(VoltsText::FedVolts);
            if starts || feed.is_none() {
                let above = feed
                    .and_then(|feed| feed.pair)
                    .filter(|_| !is_typed(VoltsText::Fed));
                let pair = self.pair(field(VoltsText::Fed)).or(above);
                let volts = (self.reader).in_range(field(VoltsText::FedVolts), |text, range| {
                    meter::read(text, range, accuracy)
                });
                let fed = field(VoltsText::Fed);
                let volts =
                    volts.filter(|_| pair.is_some_and(|pair| self.is_on_one(&found, pair, fed)));
                feed = Some(Feed {
                    test: tests,
                    pair,
                    volts,
                });
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

    /// Takes what is read in one row while this is fed.
    fn row(&mut self, row: usize, feed: Feed, accuracy: Accuracy, found: &Found) {
        let test = feed.test;
        let field = |part| Field::Volts(row, part);
        let joined = self.pair(field(VoltsText::Joined));
        let pair = self.pair(field(VoltsText::Pair));
        let volts = (self.reader).in_range(field(VoltsText::Volts), |text, range| {
            voltage(text, range, accuracy, joined.is_some())
        });
        let Some(pair) = pair else {
            return;
        };
        let joined_from = joined.and_then(|joined| in_order_of(found, pair, joined));
        let this = (feed.pair).and_then(|_| self.readings.tests.len().checked_sub(1));
        let series = joined_from.zip(this).map(|(joined, test)| Series {
            test,
            pair,
            joined,
            volts: volts.map(|volts| Volts(volts.value)),
        });
        let Some(volts) = volts else {
            let series = series.filter(|_| self.reader.typed(field(VoltsText::Volts)).is_none());
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
                return self.reader.complain(
                    field(VoltsText::Joined),
                    why,
                    "one lead of each winding",
                );
            }
        } else if !self.is_on_one(found, pair, field(VoltsText::Pair)) {
            return;
        }
        if joined.is_none() && feed.gives_less_than(found, pair, volts) {
            let typed = self.reader.typed(field(VoltsText::Volts));
            let why = format!(
                "“{}” is more than is fed, and {} is part of what is fed",
                excerpt(typed.unwrap_or_default()),
                self.named(pair)
            );
            return self.reader.complain(field(VoltsText::Volts), why, "6.31");
        }
        let left = match joined_from {
            Some(joined) => self.left_by_other(test, pair, joined, volts),
            None => Some((pair, volts)),
        };
        let slip = left.and_then(|(pair, volts)| {
            let mut others = self
                .plain(test)
                .map(|shown| (shown.voltage.pair, shown.voltage.volts));
            others.find_map(|other| unit_slip::why(found, (pair, volts), other, joined.is_some()))
        });
        if let Some(why) = slip {
            self.readings.contradicted = true;
            return self.reader.complain(
                field(VoltsText::Volts),
                why,
                VoltsText::Volts.row().example,
            );
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

    /// The least that a reading in series leaves for one of its windings, if the other was read
    /// by itself.
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
            self.reader.complain(field, why, "two leads of one winding");
            return false;
        }
        true
    }
}

/// What is fed in a test.
#[derive(Clone, Copy)]
struct Feed {
    /// The test, by its place.
    test: usize,
    pair: Option<Pair>,
    volts: Option<Uncertain>,
}

impl Feed {
    /// Whether a part of what is fed shows more volts than are fed, beyond doubt.
    fn gives_less_than(self, found: &Found, pair: Pair, volts: Uncertain) -> bool {
        let Some((fed, fed_volts)) = self.pair.zip(self.volts) else {
            return false;
        };
        let doubt = fed_volts.uncertainty.hypot(volts.uncertainty);
        lies_inside(found, pair, fed) && volts.value - fed_volts.value > BEYOND_DOUBT * doubt
    }
}

/// The two leads that are joined, in the order of the windings that the pair is read on: `None`
/// where they do not put these windings in series.
fn in_order_of(found: &Found, pair: Pair, joined: Pair) -> Option<Pair> {
    let windings = |pair: Pair| found.winding_of(pair.0).zip(found.winding_of(pair.1));
    let read = windings(pair).filter(|(a, b)| a != b)?;
    let swapped = (joined.1, joined.0);
    let mut ways = [joined, swapped].into_iter();
    ways.find(|way| windings(*way) == Some(read))
}

/// The voltage that a meter shows. Two windings in series may cancel; one alone may not.
fn voltage(
    text: &str,
    range: &Expected,
    accuracy: Accuracy,
    in_series: bool,
) -> Result<Uncertain, Complaint> {
    let least = if in_series { 0.0 } else { range.least };
    let range = Expected { least, ..*range };
    if !in_series && is_zero(text, &range, accuracy) {
        let why = "nothing to read: this winding is open or shorted, or a probe is off";
        return Err(Complaint::new(why, range.example));
    }
    meter::read(text, &range, accuracy)
}

/// Whether a pair of leads is part of the winding, or of the part of it, that is fed.
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
