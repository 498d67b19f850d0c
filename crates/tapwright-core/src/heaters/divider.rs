//! A divider from B+ that raises the heaters above ground.

use serde::Serialize;
use tapwright_units::e_series::E24;

/// The current that a divider is proposed for, A: little against any tube, much against what
/// leaks between heaters and cathodes. Common practice, no source.
const USUAL_AMPS: f64 = 1e-3;

/// Two resistors from B+ to ground; the heaters’ tap goes to the joint.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Divider {
    /// B+, V.
    pub supply: f64,
    /// From B+ to the joint, Ω.
    pub upper: f64,
    /// From the joint to ground, Ω.
    pub lower: f64,
}

impl Divider {
    /// The divider of E24 for so many volts, which are below those of the supply, with one or
    /// both of its resistors given; about 1 mA where neither is.
    pub fn for_volts(volts: f64, supply: f64, upper: Option<f64>, lower: Option<f64>) -> Self {
        let ratio = supply / volts - 1.0;
        let lower = lower.unwrap_or_else(|| match upper {
            Some(upper) => E24.nearest(upper / ratio),
            None => E24.nearest(volts / USUAL_AMPS),
        });
        Self {
            supply,
            upper: upper.unwrap_or_else(|| E24.nearest(lower * ratio)),
            lower,
        }
    }

    /// Volts at the joint: `V R₂/(R₁ + R₂)`.
    pub fn volts(self) -> f64 {
        self.supply * self.lower / (self.upper + self.lower)
    }

    /// The current through both, A.
    pub fn amps(self) -> f64 {
        self.supply / (self.upper + self.lower)
    }

    /// What the upper and the lower one turn into heat, W.
    pub fn watts(self) -> [f64; 2] {
        [self.upper, self.lower].map(|ohms| self.amps().powi(2) * ohms)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 250 V, 40 V wanted: 39 kΩ, and 39 kΩ × 5.25 = 205 kΩ, of E24 200 kΩ: 40.8 V, 1.05 mA.
    /// Exact arithmetic.
    #[test]
    fn forty_volts_from_two_hundred_and_fifty() {
        let divider = Divider::for_volts(40.0, 250.0, None, None);
        assert_eq!((divider.upper, divider.lower), (200e3, 39e3));
        assert!((divider.volts() - 250.0 * 39.0 / 239.0).abs() < 1e-9);
        assert!((divider.watts()[0] - (250.0 / 239e3_f64).powi(2) * 200e3).abs() < 1e-12);
        assert!((divider.watts()[0] + divider.watts()[1] - 250.0 * divider.amps()).abs() < 1e-12);
    }

    #[test]
    fn what_is_given_stays() {
        let divider = Divider::for_volts(40.0, 250.0, Some(220e3), None);
        assert_eq!((divider.upper, divider.lower), (220e3, 43e3));
        let divider = Divider::for_volts(40.0, 250.0, None, Some(47e3));
        assert_eq!((divider.upper, divider.lower), (240e3, 47e3));
        let divider = Divider::for_volts(40.0, 250.0, Some(100e3), Some(100e3));
        assert!((divider.volts() - 125.0).abs() < 1e-9);
    }

    /// What is proposed comes within 10 % of what is wanted: two values of a series of 5 %.
    #[test]
    fn the_proposal_comes_near() {
        for supply in [90.0, 180.0, 250.0, 315.0, 450.0, 1_000.0] {
            for volts in [5.0, 20.0, 33.0, 47.0, 60.0, 80.0] {
                let divider = Divider::for_volts(volts, supply, None, None);
                let off = divider.volts() / volts - 1.0;
                assert!(off.abs() < 0.1, "{volts} of {supply}: {off}");
                assert!(divider.amps() < 1.15e-3);
            }
        }
    }
}
