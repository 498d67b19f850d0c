//! What is typed about a transformer without marking: its leads, the meters, the readings.

use serde::{Deserialize, Serialize};

use super::Setup;

texts! {
    /// What is typed once.
    LumpEntry,
    /// A text of a [`LumpEntry`].
    LumpText {
        /// Every lead, by its colour or number.
        Leads: leads,
        /// Accuracy of the ohmmeter.
        Ohmmeter: ohmmeter,
        /// Accuracy of the AC voltmeter.
        Voltmeter: voltmeter,
        /// A lead of the primary; empty for the likely one.
        PrimaryIs: primary_is,
        /// The common lead of the secondary; empty for the likely one.
        Common: common,
    }
}

texts! {
    /// A reading of the ohmmeter as typed.
    OhmsEntry,
    /// A text of an [`OhmsEntry`].
    OhmsText {
        /// Between which two leads.
        Pair: pair,
        /// Ohms, or a word for an open circuit.
        Ohms: ohms,
    }
}

texts! {
    /// A reading of the AC voltmeter as typed.
    VoltsEntry,
    /// A text of a [`VoltsEntry`].
    VoltsText {
        /// The two leads that are fed; empty for those of the row above.
        Fed: fed,
        /// The voltage fed; empty with an empty [`Self::Fed`] for the same test.
        FedVolts: fed_volts,
        /// The two leads between which is read.
        Pair: pair,
        /// The voltage there.
        Volts: volts,
        /// Two leads that are joined, so that windings stand in series; mostly empty.
        Joined: joined,
    }
}

/// Everything typed about a transformer without marking.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Unmarked {
    /// Leads, meters, and what the person knows better.
    pub lump: LumpEntry,
    /// Readings of the ohmmeter.
    pub ohms: Vec<OhmsEntry>,
    /// Readings of the voltmeter.
    pub volts: Vec<VoltsEntry>,
}

impl Setup {
    /// Sees to it that there is a row of each kind to type into.
    ///
    /// ```
    /// use tapwright_core::setup::Setup;
    /// let mut setup = Setup::default();
    /// setup.offer_rows();
    /// assert_eq!((setup.unmarked.ohms.len(), setup.unmarked.volts.len()), (1, 1));
    /// ```
    pub fn offer_rows(&mut self) {
        if self.unmarked.ohms.is_empty() {
            self.unmarked.ohms.push(OhmsEntry::default());
        }
        if self.unmarked.volts.is_empty() {
            self.unmarked.volts.push(VoltsEntry::default());
        }
    }
}
