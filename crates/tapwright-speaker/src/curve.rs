//! An impedance curve as measured: points of frequency, modulus and phase.

use num_complex::Complex64;

use tapwright_units::Ohms;

/// One point of a measured curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ImpedancePoint {
    /// Frequency, Hz, above zero.
    pub hertz: f64,
    /// Modulus, Ω, above zero.
    pub ohms: f64,
    /// Phase in degrees, between −90 and 90: the range of anything passive.
    pub degrees: f64,
}

/// A measured impedance over frequency: two points or more, frequencies rising.
#[derive(Debug, Clone, PartialEq)]
pub struct ImpedanceCurve {
    points: Vec<ImpedancePoint>,
}

impl ImpedancePoint {
    /// Whether each of its values is one that a speaker can have.
    fn is_sound(&self) -> bool {
        let sound = |value: f64| value.is_finite() && value > 0.0;
        sound(self.hertz) && sound(self.ohms) && self.degrees.abs() < 90.0
    }

    /// The logarithm of the frequency, and the complex logarithm of the impedance.
    pub(super) fn log(&self) -> (f64, Complex64) {
        let z = Complex64::new(self.ohms.ln(), self.degrees.to_radians());
        (self.hertz.ln(), z)
    }
}

/// The complex logarithm of the impedance between two points, on the line that joins them.
pub(super) fn between(a: (f64, Complex64), b: (f64, Complex64), at: f64) -> Complex64 {
    a.1 + (b.1 - a.1) * ((at - a.0) / (b.0 - a.0))
}

impl ImpedanceCurve {
    /// A curve through points; `None` for fewer than two, for frequencies that do not rise,
    /// or for values that a speaker cannot have.
    ///
    /// ```
    /// use tapwright_speaker::{ImpedanceCurve, ImpedancePoint};
    /// let point = |hertz, ohms| ImpedancePoint { hertz, ohms, degrees: 0.0 };
    /// assert!(ImpedanceCurve::new(vec![point(20.0, 7.0), point(80.0, 30.0)]).is_some());
    /// assert!(ImpedanceCurve::new(vec![point(80.0, 30.0), point(20.0, 7.0)]).is_none());
    /// ```
    pub fn new(points: Vec<ImpedancePoint>) -> Option<Self> {
        let rising = points.windows(2).all(|pair| pair[0].hertz < pair[1].hertz);
        (points.len() > 1 && rising && points.iter().all(ImpedancePoint::is_sound))
            .then_some(Self { points })
    }

    /// A curve through points that were already checked as in [`Self::new`].
    pub(super) fn checked(points: Vec<ImpedancePoint>) -> Option<Self> {
        (points.len() > 1).then_some(Self { points })
    }

    /// The points, frequencies rising.
    pub fn points(&self) -> &[ImpedancePoint] {
        &self.points
    }

    /// Impedance in Ω at a frequency in Hz, above zero.
    ///
    /// Between two points, the logarithm of the modulus and the phase follow straight lines
    /// against the logarithm of frequency. A resistance and an inductance are exact that way,
    /// and the real part stays above zero. Before the first point and after the last, the
    /// impedance is that of the point.
    ///
    /// ```
    /// use tapwright_speaker::{ImpedanceCurve, ImpedancePoint};
    /// let point = |hertz, ohms| ImpedancePoint { hertz, ohms, degrees: 89.0 };
    /// let coil = ImpedanceCurve::new(vec![point(100.0, 1.0), point(10_000.0, 100.0)]).unwrap();
    /// assert!((coil.impedance(1_000.0).norm() - 10.0).abs() < 1e-12);
    /// assert_eq!(coil.impedance(1.0).norm().round(), 1.0);
    /// ```
    pub fn impedance(&self, hertz: f64) -> Complex64 {
        let after = self.points.partition_point(|point| point.hertz <= hertz);
        let before = after.checked_sub(1).and_then(|at| self.points.get(at));
        let log = match (before, self.points.get(after)) {
            (Some(a), Some(b)) => between(a.log(), b.log(), hertz.ln()),
            (Some(end), None) | (None, Some(end)) => end.log().1,
            (None, None) => Complex64::default(),
        };
        log.exp()
    }

    /// The lowest modulus of any point.
    pub fn lowest(&self) -> Ohms {
        let ohms = self.points.iter().map(|point| point.ohms);
        Ohms(ohms.fold(f64::INFINITY, f64::min))
    }

    /// The first and the last frequency, Hz.
    pub fn span(&self) -> (f64, f64) {
        let hertz = |point: Option<&ImpedancePoint>| point.map_or(0.0, |point| point.hertz);
        (hertz(self.points.first()), hertz(self.points.last()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Motor;

    /// A curve of 160 points a decade is within 0.4 % of the driver that it samples.
    #[test]
    fn a_sampled_motor_is_the_motor() {
        let motor = Motor::generic(Ohms(8.0));
        let points = (0..=480).map(|n| {
            let hertz = 20.0 * 10_f64.powf(f64::from(n) / 160.0);
            let z = motor.impedance(hertz);
            ImpedancePoint {
                hertz,
                ohms: z.norm(),
                degrees: z.arg().to_degrees(),
            }
        });
        let curve = ImpedanceCurve::new(points.collect()).unwrap_or_else(|| panic!("sound points"));
        for n in 0..=1_000 {
            let hertz = 20.0 * 1_000_f64.powf(f64::from(n) / 1_000.0);
            let (a, b) = (curve.impedance(hertz), motor.impedance(hertz));
            assert!((a - b).norm() < 0.004 * b.norm(), "{hertz}: {a} {b}");
        }
    }
}
