//! The rated impedance of a speaker, from an ohmmeter or from its impedance curve.

use serde::Serialize;

use tapwright_units::Ohms;
use tapwright_units::rounding::to_significant_digits;

/// The lowest impedance in the rated band, as a share of the rated impedance: the modulus
/// shall not fall below 80 % of it (IEC 60268-5).
pub const LOWEST_SHARE_OF_RATED: f64 = 0.8;

/// Coil resistance divided by rated impedance: least, usual, most. Common practice, no source.
const COIL_SHARE: [f64; 3] = [0.7, 0.8, 0.85];

/// Ratings that speakers are stamped with. Common practice, no source.
const CUSTOMARY: [f64; 11] = [2.0, 3.0, 3.2, 4.0, 6.0, 8.0, 12.0, 15.0, 16.0, 25.0, 32.0];

/// A rating found from a DC reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InferredRating {
    /// The rating that is assumed.
    pub rated: Ohms,
    /// Whether that is a customary rating, and not only the reading divided by the usual share.
    pub customary: bool,
    /// Other customary ratings that the reading allows.
    pub others: Vec<Ohms>,
}

/// The rating of a speaker whose coil reads `coil` on an ohmmeter, above zero. The coil has 0.7
/// to 0.85 times the rated impedance, mostly 0.8 (common practice, no source).
///
/// ```
/// use tapwright_speaker::rating_from_coil;
/// use tapwright_units::Ohms;
/// assert_eq!(rating_from_coil(Ohms(6.4)).rated, Ohms(8.0));
/// let large = rating_from_coil(Ohms(12.0));
/// assert_eq!((large.rated, large.others), (Ohms(15.0), vec![Ohms(16.0)]));
/// ```
pub fn rating_from_coil(coil: Ohms) -> InferredRating {
    let [least, usual, most] = COIL_SHARE.map(|share| coil.0 / share);
    let mut allowed = Vec::new();
    let mut nearest = 0;
    let off = |rated: f64| (rated / usual).ln().abs();
    for rated in CUSTOMARY {
        if rated >= most && rated <= least {
            if allowed
                .get(nearest)
                .is_some_and(|best: &Ohms| off(rated) < off(best.0))
            {
                nearest = allowed.len();
            }
            allowed.push(Ohms(rated));
        }
    }
    if allowed.is_empty() {
        return InferredRating {
            rated: Ohms(to_significant_digits(usual, 2)),
            customary: false,
            others: allowed,
        };
    }
    InferredRating {
        rated: allowed.remove(nearest),
        customary: true,
        others: allowed,
    }
}

/// The highest customary rating that a speaker can have whose impedance is `lowest` at its
/// lowest: that is not below 80 % of the rating (IEC 60268-5), with 2 % allowed for the meter.
///
/// ```
/// use tapwright_speaker::highest_rating_allowed;
/// use tapwright_units::Ohms;
/// assert_eq!(highest_rating_allowed(Ohms(6.5)), Ohms(8.0));
/// assert_eq!(highest_rating_allowed(Ohms(6.0)), Ohms(6.0));
/// ```
pub fn highest_rating_allowed(lowest: Ohms) -> Ohms {
    let most = 1.02 * lowest.0 / LOWEST_SHARE_OF_RATED;
    let customary = CUSTOMARY.into_iter().rev().find(|rated| *rated <= most);
    Ohms(customary.unwrap_or(most))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whatever a customary speaker's coil reads, its rating is among those offered.
    #[test]
    fn the_true_rating_is_always_offered() {
        for rated in CUSTOMARY {
            for step in 0..=30 {
                let share = 0.7 + 0.15 * f64::from(step) / 30.0;
                // Not quite to the ends, where rounding decides.
                let coil = Ohms(rated * share.clamp(0.7001, 0.8499));
                let found = rating_from_coil(coil);
                assert!(found.customary);
                assert!(
                    found.rated.0 == rated || found.others.contains(&Ohms(rated)),
                    "{coil:?}: {found:?}"
                );
            }
        }
    }

    #[test]
    fn between_customary_ratings_the_usual_share_decides() {
        let found = rating_from_coil(Ohms(7.5));
        assert!(!found.customary && found.others.is_empty());
        assert!((found.rated.0 - 9.4).abs() < 1e-9, "{found:?}");
    }
}
