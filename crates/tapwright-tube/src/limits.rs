//! The limits of a tube, as its maker publishes them.

use serde::{Deserialize, Serialize};

use crate::checks::{above_zero, between};
use crate::{Kind, Provenance};

/// Which promise a maker's limits are (rating systems as in IEC 60134).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RatingSystem {
    /// Allowance for supply and part tolerance already made: design to this value.
    DesignCentre,
    /// Not to be exceeded by a worst-case circuit with an average tube.
    DesignMaximum,
    /// Never to be exceeded at all.
    Absolute,
}

impl RatingSystem {
    /// The system's name as one writes it beside a limit.
    pub fn name(self) -> &'static str {
        match self {
            Self::DesignCentre => "design-centre",
            Self::DesignMaximum => "design-maximum",
            Self::Absolute => "absolute maximum",
        }
    }
}

/// One published set of limits. What the source does not give is `None`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// The promise these are.
    pub system: RatingSystem,
    /// Plate dissipation of each tube, W: 0.1 to 1000.
    pub plate_watts: f64,
    /// Screen dissipation of each tube, W: given for every tube with a screen, and no other.
    pub screen_watts: Option<f64>,
    /// Screen dissipation of each tube at full signal, W, where it is published apart: not below
    /// the steady one.
    pub full_screen_watts: Option<f64>,
    /// Plate to cathode, steady, V: 10 to 5000.
    pub plate_volts: f64,
    /// Screen to cathode, steady, V.
    pub screen_volts: Option<f64>,
    /// Average cathode current of each tube, mA.
    pub cathode_ma: Option<f64>,
    /// Where it was published: the title in full.
    pub source: String,
    /// How it is known.
    pub provenance: Provenance,
}

impl Limits {
    /// What is wrong with this row of the table of a tube of this kind.
    pub(crate) fn check(&self, kind: Kind) -> Result<(), String> {
        between("plate_watts", self.plate_watts, 0.1, 1000.0)?;
        between("plate_volts", self.plate_volts, 10.0, 5000.0)?;
        if kind.has_screen() != self.screen_watts.is_some() {
            return Err("screen_watts belongs to the limits of tubes with a screen".into());
        }
        if let Some(full) = self.full_screen_watts
            && self.screen_watts.is_none_or(|steady| full < steady)
        {
            return Err("full_screen_watts is not below screen_watts, and goes with it".into());
        }
        above_zero("screen_watts", self.screen_watts)?;
        above_zero("screen_volts", self.screen_volts)?;
        above_zero("cathode_ma", self.cathode_ma)
    }
}
