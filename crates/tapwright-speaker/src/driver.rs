//! One driver, and what is known of its impedance over frequency.

use num_complex::Complex64;

use super::{ImpedanceCurve, Motor, Size};
use tapwright_units::Ohms;

/// Where a driver's impedance over frequency comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum ImpedanceModel {
    /// Its rating, and its size when that is known: a generic curve, invented data.
    Generic(Motor, Option<Size>),
    /// Its Thiele–Small parameters, in the closed box if there is one.
    ThieleSmall(Motor),
    /// A measurement.
    Measured(ImpedanceCurve),
}

/// One driver.
#[derive(Debug, Clone, PartialEq)]
pub struct Driver {
    /// The name by which hookups refer to it; empty where nothing but the rating is known.
    pub name: String,
    /// Rated impedance.
    pub rated: Ohms,
    /// Its impedance over frequency.
    pub model: ImpedanceModel,
}

impl Driver {
    /// A driver of which nothing but the rating is known.
    pub fn generic(rated: Ohms) -> Self {
        Self {
            name: String::new(),
            rated,
            model: ImpedanceModel::Generic(Motor::generic(rated), None),
        }
    }

    /// Impedance in Ω at a frequency in Hz, above zero.
    ///
    /// ```
    /// use tapwright_speaker::Driver;
    /// use tapwright_units::Ohms;
    /// let middle = Driver::generic(Ohms(8.0)).impedance(400.0);
    /// assert!((6.4..8.0).contains(&middle.norm()));
    /// ```
    pub fn impedance(&self, hertz: f64) -> Complex64 {
        match &self.model {
            ImpedanceModel::Generic(motor, _) | ImpedanceModel::ThieleSmall(motor) => {
                motor.impedance(hertz)
            }
            ImpedanceModel::Measured(curve) => curve.impedance(hertz),
        }
    }
}
