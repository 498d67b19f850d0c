//! What a measured transformer probably is: the customary ratings nearest to its turns. A
//! guess: a ratio alone says nothing of the impedances that its maker had in mind.

use tapwright_units::Ohms;

/// Ratings that secondary taps usually have, each with how unusual it is: how much nearer it
/// must be to be taken, on the logarithm of the impedance. Common practice, no source.
const TAPS: [(f64, f64); 9] = [
    (8.0, 0.0),
    (4.0, 0.02),
    (16.0, 0.02),
    (15.0, 0.06),
    (3.2, 0.08),
    (3.0, 0.08),
    (2.0, 0.08),
    (5.0, 0.12),
    (6.0, 0.12),
];

/// Ratings that primaries usually have. Common practice, no source.
const PRIMARIES: [(f64, f64); 16] = [
    (1_500.0, 0.0),
    (2_000.0, 0.0),
    (2_500.0, 0.0),
    (3_000.0, 0.0),
    (3_500.0, 0.0),
    (4_000.0, 0.0),
    (5_000.0, 0.0),
    (6_000.0, 0.0),
    (6_600.0, 0.0),
    (7_000.0, 0.0),
    (8_000.0, 0.0),
    (9_000.0, 0.0),
    (10_000.0, 0.0),
    (12_000.0, 0.0),
    (14_000.0, 0.0),
    (20_000.0, 0.0),
];

/// Customary ratings of a measured transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct Guess {
    /// What the whole secondary is rated: the scale of everything else.
    pub whole: Ohms,
    /// The customary rating nearest to each tap.
    pub taps: Vec<Ohms>,
    /// The customary rating nearest to each primary lead.
    pub leads: Vec<Ohms>,
    /// How far the turns are from these ratings at the most, as a factor of impedance above one.
    pub within: f64,
}

/// Beyond this factor of impedance ratings are not called customary. Own estimate: makers keep
/// their own ratings within a few per cent, and what is measured adds some.
const CUSTOMARY: f64 = 1.25;

impl Guess {
    /// The guess for turns of the primary leads and of the taps, in one scale, all above zero.
    /// `None` without a lead or a tap.
    ///
    /// ```
    /// use tapwright_iron::measured::guess::Guess;
    /// // 25 : 1 to the whole, a tap at 1/√2 of it.
    /// let guess = Guess::from_turns(&[1_000.0], &[28.3, 40.0]).unwrap();
    /// assert_eq!(guess.taps[0].0, 4.0);
    /// assert_eq!((guess.leads[0].0, guess.whole.0), (5_000.0, 8.0));
    /// ```
    pub fn from_turns(leads: &[f64], taps: &[f64]) -> Option<Self> {
        let whole = taps.iter().copied().fold(0.0, f64::max);
        if leads.is_empty() || whole <= 0.0 || !whole.is_finite() {
            return None;
        }
        let scaled = |(rating, _): (f64, f64)| {
            let ohms = |turns: &f64| rating * (turns / whole).powi(2);
            let mut guess = Self {
                whole: Ohms(rating),
                taps: Vec::new(),
                leads: Vec::new(),
                within: 1.0,
            };
            let (mut squares, mut unusual) = (0.0, 0.0);
            let mut put = |list: &mut Vec<Ohms>, turns: &f64, ratings: &[(f64, f64)]| {
                let near = nearest(ohms(turns), ratings);
                list.push(Ohms(near.rating));
                squares += near.off * near.off;
                unusual += near.unusual;
                guess.within = guess.within.max(near.off.exp());
            };
            for turns in taps {
                put(&mut guess.taps, turns, &TAPS);
            }
            for turns in leads {
                put(&mut guess.leads, turns, &PRIMARIES);
            }
            let count = (taps.len() + leads.len()) as f64;
            let cost = (squares / count).sqrt() + unusual / taps.len() as f64;
            (cost, guess)
        };
        let best = TAPS
            .into_iter()
            .map(scaled)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        best.map(|(_, guess)| guess)
    }

    /// Whether these ratings are near enough to the turns to be told.
    ///
    /// ```
    /// use tapwright_iron::measured::guess::Guess;
    /// assert!(Guess::from_turns(&[1_000.0], &[40.0]).unwrap().is_customary());
    /// // More turns on the secondary than on the primary.
    /// assert!(!Guess::from_turns(&[1_000.0], &[1_140.0]).unwrap().is_customary());
    /// ```
    pub fn is_customary(&self) -> bool {
        self.within <= CUSTOMARY
    }
}

/// A customary rating.
struct Near {
    rating: f64,
    unusual: f64,
    /// How far the value is off, on the logarithm.
    off: f64,
}

/// The rating nearest to a value, an unusual one only where it is that much nearer.
fn nearest(ohms: f64, ratings: &[(f64, f64)]) -> Near {
    let mut best = Near {
        rating: ohms,
        unusual: 0.0,
        off: f64::INFINITY,
    };
    for (rating, unusual) in ratings.iter().copied() {
        let off = (ohms / rating).ln().abs();
        if off + unusual < best.off + best.unusual {
            best = Near {
                rating,
                unusual,
                off,
            };
        }
    }
    best
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
