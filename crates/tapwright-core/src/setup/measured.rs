//! What is typed about a transformer without marking: its leads, the meters, the readings.

use serde::{Deserialize, Serialize};
use tapwright_units::Unit;

use super::row::{Asked, Reads, Row};

texts! {
    /// What is typed once about a transformer without marking.
    MeasuredEntry MeasuredText {
        /// Every lead, by its colour or number.
        Leads: leads {
            example: "red, blue, black, green",
            label: "Leads, every one",
            empty: "Every wire or lug, by colour or number: ohms need no order.",
            asked: Asked::Measured,
        }
        /// Accuracy of the ohmmeter, % of the reading + counts: by default 1 % + 2.
        Ohmmeter: ohmmeter {
            example: "1 % + 2",
            label: "Accuracy, % + counts",
            asked: Asked::Measured,
        }
        /// Accuracy of the AC voltmeter: by default 1 % + 3.
        Voltmeter: voltmeter {
            example: "1 % + 3",
            label: "Accuracy, % + counts",
            asked: Asked::Measured,
        }
        /// A lead of the primary, when you know better.
        PrimaryIs: primary_is {
            example: "red",
            label: "The primary is the winding of",
            asked: Asked::Measured,
        }
        /// The common lead of the secondary, when you know better.
        Common: common {
            example: "black",
            label: "Common lead of the secondary",
            asked: Asked::Measured,
        }
    }
}

texts! {
    /// A reading of the ohmmeter.
    OhmsEntry OhmsText {
        /// Two leads.
        Pair: pair {
            example: "red-blue",
            label: "Two leads, reading {n} in ohms",
            asked: Asked::Measured,
        }
        /// The ohms between them, or `open`.
        Ohms: ohms {
            noun: "a winding’s resistance",
            reads: Reads::Numbers(Unit::Ohm, 0.001, 1e5),
            example: "318, or open",
            label: "Ohms, reading {n}",
            asked: Asked::Measured,
        }
    }
}

texts! {
    /// A reading of the AC voltmeter.
    VoltsEntry VoltsText {
        /// Two leads that are fed; empty for those of the row above.
        Fed: fed {
            example: "red-blue",
            label: "Two leads that are fed, AC reading {n}",
            placeholder: "fed: red-blue",
            asked: Asked::Measured,
        }
        /// The voltage fed; empty for that of the row above.
        // The most is what IEC 61010-1 calls safe to touch.
        FedVolts: fed_volts {
            noun: "a voltage that is safe to touch",
            reads: Reads::Numbers(Unit::AcVolt, 0.01, tapwright_iron::measured::danger::HAZARDOUS.0),
            example: "6.31",
            label: "Volts fed, AC reading {n}",
            asked: Asked::Measured,
        }
        /// Two leads that are read.
        Pair: pair {
            example: "black-green",
            label: "Two leads that are read, AC reading {n}",
            placeholder: "read: black-white",
            asked: Asked::Measured,
        }
        /// The voltage there.
        Volts: volts {
            noun: "a voltage of this test",
            reads: Reads::Numbers(Unit::AcVolt, 1e-5, 1_000.0),
            example: "0.2442, or 244.2 mV",
            label: "Volts read, AC reading {n}",
            placeholder: "0.2442",
            asked: Asked::Measured,
        }
        /// Two leads that are joined, one of each winding, so that both are read in series.
        Joined: joined {
            example: "blue-black",
            label: "Joined leads, one of each winding",
            asked: Asked::Measured,
        }
    }
}

/// Everything typed about a transformer without marking.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Measured {
    /// Leads, meters, and what the person knows better.
    #[serde(rename = "lump")]
    pub once: MeasuredEntry,
    /// Readings of the ohmmeter.
    pub ohms: Vec<OhmsEntry>,
    /// Readings of the voltmeter.
    pub volts: Vec<VoltsEntry>,
}
