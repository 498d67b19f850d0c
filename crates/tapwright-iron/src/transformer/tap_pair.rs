//! Parts of a tapped secondary: from the common lead to a tap, or between two taps.

use serde::{Deserialize, Serialize};

use super::Transformer;
use tapwright_units::Ohms;

/// Two different taps used as the two ends of the secondary, by their place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(into = "(usize, usize)", try_from = "(usize, usize)")]
pub struct TapPair {
    first: usize,
    second: usize,
}

impl TapPair {
    /// The pair between taps `a` and `b`, in either order; `None` when they are one tap.
    ///
    /// ```
    /// use tapwright_iron::transformer::TapPair;
    /// assert_eq!(TapPair::new(2, 0), TapPair::new(0, 2));
    /// assert_eq!(TapPair::new(1, 1), None);
    /// ```
    pub fn new(a: usize, b: usize) -> Option<Self> {
        (a != b).then(|| Self {
            first: a.min(b),
            second: a.max(b),
        })
    }

    /// Places of the two taps in the list, the smaller first.
    ///
    /// ```
    /// # use tapwright_iron::transformer::TapPair;
    /// assert_eq!(TapPair::new(2, 0).unwrap().taps(), (0, 2));
    /// ```
    pub fn taps(self) -> (usize, usize) {
        (self.first, self.second)
    }
}

impl From<TapPair> for (usize, usize) {
    fn from(pair: TapPair) -> Self {
        pair.taps()
    }
}

impl TryFrom<(usize, usize)> for TapPair {
    type Error = &'static str;

    fn try_from((a, b): (usize, usize)) -> Result<Self, Self::Error> {
        Self::new(a, b).ok_or("a tap pair needs two different taps")
    }
}

/// The part of the secondary that a speaker is wired to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Secondary {
    /// From the common lead to one tap.
    Tap(usize),
    /// Between two taps.
    Pair(TapPair),
}

impl Secondary {
    /// Every way to use a secondary with so many taps: each tap, then each pair of taps.
    ///
    /// ```
    /// use tapwright_iron::transformer::Secondary;
    /// assert_eq!(Secondary::all(3).count(), 6);
    /// ```
    pub fn all(taps: usize) -> impl Iterator<Item = Self> {
        let pairs = (0..taps)
            .flat_map(move |a| (a + 1..taps).filter_map(move |b| TapPair::new(a, b)))
            .map(Self::Pair);
        (0..taps).map(Self::Tap).chain(pairs)
    }
}

/// Why a tap pair is shown and not recommended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Degenerate {
    /// Its rating is below half an ohm: leads and contacts are a large part of that.
    UnderHalfAnOhm,
    /// It has less than a fifth of the secondary's turns: the rest couples by leakage only.
    FewTurns,
}

/// A tap pair with a rating below this is degenerate, in ohms. Common practice, no source.
pub const DEGENERATE_OHMS: f64 = 0.5;

/// A tap pair with less than this share of the secondary's turns is degenerate. Common
/// practice, no source.
pub const DEGENERATE_TURNS: f64 = 0.2;

/// Rated impedance of the turns between two taps of one winding: `(√Z_a − √Z_b)²`, from equal
/// volts per turn. Both ratings are above zero.
///
/// ```
/// use tapwright_iron::transformer::tap_pair_impedance;
/// use tapwright_units::Ohms;
/// assert!((tap_pair_impedance(Ohms(8.0), Ohms(15.0)).0 - 1.0911).abs() < 1e-4);
/// ```
pub fn tap_pair_impedance(a: Ohms, b: Ohms) -> Ohms {
    Ohms((a.0.sqrt() - b.0.sqrt()).powi(2))
}

impl Transformer {
    /// Why a way to use the secondary is degenerate; `None` when it is not.
    ///
    /// ```
    /// # use tapwright_iron::transformer::*;
    /// # use tapwright_units::Ohms;
    /// let taps = [3.0, 4.0, 8.0].map(|z| Tap { name: String::new(), rated: Ohms(z), guessed: false });
    /// let t = Transformer { leads: vec![], taps: taps.into(), line: None };
    /// let pair = Secondary::Pair(TapPair::new(0, 1).unwrap());
    /// assert_eq!(t.degenerate(pair), Some(Degenerate::UnderHalfAnOhm));
    /// ```
    pub fn degenerate(&self, secondary: Secondary) -> Option<Degenerate> {
        let Secondary::Pair(_) = secondary else {
            return None;
        };
        let rated = self.rated(secondary)?.0;
        let whole = self.taps.iter().map(|tap| tap.rated.0).fold(0.0, f64::max);
        if rated < DEGENERATE_OHMS {
            Some(Degenerate::UnderHalfAnOhm)
        } else if (rated / whole).sqrt() < DEGENERATE_TURNS {
            Some(Degenerate::FewTurns)
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::transformer::{read_leads, read_taps};

    fn transformer(taps: &str) -> Transformer {
        Transformer {
            leads: read_leads("8k").expect("leads"),
            taps: read_taps(taps).expect("taps"),
            line: None,
        }
    }

    /// Exact arithmetic from equal volts per turn.
    #[test]
    fn tap_pairs() {
        for (taps, pairs) in [
            ("4, 8, 16", [(0, 1, 0.6863), (1, 2, 1.3726), (0, 2, 4.0)]),
            ("3, 8, 15", [(0, 1, 1.2020), (1, 2, 1.0911), (0, 2, 4.5836)]),
        ] {
            let transformer = transformer(taps);
            for (a, b, ohms) in pairs {
                let pair = Secondary::Pair(TapPair::new(a, b).expect("two taps"));
                let rated = transformer.rated(pair).expect("rated").0;
                assert!((rated - ohms).abs() < 5e-5, "{taps} {a}-{b}: {rated}");
            }
        }
    }

    #[test]
    fn degenerate_pairs() {
        let pair = |a, b| Secondary::Pair(TapPair::new(a, b).expect("two taps"));
        let close = transformer("100, 130");
        assert_eq!(close.degenerate(pair(0, 1)), Some(Degenerate::FewTurns));
        let usual = transformer("4, 8, 16");
        assert_eq!(usual.degenerate(pair(0, 1)), None);
        assert_eq!(usual.degenerate(Secondary::Tap(0)), None);
    }
}
