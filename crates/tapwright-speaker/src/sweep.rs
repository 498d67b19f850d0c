//! A hookup over frequency: its impedance, the load that it makes, what each driver gets.

use num_complex::Complex64;
use serde::Serialize;

use crate::MixedHookup;

/// Where a sweep begins and ends, Hz.
pub const SPAN: (f64, f64) = (20.0, 20_000.0);

/// Points in a decade. A speaker's peak that falls between two of them is drawn within 1 %.
const PER_DECADE: f64 = 100.0;

/// A hookup over frequency: pairs of a frequency in hertz and a value there.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Sweep {
    /// Modulus of the hookup's impedance, Ω.
    pub ohms: Vec<(f64, f64)>,
    /// Phase of the hookup's impedance in degrees, above zero where the current lags.
    pub degrees: Vec<(f64, f64)>,
    /// Modulus of the load that the tube sees, Ω.
    pub load_ohms: Vec<(f64, f64)>,
    /// Power in each driver divided by the power in the hookup.
    pub power: Vec<Vec<(f64, f64)>>,
}

/// The frequencies of a sweep, Hz.
pub fn frequencies() -> Vec<f64> {
    let steps = (SPAN.1 / SPAN.0).log10() * PER_DECADE;
    let mut frequencies = Vec::new();
    for step in 0..=steps.round() as u32 {
        frequencies.push(SPAN.0 * 10_f64.powf(f64::from(step) / PER_DECADE));
    }
    frequencies
}

impl Sweep {
    /// A hookup at these frequencies, Hz. `load` turns a frequency and an impedance there into
    /// the load that the tube sees.
    ///
    /// ```
    /// use tapwright_speaker::{Driver, Hookup, MixedHookup};
    /// use tapwright_speaker::sweep::Sweep;
    /// use tapwright_units::Ohms;
    /// let (hookup, drivers) = (Hookup::read("8").unwrap(), [Driver::generic(Ohms(8.0))]);
    /// let mixed = MixedHookup::new(&hookup, &drivers).unwrap();
    /// let middle = Sweep::new(mixed, &[400.0], |_, z| 900.0 * z);
    /// assert!((middle.load_ohms[0].1 / middle.ohms[0].1 - 900.0).abs() < 1e-9);
    /// ```
    pub fn new(
        mixed: MixedHookup,
        frequencies: &[f64],
        load: impl Fn(f64, Complex64) -> Complex64,
    ) -> Self {
        let mut sweep = Self::default();
        for &hertz in frequencies {
            let (z, shares) = mixed.at(hertz);
            sweep.ohms.push((hertz, z.norm()));
            sweep.degrees.push((hertz, z.arg().to_degrees()));
            sweep.load_ohms.push((hertz, load(hertz, z).norm()));
            sweep.power.resize(shares.len(), Vec::new());
            for (power, share) in sweep.power.iter_mut().zip(&shares) {
                power.push((hertz, share.power));
            }
        }
        sweep
    }

    /// The frequency at which the modulus is lowest, Hz, and the modulus there, Ω.
    pub fn lowest(&self) -> Option<(f64, f64)> {
        let ohms = self.ohms.iter().copied();
        ohms.reduce(|low, point| if point.1 < low.1 { point } else { low })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sweep_ends_where_it_should() {
        let all = frequencies();
        assert_eq!(all.len(), 301);
        assert!((all[300] - 20_000.0).abs() < 1e-6 && all[0] == 20.0);
    }
}
