//! The output transformer as it is stamped: primary leads, secondary taps, and the turns that
//! follow from their rated impedances.

use serde::{Deserialize, Serialize};

use tapwright_units::{Ohms, Volts, Watts};

mod choice;
mod end_lead;
mod ratings;
mod tap_pair;

pub use choice::Choice;
pub use end_lead::{End, split_off};
pub use ratings::{power_tap_impedance, read_leads, read_line_volts, read_power_taps, read_taps};
pub use tap_pair::{
    DEGENERATE_OHMS, DEGENERATE_TURNS, Degenerate, Secondary, TapPair, tap_pair_impedance,
};

/// One transformer has at most so many primary leads, and so many secondary taps.
pub const MOST_LEADS: usize = 16;

/// A primary lead: plate to B+ of a single-ended stage, plate to plate of a push-pull one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PrimaryLead {
    /// Name or colour as typed; empty when none was.
    pub name: String,
    /// Rated impedance. For a line transformer's power tap, `V²/P`.
    pub rated: Ohms,
    /// The power tap of a line transformer that this lead is.
    pub power_tap: Option<Watts>,
    /// Whether the turns were measured, and the rating is a guess of their scale.
    #[serde(default)]
    pub guessed: bool,
}

/// A secondary tap, rated against the common lead.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tap {
    /// Name or colour as typed; empty when none was.
    pub name: String,
    /// Rated impedance.
    pub rated: Ohms,
    /// Whether the turns were measured, and the rating is a guess of their scale.
    #[serde(default)]
    pub guessed: bool,
}

/// An output transformer with at least one primary lead and one secondary tap.
///
/// Ratings are read as turns: all windings share the core's flux, so `N ∝ √Z_rated`.
/// Whether a maker's rating counts the copper is unknown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Transformer {
    /// Primary leads as typed, in the order typed.
    pub leads: Vec<PrimaryLead>,
    /// Secondary taps as typed, in the order typed.
    pub taps: Vec<Tap>,
    /// Line voltage, when this is a line transformer with power taps.
    pub line: Option<Volts>,
}

impl Transformer {
    /// Every way to use the secondary: each tap, then each pair of taps.
    ///
    /// ```
    /// # use tapwright_iron::transformer::*;
    /// # use tapwright_units::Ohms;
    /// let taps = [3.0, 8.0, 15.0].map(|z| Tap { name: String::new(), rated: Ohms(z), guessed: false });
    /// let t = Transformer { leads: vec![], taps: taps.into(), line: None };
    /// assert_eq!(t.secondaries().count(), 6);
    /// ```
    pub fn secondaries(&self) -> impl Iterator<Item = Secondary> + '_ {
        Secondary::all(self.taps.len())
    }

    /// Rated impedance of a tap, or of the turns between two taps:
    /// `Z_ab = (√Z_a − √Z_b)²`, from equal volts per turn. `None` for a tap that is not there.
    ///
    /// ```
    /// # use tapwright_iron::transformer::*;
    /// # use tapwright_units::Ohms;
    /// let taps = [4.0, 8.0, 16.0].map(|z| Tap { name: String::new(), rated: Ohms(z), guessed: false });
    /// let t = Transformer { leads: vec![], taps: taps.into(), line: None };
    /// let pair = Secondary::Pair(TapPair::new(0, 2).unwrap());
    /// assert_eq!(t.rated(pair), Some(Ohms(4.0)));
    /// ```
    pub fn rated(&self, secondary: Secondary) -> Option<Ohms> {
        let tap = |at: usize| self.taps.get(at).map(|tap| tap.rated);
        match secondary {
            Secondary::Tap(at) => tap(at),
            Secondary::Pair(pair) => {
                Some(tap_pair_impedance(tap(pair.taps().0)?, tap(pair.taps().1)?))
            }
        }
    }

    /// Turns of the primary over turns of the secondary, `n = √(Z_p / Z_s)`.
    /// `None` for a lead or tap that is not there.
    ///
    /// ```
    /// # use tapwright_iron::transformer::*;
    /// # use tapwright_units::Ohms;
    /// let lead = PrimaryLead { name: String::new(), rated: Ohms(8_000.0), power_tap: None, guessed: false };
    /// let tap = Tap { name: String::new(), rated: Ohms(15.0), guessed: false };
    /// let t = Transformer { leads: vec![lead], taps: vec![tap], line: None };
    /// assert!((t.turns_ratio(0, Secondary::Tap(0)).unwrap() - 23.094).abs() < 1e-3);
    /// ```
    pub fn turns_ratio(&self, lead: usize, secondary: Secondary) -> Option<f64> {
        Some((self.leads.get(lead)?.rated.0 / self.rated(secondary)?.0).sqrt())
    }

    /// The power tap of a line transformer that lies in the middle of the turns of another one,
    /// by their places: it has a quarter of its impedance, within the rounding of the watts. In
    /// push-pull B+ goes there. An ordinary transformer has a centre tap besides the stamped
    /// leads.
    pub fn middle(&self, lead: usize) -> Option<usize> {
        self.line?;
        let whole = self.leads.get(lead)?.rated.0;
        (self.leads.iter()).position(|lead| (4.0 * lead.rated.0 / whole - 1.0).abs() < 0.05)
    }

    /// The share of the primary's turns that a connection uses times the share of the
    /// secondary's, 0 to 1. Of two connections with one ratio, the one with the larger share
    /// leaves less copper idle.
    pub fn turns_in_use(&self, lead: usize, secondary: Secondary) -> f64 {
        let most = |all: Vec<f64>| all.into_iter().fold(f64::MIN_POSITIVE, f64::max);
        let leads: Vec<f64> = self.leads.iter().map(|lead| lead.rated.0).collect();
        let primary = leads.get(lead).copied().unwrap_or(0.0) / most(leads);
        let taps = self.taps.iter().map(|tap| tap.rated.0).collect();
        let secondary = self.rated(secondary).map_or(0.0, |rated| rated.0) / most(taps);
        (primary * secondary).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn transformer(taps: &str) -> Transformer {
        Transformer {
            leads: read_leads("8k").expect("leads"),
            taps: read_taps(taps).expect("taps"),
            line: None,
        }
    }

    #[test]
    fn a_missing_lead_or_tap_has_no_ratio() {
        let transformer = transformer("8");
        assert_eq!(transformer.turns_ratio(1, Secondary::Tap(0)), None);
        assert_eq!(transformer.turns_ratio(0, Secondary::Tap(1)), None);
    }
}
