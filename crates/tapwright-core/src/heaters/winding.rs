//! A heater winding: what it gives at the mains present and the load present.

use serde::Serialize;

/// What a heater winding loses at its stamped current, as a share of its stamped volts, where
/// its resistance is not typed. Common practice, no source.
pub const USUAL_LOSS: f64 = 0.1;

/// What tubes want, as a share of their rated volts: within the first; for a long life within
/// the second. Common practice, no source.
pub const WITHIN: f64 = 0.1;
/// See [`WITHIN`].
pub const FOR_A_LONG_LIFE: f64 = 0.05;

/// A heater winding, as it is stamped.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Winding {
    /// Its stamped volts, rms, at its stamped current.
    pub volts: f64,
    /// Its stamped current, A; `None` where it is not known.
    pub rated_amps: Option<f64>,
    /// Resistance behind it, the primary’s by the turns squared included, Ω.
    pub ohms: f64,
}

impl Winding {
    /// A winding of which the resistance may not be known: then it loses [`USUAL_LOSS`], and
    /// without a stamped current nothing.
    pub fn new(volts: f64, rated_amps: Option<f64>, ohms: Option<f64>) -> Self {
        let usual = rated_amps.map_or(0.0, |amps| USUAL_LOSS * volts / amps);
        Self {
            volts,
            rated_amps,
            ohms: ohms.unwrap_or(usual),
        }
    }

    /// Volts without any load at the rated mains: stamped volts are loaded volts.
    pub fn open_volts(self) -> f64 {
        self.volts + self.rated_amps.unwrap_or(0.0) * self.ohms
    }

    /// Volts at `mains` times the rated mains with a load of so many amperes:
    /// `(V + I_rated R) m − I R`. Heaters are taken to draw the same at any volts near to theirs.
    pub fn volts_at(self, mains: f64, amps: f64) -> f64 {
        match self.rated_amps {
            Some(_) => self.open_volts() * mains - amps * self.ohms,
            // Stamped volts at a current that nobody knows: the load present is taken for it.
            None => self.volts * mains,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At its stamped current and the rated mains a winding gives what is stamped on it; 231 V
    /// on a 250 V tap leave 7.6 % less, exact arithmetic for a winding without loss.
    #[test]
    fn stamped_volts_are_loaded_volts() {
        let winding = Winding::new(6.3, Some(3.0), None);
        assert!((winding.ohms - 0.21).abs() < 1e-12);
        assert!((winding.volts_at(1.0, 3.0) - 6.3).abs() < 1e-12);
        assert!((winding.open_volts() - 6.93).abs() < 1e-12);
        let ideal = Winding::new(6.3, None, None);
        let off = ideal.volts_at(231.0 / 250.0, 1.0) / 6.3 - 1.0;
        assert!((off + 0.076).abs() < 1e-12, "{off}");
    }

    /// More load never raises the volts, more mains always does; a resistance of nothing leaves
    /// the load without effect.
    #[test]
    fn more_load_never_raises_the_volts() {
        for rated in [None, Some(0.6), Some(3.0)] {
            for ohms in [None, Some(0.05)] {
                let winding = Winding::new(6.3, rated, ohms);
                let mut last = f64::INFINITY;
                for tenths in 0..40 {
                    let amps = f64::from(tenths) / 10.0;
                    let volts = winding.volts_at(1.0, amps);
                    assert!(volts <= last);
                    assert!(winding.volts_at(1.05, amps) > volts);
                    last = volts;
                }
            }
        }
    }
}
