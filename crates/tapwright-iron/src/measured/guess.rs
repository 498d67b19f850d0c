//! What a measured transformer probably is: the customary ratings nearest to its turns. It is a
//! guess: a ratio does not tell which impedances the maker had in mind.

use serde::Serialize;

use tapwright_units::Ohms;

/// A rating that some transformers have.
#[derive(Debug, Clone, Copy)]
struct Customary {
    ohms: f64,
    /// How unusual it is: a less usual rating is taken only if it is nearer by this much, on the
    /// logarithm of the impedance.
    unusual: f64,
}

const fn customary(ohms: f64, unusual: f64) -> Customary {
    Customary { ohms, unusual }
}

/// Ratings that secondary taps usually have. Common practice, no source.
const TAPS: [Customary; 9] = [
    customary(8.0, 0.0),
    customary(4.0, 0.02),
    customary(16.0, 0.02),
    customary(15.0, 0.06),
    customary(3.2, 0.08),
    customary(3.0, 0.08),
    customary(2.0, 0.08),
    customary(5.0, 0.12),
    customary(6.0, 0.12),
];

/// Ratings that primaries usually have, all equally usual. Common practice, no source.
const PRIMARIES: [f64; 16] = [
    1_500.0, 2_000.0, 2_500.0, 3_000.0, 3_500.0, 4_000.0, 5_000.0, 6_000.0, 6_600.0, 7_000.0,
    8_000.0, 9_000.0, 10_000.0, 12_000.0, 14_000.0, 20_000.0,
];

/// Ratings that differ from the turns by more than this factor of impedance are not called
/// customary. Own estimate: makers keep their own ratings within a few per cent, and the
/// measurement adds some.
const CUSTOMARY_WITHIN: f64 = 1.25;

/// Customary ratings of a measured transformer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Guess {
    /// The rating of the whole secondary. It sets the scale of all the others.
    pub whole: Ohms,
    /// The customary rating nearest to each tap.
    pub taps: Vec<Ohms>,
    /// The customary rating nearest to each primary lead.
    pub leads: Vec<Ohms>,
    /// The largest factor between a customary rating and the impedance by turns, above one.
    pub within: f64,
    /// Whether all ratings are near enough to the turns to be called customary.
    pub customary: bool,
}

impl Guess {
    /// The guess for turns of the primary leads and of the taps, in one unit, all above zero.
    /// `None` without a lead or a tap.
    ///
    /// ```
    /// use tapwright_iron::measured::guess::Guess;
    /// // 25 : 1 to the whole secondary, a tap at 1/√2 of it.
    /// let guess = Guess::from_turns(&[1_000.0], &[28.3, 40.0]).unwrap();
    /// assert_eq!(guess.taps[0].0, 4.0);
    /// assert_eq!((guess.leads[0].0, guess.whole.0), (5_000.0, 8.0));
    /// assert!(guess.customary);
    /// // More turns on the secondary than on the primary.
    /// assert!(!Guess::from_turns(&[1_000.0], &[1_140.0]).unwrap().customary);
    /// ```
    pub fn from_turns(leads: &[f64], taps: &[f64]) -> Option<Self> {
        let whole = taps.iter().copied().fold(0.0, f64::max);
        if leads.is_empty() || whole <= 0.0 || !whole.is_finite() {
            return None;
        }
        let primaries = PRIMARIES.map(|ohms| customary(ohms, 0.0));
        let guesses = TAPS.into_iter().map(|scale| {
            let ohms = |turns: &f64| scale.ohms * (turns / whole).powi(2);
            let near = |turns: &[f64], ratings: &[Customary]| -> Vec<Near> {
                let nearest = |turns| Near::new(ohms(turns), ratings);
                turns.iter().map(nearest).collect()
            };
            let (taps, leads) = (near(taps, &TAPS), near(leads, &primaries));
            let all = || taps.iter().chain(&leads);
            let squares: f64 = all().map(|near| near.off * near.off).sum();
            let count = (taps.len() + leads.len()) as f64;
            let unusual: f64 = taps.iter().map(|near| near.rating.unusual).sum();
            let cost = (squares / count).sqrt() + unusual / taps.len() as f64;
            let within = all().map(|near| near.off.exp()).fold(1.0, f64::max);
            let ratings = |near: &[Near]| near.iter().map(|near| Ohms(near.rating.ohms)).collect();
            let guess = Self {
                whole: Ohms(scale.ohms),
                taps: ratings(&taps),
                leads: ratings(&leads),
                within,
                customary: within <= CUSTOMARY_WITHIN,
            };
            (cost, guess)
        });
        let best = guesses.min_by(|a, b| a.0.total_cmp(&b.0));
        best.map(|(_, guess)| guess)
    }
}

/// The customary rating nearest to an impedance.
struct Near {
    rating: Customary,
    /// How far the impedance is off, on the logarithm.
    off: f64,
}

impl Near {
    fn new(ohms: f64, ratings: &[Customary]) -> Self {
        let mut best = Self {
            rating: customary(ohms, 0.0),
            off: f64::INFINITY,
        };
        for rating in ratings.iter().copied() {
            let off = (ohms / rating.ohms).ln().abs();
            if off + rating.unusual < best.off + best.rating.unusual {
                best = Self { rating, off };
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Turns as ratings imply them are recognised, in a scale of their own.
    #[test]
    fn usual_transformers_are_recognised() {
        for (leads, taps) in [
            (&[5_000.0][..], &[4.0, 8.0, 16.0][..]),
            (&[8_000.0, 10_000.0], &[3.0, 8.0, 15.0]),
            (&[2_500.0], &[8.0]),
            (&[6_600.0], &[4.0, 8.0]),
        ] {
            let turns = |ratings: &[f64]| -> Vec<f64> {
                ratings.iter().map(|rating| 7.3 * rating.sqrt()).collect()
            };
            let guess = Guess::from_turns(&turns(leads), &turns(taps)).expect("a guess");
            let ohms = |of: &[Ohms]| -> Vec<f64> { of.iter().map(|ohms| ohms.0).collect() };
            assert_eq!(ohms(&guess.leads), leads, "{guess:?}");
            assert_eq!(ohms(&guess.taps), taps, "{guess:?}");
            assert!(guess.within < 1.000_1);
        }
    }

    #[test]
    fn nothing_is_guessed_from_nothing() {
        assert_eq!(Guess::from_turns(&[], &[1.0]), None);
        assert_eq!(Guess::from_turns(&[1.0], &[]), None);
        assert_eq!(Guess::from_turns(&[1.0], &[0.0]), None);
    }
}
