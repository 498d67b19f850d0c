//! The readings of both meters on one transformer.

use serde::Serialize;

use super::meter::{Accuracy, OHMMETER, VOLTMETER};
use super::turns::Voltage;
use super::windings::{Found, Resistance};
use super::{Lead, Pair, same};
use tapwright_units::Volts;

/// A voltage and the row that it is typed in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VoltageRow {
    /// Its row, counted from 0.
    pub row: usize,
    /// Whether it is the voltage that was fed. If not, it is one that was read.
    pub fed: bool,
    /// The voltage.
    pub voltage: Voltage,
}

/// A test: two leads are fed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Test {
    /// The first row of the test, counted from 0.
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
    /// The leads that are read: one of each winding.
    pub pair: Pair,
    /// The leads that are joined: of the first lead's winding, and of the second's.
    pub joined: Pair,
    /// What was read; `None` until it is typed.
    pub volts: Option<Volts>,
}

/// The readings that make sense one by one.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// Names of all leads.
    pub leads: Vec<String>,
    /// Accuracy of the ohmmeter.
    pub ohmmeter: Accuracy,
    /// Accuracy of the voltmeter.
    pub voltmeter: Accuracy,
    /// Resistances.
    pub ohms: Vec<Resistance>,
    /// Voltages.
    pub volts: Vec<VoltageRow>,
    /// Tests of which the fed leads are known.
    pub tests: Vec<Test>,
    /// Windings that the tests put in series.
    pub series: Vec<Series>,
    /// A lead of the primary, when the person says which winding it is.
    pub primary_is: Option<Lead>,
    /// The common lead of the secondary, when the person says which it is.
    pub common: Option<Lead>,
    /// Whether readings were left out because they contradict others.
    pub contradicted: bool,
    /// The windings by [`Self::ohms`] alone, when they were found before.
    pub found: Option<Found>,
}

impl Readings {
    /// How many times a pair of leads was read in ohms.
    pub fn times_in_ohms(&self, pair: Pair) -> usize {
        let read = self.ohms.iter().filter(|reading| same(reading.pair, pair));
        read.count()
    }
}

/// No reading, and meters whose accuracy is not typed.
impl Default for Readings {
    fn default() -> Self {
        Self {
            leads: Vec::new(),
            ohmmeter: OHMMETER,
            voltmeter: VOLTMETER,
            ohms: Vec::new(),
            volts: Vec::new(),
            tests: Vec::new(),
            series: Vec::new(),
            primary_is: None,
            common: None,
            contradicted: false,
            found: None,
        }
    }
}
