//! A cathode resistor made of a fixed part and a trimmer.
//!
//! The trimmer is wired as a variable resistor in series with the fixed part, its wiper joined
//! to its free end: a wiper that loses contact then leaves the whole trimmer in circuit, and the
//! tube runs cooler. With the free end left open the cathode would be open instead. Common
//! practice, no source.

use serde::Serialize;
use tapwright_units::e_series::{E3, E24};

/// What the trimmer should be of the whole resistor. Own estimate: tubes differ by some 20 %
/// in current, and a resistor follows a current about one to one.
const SHARE: f64 = 0.5;

/// Power ratings of resistors, W. Common practice, no source.
const RATED_WATTS: [f64; 12] = [
    0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 25.0, 50.0,
];

/// A fixed part and a trimmer in series.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Trimmer {
    /// The fixed part, Ω, of E24.
    pub fixed: f64,
    /// The trimmer end to end, Ω, of E3, as trimmers come: each is in E24 too.
    pub trimmer: f64,
    /// Where its wiper comes to stand, 0 at no ohms to 1 at all of them.
    pub position: f64,
    /// Whether the fixed part alone, the trimmer at none, keeps the tube within its limit.
    pub is_safe: bool,
}

impl Trimmer {
    /// For a resistor in all, Ω, where `least` is the resistor below which the tube passes its
    /// limit; 0 where there is none.
    ///
    /// Of all pairs that contain it, one that is safe over the whole range comes first, then
    /// the one whose wiper stands nearest to the middle with a trimmer of about half of the
    /// whole.
    ///
    /// ```
    /// use tapwright_idle::trimmer::Trimmer;
    /// let made = Trimmer::of(140.0, 110.0).unwrap();
    /// assert!(made.is_safe && made.fixed >= 110.0);
    /// assert!((made.fixed + made.position * made.trimmer - 140.0).abs() < 1e-9);
    /// ```
    pub fn of(ohms: f64, least: f64) -> Option<Self> {
        let pairs = E3.between(ohms / 20.0, 2.0 * ohms).flat_map(|trimmer| {
            (E24.between(ohms / 50.0, ohms)).filter_map(move |fixed| {
                let position = (ohms - fixed) / trimmer;
                (0.1..=0.9).contains(&position).then_some(Self {
                    fixed,
                    trimmer,
                    position,
                    is_safe: fixed >= least,
                })
            })
        });
        let off = |made: &Self| {
            let size = (made.trimmer / (SHARE * ohms)).ln().abs();
            (made.position - 0.5).abs() + 0.5 * size
        };
        pairs.min_by(|a, b| (b.is_safe.cmp(&a.is_safe)).then(off(a).total_cmp(&off(b))))
    }

    /// The whole of it, Ω.
    pub fn most(&self) -> f64 {
        self.fixed + self.trimmer
    }
}

/// The rating to buy for a resistor that dissipates so many watts: twice as much, or more, so
/// that it stays cool enough to touch. Common practice, no source.
///
/// ```
/// assert_eq!(tapwright_idle::trimmer::rating_for(0.41), Some(1.0));
/// ```
pub fn rating_for(watts: f64) -> Option<f64> {
    RATED_WATTS.into_iter().find(|rated| *rated >= 2.0 * watts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_resistor_finds_a_pair_whose_wiper_stands_within() {
        let mut unsafe_ones = 0;
        for ohms in E24.between(33.0, 3_300.0) {
            for margin in [0.7, 0.85, 0.98] {
                let made = Trimmer::of(ohms, margin * ohms).unwrap_or_else(|| panic!("{ohms}"));
                let stands = made.fixed + made.position * made.trimmer;
                assert!((stands / ohms - 1.0).abs() < 1e-9, "{ohms}");
                assert!((0.1..=0.9).contains(&made.position), "{ohms}: {made:?}");
                assert_eq!(made.is_safe, made.fixed >= margin * ohms);
                unsafe_ones += usize::from(!made.is_safe);
                assert!(margin > 0.85 || made.is_safe, "{ohms}: {made:?}");
            }
        }
        // Close to the limit no standard value lies between.
        assert!(unsafe_ones > 0);
    }
}
