//! A published static point: steady voltages, and the currents and slopes that go with them.

use serde::Deserialize;

use crate::checks::{above_zero, between, note};
use crate::{Kind, Provenance};

/// How a tube with a screen is connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TubeConnection {
    /// The screen is held at a steady voltage.
    Pentode,
    /// The screen is tied to the plate, or the tube has none.
    Triode,
}

impl TubeConnection {
    /// What is wrong with this connection of a tube of this kind at this screen voltage, V.
    pub(crate) fn check(self, kind: Kind, screen_volts: Option<f64>) -> Result<(), String> {
        match (self, screen_volts) {
            (Self::Pentode, Some(volts)) if kind.has_screen() => {
                between("screen_volts", volts, 1.0, 2000.0)
            }
            (Self::Triode, None) => Ok(()),
            _ => Err("screen_volts belongs to the pentode connection, and only there".into()),
        }
    }
}

/// One published static point of one tube. Volts are measured from the cathode.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StaticPoint {
    /// Pentode connection, or triode (screen tied to plate).
    pub connection: TubeConnection,
    /// Plate, V: 1 to 5000.
    pub plate_volts: f64,
    /// Screen, V: 1 to 2000, in pentode connection only.
    #[serde(rename = "screen_volts")]
    steady_screen_volts: Option<f64>,
    /// Control grid, V: −500 to 0.
    pub grid_volts: f64,
    /// Plate current, mA (pentode connection).
    pub plate_ma: Option<f64>,
    /// Screen current, mA (pentode connection).
    pub screen_ma: Option<f64>,
    /// Plate and screen together, mA (triode connection: a triode's plate current).
    pub cathode_ma: Option<f64>,
    /// Plate resistance, kΩ.
    pub rp_kohm: Option<f64>,
    /// Transconductance, mS.
    pub gm_ms: Option<f64>,
    /// Amplification factor (triode connection).
    pub mu: Option<f64>,
    /// Where it was published: the title in full.
    pub source: String,
    /// How it is known.
    pub provenance: Provenance,
    /// What is known against the row, for whoever reads the table.
    pub note: Option<String>,
    /// Whether it took part in the fit of the model.
    pub fitted: bool,
}

impl StaticPoint {
    /// Screen, V; in triode connection the plate's.
    ///
    /// ```
    /// let point = &tapwright_tube::find("6V6GT").unwrap().points[0];
    /// assert_eq!(point.screen_volts(), point.plate_volts);
    /// ```
    pub fn screen_volts(&self) -> f64 {
        self.steady_screen_volts.unwrap_or(self.plate_volts)
    }

    /// What is wrong with this row of the table of a tube of this kind.
    pub(crate) fn check(&self, kind: Kind) -> Result<(), String> {
        note(self.note.as_ref())?;
        between("plate_volts", self.plate_volts, 1.0, 5000.0)?;
        between("grid_volts", self.grid_volts, -500.0, 0.0)?;
        self.connection.check(kind, self.steady_screen_volts)?;
        if (self.connection == TubeConnection::Triode) != self.cathode_ma.is_some() {
            return Err("a triode point gives cathode_ma, a pentode point plate_ma".into());
        }
        for (name, value) in [
            ("plate_ma", self.plate_ma),
            ("screen_ma", self.screen_ma),
            ("cathode_ma", self.cathode_ma),
            ("rp_kohm", self.rp_kohm),
            ("gm_ms", self.gm_ms),
            ("mu", self.mu),
        ] {
            above_zero(name, value)?;
        }
        Ok(())
    }
}
