//! The output transformer as it is stamped: primary leads, secondary taps, and the
//! turns that their rated impedances imply.

use serde::{Deserialize, Serialize};

use tapwright_units::{Ohms, Volts, Watts};

mod choice;
mod ratings;
mod tap_pair;

pub use choice::Choice;
pub use ratings::{power_tap_impedance, read_leads, read_line_volts, read_power_taps, read_taps};
pub use tap_pair::{DEGENERATE_OHMS, DEGENERATE_TURNS, Degenerate, Secondary, TapPair, between};

/// Most primary leads, and most secondary taps, that one transformer may have.
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
            Secondary::Pair(pair) => Some(between(tap(pair.taps().0)?, tap(pair.taps().1)?)),
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

    /// The power tap in the middle of the turns of another one, by their places, on a line
    /// transformer: a quarter of its impedance, within what rounded watts are off. B+ goes
    /// there in push-pull. Stamped leads of an ordinary transformer have a centre tap of their
    /// own.
    pub fn middle(&self, lead: usize) -> Option<usize> {
        self.line?;
        let whole = self.leads.get(lead)?.rated.0;
        (self.leads.iter()).position(|lead| (4.0 * lead.rated.0 / whole - 1.0).abs() < 0.05)
    }

    /// The largest share of its winding's turns that a connection uses, primary times
    /// secondary, 0 to 1: of two connections with one ratio, the one with less idle copper.
    pub fn turns_in_use(&self, lead: usize, secondary: Secondary) -> f64 {
        let share = |rated: Option<f64>, all: &mut dyn Iterator<Item = f64>| {
            rated.unwrap_or(0.0) / all.fold(f64::MIN_POSITIVE, f64::max)
        };
        let primary = share(
            self.leads.get(lead).map(|lead| lead.rated.0),
            &mut self.leads.iter().map(|lead| lead.rated.0),
        );
        let secondary = share(
            self.rated(secondary).map(|rated| rated.0),
            &mut self.taps.iter().map(|tap| tap.rated.0),
        );
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
