//! The electrical impedance of a driver over frequency.
//!
//! `Z(s) = R_e + sL_e + R_es (s ω_s/Q_ms) / (s² + s ω_s/Q_ms + ω_s²)`, `R_es = R_e Q_ms/Q_es`
//! (A. N. Thiele, J. Audio Eng. Soc. 1971; R. H. Small, J. Audio Eng. Soc. 1972).

use num_complex::Complex64;

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
    /// The same driver in a closed box of volume V_b, whose air is `vas_over_box` = V_as/V_b
    /// times as stiff as the suspension: f_s, Q_ms and Q_es rise by √(1 + V_as/V_b) (Small,
    /// J. Audio Eng. Soc. 1972). Leakage and filling are not counted.
    ///
    /// ```
    /// use tapwright_speaker::Motor;
    /// use tapwright_units::Ohms;
    /// let free = Motor::generic(Ohms(8.0));
    /// let boxed = free.in_closed_box(3.0);
    /// assert_eq!((boxed.resonance, boxed.electrical_q), (180.0, 1.8));
    /// let peak = |motor: Motor| Motor { coil_henries: 0.0, ..motor }.impedance(motor.resonance).re;
    /// assert!((peak(boxed) - peak(free)).abs() < 1e-9);
    /// ```
    pub fn in_closed_box(self, vas_over_box: f64) -> Self {
        let rise = (1.0 + vas_over_box).sqrt();
        Self {
            resonance: rise * self.resonance,
            mechanical_q: rise * self.mechanical_q,
            electrical_q: rise * self.electrical_q,
            ..self
        }
    }

    /// Impedance in Ω at a frequency in Hz, above zero.
    pub fn impedance(&self, hertz: f64) -> Complex64 {
        let s = Complex64::new(0.0, std::f64::consts::TAU * hertz);
        let w = std::f64::consts::TAU * self.resonance;
        let motion = self.coil_ohms * self.mechanical_q / self.electrical_q;
        let damping = s * w / self.mechanical_q;
        self.coil_ohms + s * self.coil_henries + motion * damping / (s * s + damping + w * w)
    }
}
