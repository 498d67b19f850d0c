//! What the meter shows at one side of the stage, and how wrong that may be.

use serde::Serialize;

/// Resistance of the meter, Ω: what a hand meter has on DC volts. Common practice, no source.
pub const METER_OHMS: f64 = 10e6;

/// A voltage that a meter shows, with the limits of its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// As shown, V.
    pub volts: f64,
    /// Limit of the error of its gain, part of the reading, 0 to 1.
    pub share: f64,
    /// Limit of what its last digits may be off, V, above zero.
    pub counts: f64,
    /// Resistance of the source as the meter sees it, Ω.
    pub source_ohms: f64,
}

impl Reading {
    /// What a voltage falls to when the meter is put there: `R_m/(R_m + R_s)`.
    ///
    /// ```
    /// use tapwright_idle::Reading;
    /// let grid = Reading { volts: 0.0, share: 0.005, counts: 0.002, source_ohms: 470e3 };
    /// assert!((grid.left_by_meter() - 0.955).abs() < 1e-3);
    /// ```
    pub fn left_by_meter(&self) -> f64 {
        METER_OHMS / (METER_OHMS + self.source_ohms)
    }

    /// The voltage before the meter was put there, V.
    pub fn without_meter(&self) -> f64 {
        self.volts / self.left_by_meter()
    }
}

/// A reading, or a resistance that readings rest on; of which side, 0 or 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Which {
    /// B+ at the primary.
    Supply,
    /// Plate volts.
    Plate(usize),
    /// Screen volts.
    Screen(usize),
    /// Cathode volts.
    Cathode(usize),
    /// The drop over the primary.
    PrimaryDrop(usize),
    /// The drop over the screen resistor.
    ScreenDrop(usize),
    /// The cathode resistor's ohms.
    CathodeResistor,
    /// The primary's ohms.
    Winding,
}

/// Standard uncertainty of what lies anywhere within these limits, each place as likely: their
/// half width over √3 (JCGM 100:2008, 4.3.7).
pub(crate) fn within(limit: f64) -> f64 {
    limit / 3_f64.sqrt()
}

/// A resistance with the limits of its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistor {
    /// Ω, above zero.
    pub ohms: f64,
    /// Tolerance, part of it, 0 to 1.
    pub tolerance: f64,
}

/// What was read at one side: in a single-ended stage the only one. A drop is the difference
/// over a resistance, by the meter's two leads.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SideReadings {
    /// Plate from ground.
    pub plate: Option<Reading>,
    /// Screen from ground.
    pub screen: Option<Reading>,
    /// Cathode from ground.
    pub cathode: Option<Reading>,
    /// Grid from ground.
    pub grid: Option<Reading>,
    /// Over this side's part of the primary.
    pub primary_drop: Option<Reading>,
    /// Over the screen resistor.
    pub screen_drop: Option<Reading>,
}

/// Everything that was read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Readings {
    /// B+ at the primary, from ground, by the meter and on the range of the plates.
    pub supply: Option<Reading>,
    /// Side 1, and side 2 of a push-pull stage.
    pub sides: [SideReadings; 2],
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, 4.3.7: limits of ±1 are a standard uncertainty of 0.577.
    #[test]
    fn even_limits_are_their_half_width_over_root_three() {
        assert!((within(1.0) - 0.577_350_269).abs() < 1e-9);
    }
}
