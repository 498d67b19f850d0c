//! A hookup over frequency: its impedance, the load that it makes, what each driver gets.

use num_complex::Complex64;
use serde::Serialize;

use crate::speaker::{Mixed, SafePower};
use crate::units::{Ohms, Watts};

/// Where a sweep begins and ends, Hz.
pub const SPAN: (f64, f64) = (20.0, 20_000.0);

/// Points to the decade: between two of them a speaker's peak is drawn within 1 %.
const PER_DECADE: u32 = 100;

/// A hookup over frequency.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sweep {
    /// From 20 Hz to 20 kHz.
    pub points: Vec<SweepPoint>,
    /// The frequency that was typed.
    pub at: Option<SweepPoint>,
}

/// A hookup at one frequency.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SweepPoint {
    /// Frequency, Hz.
    pub hertz: f64,
    /// Modulus of the hookup's impedance, Ω.
    pub ohms: f64,
    /// Its phase in degrees, above zero where the current lags.
    pub degrees: f64,
    /// Modulus of the load that the tube sees, Ω.
    pub load_ohms: f64,
    /// Power in each driver over the power in the hookup.
    pub power: Vec<f64>,
}

/// The frequencies of a sweep, Hz.
pub fn frequencies() -> impl Iterator<Item = f64> {
    let (from, to) = SPAN;
    let steps = (to / from).log10() * f64::from(PER_DECADE);
    (0..=steps.round() as u32)
        .map(move |n| from * 10_f64.powf(f64::from(n) / f64::from(PER_DECADE)))
}

impl Sweep {
    /// A hookup from 20 Hz to 20 kHz, and at a frequency of its own. `load` is what the tube
    /// sees of an impedance at a frequency.
    ///
    /// ```
    /// use tapwright_core::{speaker::{Driver, Hookup, Mixed}, sweep::Sweep, units::Ohms};
    /// let (hookup, drivers) = (Hookup::read("8").unwrap(), [Driver::generic(Ohms(8.0))]);
    /// let mixed = Mixed::new(&hookup, &drivers).unwrap();
    /// let sweep = Sweep::of(mixed, Some(400.0), &|_, z| 900.0 * z);
    /// let middle = sweep.at.unwrap();
    /// assert!((middle.load_ohms / middle.ohms - 900.0).abs() < 1e-9);
    /// ```
    pub fn of(mixed: Mixed, at: Option<f64>, load: &dyn Fn(f64, Complex64) -> Complex64) -> Self {
        let point = |hertz: f64| {
            let z = mixed.impedance_at(hertz);
            SweepPoint {
                hertz,
                ohms: z.norm(),
                degrees: z.arg().to_degrees(),
                load_ohms: load(hertz, z).norm(),
                power: mixed.shares_at(hertz).iter().map(|s| s.power).collect(),
            }
        };
        Self {
            points: frequencies().map(point).collect(),
            at: at.map(point),
        }
    }

    /// The lowest modulus of the hookup, and where.
    pub fn lowest(&self) -> Option<(Ohms, f64)> {
        let lowest = (self.points.iter()).min_by(|a, b| a.ohms.total_cmp(&b.ohms))?;
        Some((Ohms(lowest.ohms), lowest.hertz))
    }
}

/// The largest power that keeps every driver within its rating, 20 Hz to 20 kHz.
pub fn safe_power(mixed: Mixed, ratings: &[Watts]) -> Option<SafePower> {
    mixed.safe_power(frequencies(), ratings)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sweep_ends_where_it_should() {
        let all: Vec<f64> = frequencies().collect();
        assert_eq!(all.len(), 301);
        assert!((all[300] - 20_000.0).abs() < 1e-6 && all[0] == 20.0);
    }
}
