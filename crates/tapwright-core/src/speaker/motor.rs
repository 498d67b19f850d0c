//! The electrical impedance of a driver over frequency.
//!
//! `Z(s) = R_e + sL_e + R_es (s ω_s/Q_ms) / (s² + s ω_s/Q_ms + ω_s²)`, `R_es = R_e Q_ms/Q_es`
//! (A. N. Thiele, J. Audio Eng. Soc. 1971; R. H. Small, J. Audio Eng. Soc. 1972).

use num_complex::Complex64;

use super::Hookup;
use crate::units::Ohms;

/// A driver's motor: what its impedance over frequency follows from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motor {
    /// Resistance of the coil R_e, Ω.
    pub coil_ohms: f64,
    /// Inductance of the coil L_e, H.
    pub coil_henries: f64,
    /// Resonance f_s, Hz.
    pub resonance: f64,
    /// Mechanical Q at resonance, Q_ms.
    pub mechanical_q: f64,
    /// Electrical Q at resonance, Q_es.
    pub electrical_q: f64,
}

impl Motor {
    /// A guitar speaker of which only the rated impedance is known. Invented data: no such
    /// driver exists. The coil at 0.8 of the rating is common practice, no source.
    ///
    /// ```
    /// use tapwright_core::{speaker::Motor, units::Ohms};
    /// // R_e 6.4 Ω, Q_ms 6, Q_es 0.9: R_e (1 + Q_ms/Q_es) = 49.07 Ω at resonance.
    /// let motor = Motor { coil_henries: 0.0, ..Motor::generic(Ohms(8.0)) };
    /// assert!((motor.impedance(motor.resonance).re - 49.07).abs() < 0.005);
    /// ```
    pub fn generic(rated: Ohms) -> Self {
        Self {
            coil_ohms: 0.8 * rated.0,
            coil_henries: 60e-6 * rated.0,
            resonance: 90.0,
            mechanical_q: 6.0,
            electrical_q: 0.9,
        }
    }

    /// Impedance at a frequency above zero, Hz; Ω.
    pub fn impedance(&self, hertz: f64) -> Complex64 {
        let s = Complex64::new(0.0, std::f64::consts::TAU * hertz);
        let w = std::f64::consts::TAU * self.resonance;
        let motion = self.coil_ohms * self.mechanical_q / self.electrical_q;
        let damping = s * w / self.mechanical_q;
        self.coil_ohms + s * self.coil_henries + motion * damping / (s * s + damping + w * w)
    }
}

impl Hookup {
    /// Impedance of the hookup at a frequency in hertz, every driver a generic one of its
    /// rating; Ω.
    ///
    /// ```
    /// use tapwright_core::speaker::Hookup;
    /// let (one, two) = (Hookup::read("8").unwrap(), Hookup::read("8+8").unwrap());
    /// assert!((two.impedance_at(80.0) - 2.0 * one.impedance_at(80.0)).norm() < 1e-9);
    /// ```
    pub fn impedance_at(&self, hertz: f64) -> Complex64 {
        match self {
            Self::Driver(rated) => Motor::generic(*rated).impedance(hertz),
            Self::Series(pair) => pair.0.impedance_at(hertz) + pair.1.impedance_at(hertz),
            Self::Parallel(pair) => {
                let (a, b) = (pair.0.impedance_at(hertz), pair.1.impedance_at(hertz));
                a * b / (a + b)
            }
        }
    }
}
