//! The output transformer as it is stamped: primary leads, secondary taps, and the
//! turns that their rated impedances imply.

use serde::{Deserialize, Serialize};

use tapwright_units::entry::{Complaint, Expected};
use tapwright_units::list::{self, Named};
use tapwright_units::{Ohms, Unit, Volts, Watts};

/// Most primary leads, and most secondary taps, that one transformer may have.
pub const MOST_LEADS: usize = 16;

const PRIMARY: Expected = Expected {
    unit: Unit::Ohm,
    least: 50.0,
    most: 1e6,
    example: "8k, or brown 8k, blue 10k",
    noun: "a primary rating",
};

const TAP: Expected = Expected {
    unit: Unit::Ohm,
    least: 0.1,
    most: 2_000.0,
    example: "8, or 3, 8, 15",
    noun: "a secondary tap’s rating",
};

const LINE_TAP: Expected = Expected {
    unit: Unit::Watt,
    least: 0.01,
    most: 1_000.0,
    example: "10, or 1, 2.5, 5, 10",
    noun: "a power tap",
};

const LINE_VOLTS: Expected = Expected {
    unit: Unit::Volt,
    least: 10.0,
    most: 250.0,
    example: "100",
    noun: "a line voltage",
};

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

/// What of the secondary a speaker is wired to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Secondary {
    /// From the common lead to one tap.
    Tap(usize),
    /// Between two taps.
    Pair(TapPair),
}

/// Why a tap pair is shown and not recommended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Degenerate {
    /// Rated under half an ohm: leads and contacts are a good part of that.
    UnderHalfAnOhm,
    /// Fewer than a fifth of the secondary's turns: the rest couples by leakage only.
    FewTurns,
}

/// Below this rating a tap pair is degenerate, in ohms. Common practice, no source.
pub const DEGENERATE_OHMS: f64 = 0.5;

/// Below this share of the secondary's turns a pair is degenerate. Common practice, no source.
pub const DEGENERATE_TURNS: f64 = 0.2;

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
        let count = self.taps.len();
        let pairs = (0..count)
            .flat_map(move |a| (a + 1..count).filter_map(move |b| TapPair::new(a, b)))
            .map(Secondary::Pair);
        (0..count).map(Secondary::Tap).chain(pairs)
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
            Secondary::Pair(pair) => Some(between(tap(pair.first)?, tap(pair.second)?)),
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

    /// Whether a way of using the secondary is degenerate, and why.
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

/// Rated impedance of the turns between two taps of one winding: `(√Z_a − √Z_b)²`.
/// Both in ohms, above zero.
///
/// ```
/// use tapwright_iron::transformer::between;
/// use tapwright_units::Ohms;
/// assert!((between(Ohms(8.0), Ohms(15.0)).0 - 1.0911).abs() < 1e-4);
/// ```
pub fn between(a: Ohms, b: Ohms) -> Ohms {
    Ohms((a.0.sqrt() - b.0.sqrt()).powi(2))
}

/// Primary impedance of a line transformer's power tap: `V²/P`.
///
/// ```
/// use tapwright_iron::transformer::power_tap_impedance;
/// use tapwright_units::*;
/// assert_eq!(power_tap_impedance(Volts(100.0), Watts(2.5)), Ohms(4_000.0));
/// ```
pub fn power_tap_impedance(line: Volts, tap: Watts) -> Ohms {
    Ohms(line.0.powi(2) / tap.0)
}

/// Reads primary leads with rated impedances.
///
/// # Errors
/// A [`Complaint`] when one cannot be read, or the same rating stands there twice.
///
/// ```
/// let leads = tapwright_iron::transformer::read_leads("brown 8k, blue 10k").unwrap();
/// assert_eq!(leads[1].name, "blue");
/// ```
pub fn read_leads(text: &str) -> Result<Vec<PrimaryLead>, Complaint> {
    let named = unlike(
        list::read(text, &PRIMARY, MOST_LEADS)?,
        &PRIMARY,
        "primary lead",
    )?;
    Ok(named
        .into_iter()
        .map(|n| PrimaryLead {
            name: n.name,
            rated: Ohms(n.value),
            power_tap: None,
            guessed: false,
        })
        .collect())
}

/// Reads the power taps of a line transformer for line voltage `line`.
///
/// # Errors
/// A [`Complaint`] when one cannot be read, or the same power stands there twice.
///
/// ```
/// use tapwright_iron::transformer::read_power_taps;
/// use tapwright_units::*;
/// let leads = read_power_taps("1, 2.5, 5, 10", Volts(100.0)).unwrap();
/// assert_eq!(leads[3].rated, Ohms(1_000.0));
/// ```
pub fn read_power_taps(text: &str, line: Volts) -> Result<Vec<PrimaryLead>, Complaint> {
    let named = unlike(
        list::read(text, &LINE_TAP, MOST_LEADS)?,
        &LINE_TAP,
        "power tap",
    )?;
    Ok(named
        .into_iter()
        .map(|n| PrimaryLead {
            name: n.name,
            rated: power_tap_impedance(line, Watts(n.value)),
            power_tap: Some(Watts(n.value)),
            guessed: false,
        })
        .collect())
}

/// Reads the line voltage of a line transformer.
///
/// # Errors
/// A [`Complaint`] when it cannot be read or no line has that voltage.
///
/// ```
/// use tapwright_iron::transformer::read_line_volts;
/// use tapwright_units::Volts;
/// assert_eq!(read_line_volts("100 V"), Ok(Volts(100.0)));
/// ```
pub fn read_line_volts(text: &str) -> Result<Volts, Complaint> {
    LINE_VOLTS.read(text).map(Volts)
}

/// Reads secondary taps with rated impedances.
///
/// # Errors
/// A [`Complaint`] when one cannot be read, or the same rating stands there twice.
///
/// ```
/// assert_eq!(tapwright_iron::transformer::read_taps("3, 8, 15").unwrap().len(), 3);
/// assert!(tapwright_iron::transformer::read_taps("8, 8").is_err());
/// ```
pub fn read_taps(text: &str) -> Result<Vec<Tap>, Complaint> {
    let named = unlike(list::read(text, &TAP, MOST_LEADS)?, &TAP, "tap")?;
    Ok(named
        .into_iter()
        .map(|n| Tap {
            name: n.name,
            rated: Ohms(n.value),
            guessed: false,
        })
        .collect())
}

/// Two taps of one winding with one rating are one tap: a pair of them has no turns.
fn unlike(named: Vec<Named>, expected: &Expected, what: &str) -> Result<Vec<Named>, Complaint> {
    let twice = named.iter().enumerate().find(|(at, this)| {
        named[..*at]
            .iter()
            .any(|before| (before.value / this.value - 1.0).abs() < 1e-9)
    });
    match twice {
        None => Ok(named),
        Some((_, this)) => Err(Complaint::new(
            format!(
                "{} {} stands there twice, and each {what} has a rating of its own",
                tapwright_units::entry::shortest(this.value),
                expected.unit.symbol()
            ),
            expected.example,
        )),
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

    /// `V²/P`, exact arithmetic.
    #[test]
    fn power_taps_of_a_100_volt_line() {
        let leads = read_power_taps("1, 2.5, 5, 10", Volts(100.0)).expect("taps");
        let ohms: Vec<f64> = leads.iter().map(|lead| lead.rated.0).collect();
        assert_eq!(ohms, [10e3, 4e3, 2e3, 1e3]);
    }

    #[test]
    fn a_tap_typed_twice_is_refused_with_its_value() {
        assert!(
            read_taps("4, 8, 8.0")
                .expect_err("twice")
                .why
                .contains("8 Ω stands there twice")
        );
        assert!(read_leads("8k, 8000").is_err());
        assert!(read_power_taps("5, 5W", Volts(100.0)).is_err());
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

    #[test]
    fn a_missing_lead_or_tap_has_no_ratio() {
        let transformer = transformer("8");
        assert_eq!(transformer.turns_ratio(1, Secondary::Tap(0)), None);
        assert_eq!(transformer.turns_ratio(0, Secondary::Tap(1)), None);
    }
}
