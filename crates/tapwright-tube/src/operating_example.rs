//! A published operating example: a load, and what the stage does into it.

use serde::Deserialize;

use crate::checks::{above_zero, between, note};
use crate::{Bias, Kind, Provenance, Topology, TubeConnection};

/// What a source calls full signal.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FullSignal {
    /// The grid's positive peak just reaches the cathode's potential.
    #[default]
    GridCurrent,
    /// This drive on each grid, V rms.
    #[serde(rename = "drive_volts")]
    Drive(f64),
    /// Driven until the distortion is the one printed.
    Distortion,
}

/// What a published voltage is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReferredTo {
    /// The cathode, at idle.
    #[default]
    Cathode,
    /// Ground: a supply voltage, of which a cathode resistor takes its share.
    Ground,
}

/// A current at idle and, where it is published, at full signal.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(try_from = "Vec<f64>")]
pub struct Currents {
    /// Without a signal, mA, above zero.
    pub idle: f64,
    /// At full signal, mA, not below idle.
    pub full: Option<f64>,
}

impl TryFrom<Vec<f64>> for Currents {
    type Error = &'static str;

    fn try_from(row: Vec<f64>) -> Result<Self, Self::Error> {
        let (idle, full) = match row[..] {
            [idle] => (idle, None),
            [idle, full] if full >= idle => (idle, Some(full)),
            _ => return Err("[idle] or [idle, full] expected, full not below idle"),
        };
        if idle > 0.0 && idle.is_finite() && full.is_none_or(f64::is_finite) {
            Ok(Self { idle, full })
        } else {
            Err("currents above zero expected")
        }
    }
}

/// One published operating example.
///
/// Currents are for one tube in a single-ended stage, for the two together in push-pull.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OperatingExample {
    /// Single-ended or push-pull.
    pub topology: Topology,
    /// Pentode or triode connection.
    pub connection: TubeConnection,
    /// What the volts below are measured from.
    #[serde(default)]
    pub referred_to: ReferredTo,
    /// Plate, V: 1 to 5000.
    pub plate_volts: f64,
    /// Supply end of the screen resistor, V: 1 to 2000, in pentode connection only.
    #[serde(rename = "screen_volts")]
    steady_screen_volts: Option<f64>,
    /// Screen resistor, Ω, common to the tubes and without a capacitor; 0 for none.
    #[serde(default)]
    pub screen_ohms: f64,
    /// Grid bias: −500 V to 0, or 1 Ω to 10 kΩ.
    pub bias: Bias,
    /// Plate current.
    pub plate_ma: Currents,
    /// Screen current.
    pub screen_ma: Option<Currents>,
    /// Plate resistance of one tube at idle, kΩ.
    pub rp_kohm: Option<f64>,
    /// Transconductance of one tube at idle, mS.
    pub gm_ms: Option<f64>,
    /// What the source calls full signal.
    #[serde(default)]
    pub full_signal: FullSignal,
    /// Load on the plate, plate to plate in push-pull, Ω: 100 Ω to 100 kΩ.
    pub load_ohms: f64,
    /// Total harmonic distortion at full signal, %.
    pub thd_percent: Option<f64>,
    /// Power at full signal, W.
    pub watts: Option<f64>,
    /// Where it was published: the title in full.
    pub source: String,
    /// How it is known.
    pub provenance: Provenance,
    /// What is known against the row, for whoever reads the table.
    pub note: Option<String>,
    /// Whether it took part in the fit of the model.
    pub fitted: bool,
}

impl OperatingExample {
    /// Screen (supply end of its resistor), V; in triode connection the plate's.
    pub fn screen_volts(&self) -> f64 {
        self.steady_screen_volts.unwrap_or(self.plate_volts)
    }

    /// Plate and screen current together at idle, mA; a screen current that is not published
    /// counts as none.
    ///
    /// ```
    /// let example = &tapwright_tube::find("6V6GT").unwrap().examples[0];
    /// assert_eq!(example.idle_cathode_ma(), 45.0 + 4.5);
    /// ```
    pub fn idle_cathode_ma(&self) -> f64 {
        self.plate_ma.idle + self.screen_ma.map_or(0.0, |ma| ma.idle)
    }

    /// Whether the volts are counted from a cathode that stands above ground.
    pub fn counts_from_cathode(&self) -> bool {
        matches!(self.bias, Bias::Cathode(_)) && self.referred_to == ReferredTo::Cathode
    }

    /// The cathode above ground at idle, V: nothing with fixed bias.
    ///
    /// ```
    /// let example = &tapwright_tube::find("6V6GT").unwrap().examples[0];
    /// assert_eq!(example.cathode_volts(), 0.0);
    /// ```
    pub fn cathode_volts(&self) -> f64 {
        match self.bias {
            Bias::Cathode(ohms) => 1e-3 * ohms * self.idle_cathode_ma(),
            Bias::Fixed(_) => 0.0,
        }
    }

    /// B+ from ground, V, where the plate's volts are counted from the cathode those and the
    /// cathode's.
    ///
    /// ```
    /// let tubes = tapwright_tube::tubes().iter();
    /// for example in tubes.flat_map(|tube| &tube.examples) {
    ///     assert!(example.supply_volts() >= example.plate_volts);
    /// }
    /// ```
    pub fn supply_volts(&self) -> f64 {
        match self.counts_from_cathode() {
            true => self.plate_volts + self.cathode_volts(),
            false => self.plate_volts,
        }
    }

    /// What is wrong with this row of the table of a tube of this kind.
    pub(crate) fn check(&self, kind: Kind) -> Result<(), String> {
        note(self.note.as_ref())?;
        between("plate_volts", self.plate_volts, 1.0, 5000.0)?;
        between("load_ohms", self.load_ohms, 100.0, 100_000.0)?;
        self.connection.check(kind, self.steady_screen_volts)?;
        between("screen_ohms", self.screen_ohms, 0.0, 1e6)?;
        match self.bias {
            Bias::Fixed(volts) => between("grid_volts", volts, -500.0, 0.0)?,
            Bias::Cathode(ohms) => between("cathode_ohms", ohms, 1.0, 10_000.0)?,
        }
        match self.full_signal {
            FullSignal::Drive(volts) => above_zero("drive_volts", Some(volts))?,
            FullSignal::Distortion if self.thd_percent.is_none() => {
                return Err("full_signal can be \"distortion\" where thd_percent is given".into());
            }
            _ => {}
        }
        for (name, value) in [
            ("rp_kohm", self.rp_kohm),
            ("gm_ms", self.gm_ms),
            ("thd_percent", self.thd_percent),
            ("watts", self.watts),
        ] {
            above_zero(name, value)?;
        }
        Ok(())
    }
}
