//! Generic guitar speakers, for when only the nominal value is known.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};

use super::Motor;
use tapwright_units::Ohms;

/// The size of a driver of which little else is known: as a word, inches or `oval`.
///
/// ```
/// use tapwright_speaker::Size;
/// assert_eq!("12".parse(), Ok(Size::Twelve));
/// assert_eq!(<&str>::from(Size::Elliptical), "oval");
/// ```
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
pub enum Size {
    /// 8 inches, 20 cm.
    #[strum(serialize = "8")]
    Eight,
    /// 10 inches, 25 cm.
    #[strum(serialize = "10")]
    Ten,
    /// 12 inches, 30 cm.
    #[strum(serialize = "12")]
    Twelve,
    /// 15 inches, 38 cm.
    #[strum(serialize = "15")]
    Fifteen,
    /// Elliptical, as in radios and television sets.
    #[strum(serialize = "oval")]
    Elliptical,
}

impl Size {
    /// Resonance in Hz, Q_ms, Q_es, and coil inductance in µH for every ohm of the rating.
    ///
    /// Invented data: no such drivers exist. Only their order is what the trade knows: a larger
    /// cone resonates lower.
    fn invented(self) -> [f64; 4] {
        match self {
            Self::Eight => [110.0, 4.5, 1.1, 50.0],
            Self::Ten => [100.0, 5.0, 1.0, 55.0],
            Self::Twelve => [90.0, 6.0, 0.9, 60.0],
            Self::Fifteen => [65.0, 6.5, 0.8, 75.0],
            Self::Elliptical => [140.0, 3.5, 1.4, 40.0],
        }
    }
}

impl Motor {
    /// A guitar speaker of which only the rated impedance is known: one of 12 inches.
    /// Invented data: no such driver exists.
    ///
    /// ```
    /// use tapwright_speaker::Motor;
    /// use tapwright_units::Ohms;
    /// // R_e 6.4 Ω, Q_ms 6, Q_es 0.9: R_e (1 + Q_ms/Q_es) = 49.07 Ω at resonance.
    /// let motor = Motor { coil_henries: 0.0, ..Motor::generic(Ohms(8.0)) };
    /// assert!((motor.impedance(motor.resonance).re - 49.07).abs() < 0.005);
    /// ```
    pub fn generic(rated: Ohms) -> Self {
        Self::of_size(Size::Twelve, rated)
    }

    /// A guitar speaker of which only rating and size are known. Invented data: no such driver
    /// exists. That the coil has 0.8 times the rating is common practice, no source.
    ///
    /// ```
    /// use tapwright_speaker::{Motor, Size};
    /// use tapwright_units::Ohms;
    /// let eight = Motor::of_size(Size::Ten, Ohms(8.0));
    /// let four = Motor::of_size(Size::Ten, Ohms(4.0));
    /// assert!((eight.impedance(150.0) - 2.0 * four.impedance(150.0)).norm() < 1e-9);
    /// ```
    pub fn of_size(size: Size, rated: Ohms) -> Self {
        let [resonance, mechanical_q, electrical_q, microhenries] = size.invented();
        Self {
            coil_ohms: 0.8 * rated.0,
            coil_henries: microhenries * 1e-6 * rated.0,
            resonance,
            mechanical_q,
            electrical_q,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::LOWEST_SHARE_OF_RATED;

    /// IEC 60268-5: the modulus does not fall below 80 % of the rated impedance.
    #[test]
    fn generic_speakers_keep_to_their_rating() {
        for &size in Size::VARIANTS {
            let motor = Motor::of_size(size, Ohms(15.0));
            for step in 0..=300 {
                let hertz = 20.0 * 1000_f64.powf(f64::from(step) / 300.0);
                let modulus = motor.impedance(hertz).norm();
                assert!(
                    modulus >= LOWEST_SHARE_OF_RATED * 15.0,
                    "{size:?} {hertz}: {modulus}"
                );
            }
        }
    }
}
