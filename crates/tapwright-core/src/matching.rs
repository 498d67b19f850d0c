//! How well a reflected load suits the tube, and what a misfit costs.

use serde::{Deserialize, Serialize};

use tapwright_units::{Decibels, Ohms};

/// Within this factor of the target, either way, a load fits. Common practice, no source.
pub const FITS_WITHIN: f64 = 1.25;

/// Within this factor of the target, either way, a load is usable. Common practice, no source.
pub const USABLE_WITHIN: f64 = 2.0;

/// A reflected load held against the load that the tube wants.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Match {
    /// What the tube sees.
    pub reflected: Ohms,
    /// What it wants.
    pub target: Ohms,
}

/// The verdict on a load, by its ratio to the target.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Within [`FITS_WITHIN`].
    Fits,
    /// Within [`USABLE_WITHIN`].
    Usable,
    /// Further off than that.
    Avoid,
}

impl Verdict {
    /// Whether it is the best one.
    pub fn is_fit(self) -> bool {
        self == Self::Fits
    }
}

impl Match {
    /// Reflected load over target load: 1 is a match, 2 is twice the target.
    ///
    /// ```
    /// # use tapwright_core::matching::Match;
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Match { reflected: Ohms(10e3), target: Ohms(8e3) }.ratio(), 1.25);
    /// ```
    pub fn ratio(self) -> f64 {
        self.reflected.0 / self.target.0
    }

    /// How far off the load is on a logarithmic scale, whichever way: `|ln r|`.
    ///
    /// ```
    /// # use tapwright_core::matching::Match;
    /// # use tapwright_units::Ohms;
    /// let high = Match { reflected: Ohms(16e3), target: Ohms(8e3) };
    /// let low = Match { reflected: Ohms(4e3), target: Ohms(8e3) };
    /// assert_eq!(high.distance(), low.distance());
    /// ```
    pub fn distance(self) -> f64 {
        self.ratio().ln().abs()
    }

    /// Mismatch loss of a source matched to the target, in decibels, never negative.
    ///
    /// `10·log10((1+r)²/4r)`, the textbook `−10·log10(1−|Γ|²)` with Γ = (r−1)/(r+1).
    /// It says what a *matched* source would lose. A pentode is not one: its power
    /// into a load has to be computed from its curves.
    ///
    /// ```
    /// # use tapwright_core::matching::Match;
    /// # use tapwright_units::Ohms;
    /// let twice = Match { reflected: Ohms(16e3), target: Ohms(8e3) };
    /// assert!((twice.mismatch_loss().0 - 0.5115).abs() < 1e-4);
    /// ```
    pub fn mismatch_loss(self) -> Decibels {
        let r = self.ratio();
        // The rounding of a perfect match must not print as a gain.
        Decibels((10.0 * ((1.0 + r).powi(2) / (4.0 * r)).log10()).max(0.0))
    }

    /// The verdict: [`FITS_WITHIN`], [`USABLE_WITHIN`], or neither.
    ///
    /// ```
    /// # use tapwright_core::matching::{Match, Verdict};
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Match { reflected: Ohms(6_400.0), target: Ohms(8e3) }.verdict(), Verdict::Fits);
    /// ```
    pub fn verdict(self) -> Verdict {
        // A ratio that is 1.25 on paper is 1.25 here too.
        let within = |factor: f64| self.distance() <= factor.ln() * (1.0 + 1e-9);
        if within(FITS_WITHIN) {
            Verdict::Fits
        } else if within(USABLE_WITHIN) {
            Verdict::Usable
        } else {
            Verdict::Avoid
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(ratio: f64) -> Match {
        Match {
            reflected: Ohms(8_000.0 * ratio),
            target: Ohms(8_000.0),
        }
    }

    /// Exact arithmetic.
    #[test]
    fn mismatch_loss_at_known_ratios() {
        for (ratio, decibels) in [
            (1.0, 0.0),
            (2.0, 0.5115),
            (0.5, 0.5115),
            (4.0, 1.9382),
            (0.8, 0.0540),
            (1.25, 0.0540),
        ] {
            let loss = at(ratio).mismatch_loss().0;
            assert!((loss - decibels).abs() < 5e-5, "{ratio}: {loss}");
        }
    }

    #[test]
    fn verdicts_change_where_the_page_says() {
        for (ratio, verdict) in [
            (1.0, Verdict::Fits),
            (1.25, Verdict::Fits),
            (0.8, Verdict::Fits),
            (1.26, Verdict::Usable),
            (2.0, Verdict::Usable),
            (0.5, Verdict::Usable),
            (2.01, Verdict::Avoid),
            (0.49, Verdict::Avoid),
        ] {
            assert_eq!(at(ratio).verdict(), verdict, "{ratio}");
        }
    }
}
