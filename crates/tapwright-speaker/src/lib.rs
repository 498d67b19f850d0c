//! Speakers and how they are wired together: `8`, `8//8`, `(8+8)//(8+8)`.
#![forbid(unsafe_code)]

use serde::{Deserialize, Serialize};

use tapwright_units::entry::{Complaint, Expected};
use tapwright_units::{Ohms, Unit, Watts};

mod curve;
mod driver;
mod expression;
mod file;
mod mixed;
mod motor;
mod nominal;
mod size;
pub mod sweep;
mod thin;

pub use curve::{Curve, Measured};
pub use driver::{Driver, Known};
pub use expression::{NamedDriver, Places, read_name};
pub use file::{CurveFile, FileProblem, MOST_POINTS, read_points};
pub use mixed::{Mixed, SafePower, ShareAt};
pub use motor::Motor;
pub use nominal::{Inferred, inferred, rating_allowed};
pub use size::Size;
pub use thin::{THINNED_WITHIN, Thinned, thin};

/// The lowest impedance in the rated band, as a share of the rated impedance.
/// IEC 60268-5, rated impedance: the modulus shall not fall below 80 % of it.
pub const LOWEST_SHARE_OF_RATED: f64 = 0.8;

/// Most drivers in one hookup. More do not fit behind one output transformer.
pub const MOST_DRIVERS: usize = 64;

const RATING: Expected = Expected {
    unit: Unit::Watt,
    least: 0.1,
    most: 5_000.0,
    example: "30, or 30, 15 for one and the other",
    noun: "a speaker's power rating",
};

/// One or more drivers wired in series or in parallel. Never empty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hookup {
    /// A single driver with its rated impedance.
    Driver(Ohms),
    /// One current through both.
    Series(Box<(Hookup, Hookup)>),
    /// One voltage across both.
    Parallel(Box<(Hookup, Hookup)>),
}

/// What one driver gets, as shares of what the whole hookup gets.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DriverShare {
    /// Rated impedance of the driver.
    pub rated: Ohms,
    /// Voltage across the driver over the voltage across the hookup, 0 to 1.
    pub voltage: f64,
    /// Current through the driver over the current into the hookup, 0 to 1.
    pub current: f64,
    /// Power in the driver over the power in the hookup, 0 to 1: the shares add up to 1.
    pub power: f64,
    /// What the driver may be given, when the person said so.
    pub rating: Option<Watts>,
    /// Power in the whole hookup at which this driver reaches its rating.
    pub hookup_power_at_rating: Option<Watts>,
}

impl Hookup {
    /// Reads an expression: `//` in parallel binds before `+` in series, brackets for more.
    ///
    /// # Errors
    /// A [`Complaint`] that quotes the part that could not be read.
    ///
    /// ```
    /// use tapwright_speaker::Hookup;
    /// use tapwright_units::Ohms;
    /// assert_eq!(Hookup::read("(8+8)//(8+8)").unwrap().impedance(), Ohms(8.0));
    /// assert_eq!(Hookup::read("4+8//8").unwrap().impedance(), Ohms(8.0));
    /// assert!(Hookup::read("(8+8").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Self, Complaint> {
        Self::read_with(text, &[]).map(|read| read.0)
    }

    /// Reads an expression that may name drivers that are described elsewhere: `A//8`. The
    /// second value has, for each place in order, the rated impedance and the place among
    /// `named` of the driver that stands there, if it is one of them.
    ///
    /// # Errors
    /// As [`Hookup::read`], and for a name that is not known or has no rating.
    ///
    /// ```
    /// use tapwright_speaker::{Hookup, NamedDriver};
    /// use tapwright_units::Ohms;
    /// let a = NamedDriver { name: "A", value: None, rated: Some(Ohms(15.0)) };
    /// let (hookup, places) = Hookup::read_with("a//8", &[a]).unwrap();
    /// assert_eq!((hookup.drivers(), places[0]), (2, (Ohms(15.0), Some(0))));
    /// assert!(Hookup::read_with("B", &[a]).is_err());
    /// ```
    pub fn read_with(text: &str, named: &[NamedDriver]) -> Result<(Self, Places), Complaint> {
        expression::read(text, named)
    }

    /// Impedance of the whole hookup made from rated impedances.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Hookup::read("8//8").unwrap().impedance(), Ohms(4.0));
    /// ```
    pub fn impedance(&self) -> Ohms {
        match self {
            Self::Driver(rated) => *rated,
            Self::Series(pair) => pair.0.impedance().in_series(pair.1.impedance()),
            Self::Parallel(pair) => pair.0.impedance().in_parallel(pair.1.impedance()),
        }
    }

    /// The lowest impedance that hookup may have in the rated band: every driver at
    /// 80 % of its rating (IEC 60268-5). Series and parallel keep the factor.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Hookup::read("8+8").unwrap().lowest_impedance(), Ohms(12.8));
    /// ```
    pub fn lowest_impedance(&self) -> Ohms {
        Ohms(LOWEST_SHARE_OF_RATED * self.impedance().0)
    }

    /// What each driver gets, in the order typed. `ratings` holds none, one for all,
    /// or one for each, in watts.
    ///
    /// Shares of voltage in series and of current in parallel follow the rated
    /// impedances; power is their product.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// let shares = Hookup::read("15//8").unwrap().shares(&[]);
    /// assert!((shares[1].power - 15.0 / 23.0).abs() < 1e-12);
    /// ```
    pub fn shares(&self, ratings: &[Watts]) -> Vec<DriverShare> {
        let mut shares = Vec::new();
        self.share_into(1.0, 1.0, &mut shares);
        for (index, share) in shares.iter_mut().enumerate() {
            share.rating = match ratings {
                [all] => Some(*all),
                each => each.get(index).copied(),
            };
            share.hookup_power_at_rating = share.rating.map(|rating| Watts(rating.0 / share.power));
        }
        shares
    }

    fn share_into(&self, voltage: f64, current: f64, shares: &mut Vec<DriverShare>) {
        match self {
            Self::Driver(rated) => shares.push(DriverShare {
                rated: *rated,
                voltage,
                current,
                power: voltage * current,
                rating: None,
                hookup_power_at_rating: None,
            }),
            Self::Series(pair) => {
                let total = self.impedance().0;
                for part in [&pair.0, &pair.1] {
                    part.share_into(voltage * part.impedance().0 / total, current, shares);
                }
            }
            Self::Parallel(pair) => {
                let total = self.impedance().0;
                for part in [&pair.0, &pair.1] {
                    part.share_into(voltage, current * total / part.impedance().0, shares);
                }
            }
        }
    }

    /// How many drivers there are: one or more.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// assert_eq!(Hookup::read("8+8").unwrap().drivers(), 2);
    /// ```
    pub fn drivers(&self) -> usize {
        match self {
            Self::Driver(_) => 1,
            Self::Series(pair) | Self::Parallel(pair) => pair.0.drivers() + pair.1.drivers(),
        }
    }
}

/// Reads power ratings: none when nothing is typed, one for every driver, or one each.
///
/// # Errors
/// A [`Complaint`] when a value cannot be read, or when there are neither one nor as
/// many as there are drivers.
///
/// ```
/// use tapwright_speaker::read_ratings;
/// use tapwright_units::Watts;
/// assert_eq!(read_ratings("30 W", 2).unwrap(), [Watts(30.0)]);
/// assert!(read_ratings("30, 15, 15", 2).is_err());
/// ```
pub fn read_ratings(text: &str, drivers: usize) -> Result<Vec<Watts>, Complaint> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    let ratings = tapwright_units::list::read(text, &RATING, MOST_DRIVERS)?;
    if ratings.len() != 1 && ratings.len() != drivers {
        return Err(Complaint::new(
            format!(
                "{} ratings for {drivers} speakers: one for all, or one each",
                ratings.len()
            ),
            RATING.example,
        ));
    }
    Ok(ratings.iter().map(|rating| Watts(rating.value)).collect())
}

/// The power in the whole hookup at which the first driver reaches its rating, and
/// that driver's place among `shares`. `None` unless every driver has a rating.
///
/// ```
/// use tapwright_speaker::{largest_power, Hookup};
/// use tapwright_units::Watts;
/// let shares = Hookup::read("15//8").unwrap().shares(&[Watts(15.0), Watts(15.0)]);
/// let (power, first) = largest_power(&shares).unwrap();
/// assert_eq!((power, first), (Watts(23.0), 1));
/// ```
pub fn largest_power(shares: &[DriverShare]) -> Option<(Watts, usize)> {
    let mut least: Option<(Watts, usize)> = None;
    for (index, share) in shares.iter().enumerate() {
        let power = share.hookup_power_at_rating?;
        if least.is_none_or(|(so_far, _)| power.0 < so_far.0 * (1.0 - 1e-12)) {
            least = Some((power, index));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use super::*;

    fn impedance(text: &str) -> f64 {
        Hookup::read(text)
            .unwrap_or_else(|c| panic!("{text}: {}", c.why))
            .impedance()
            .0
    }

    #[test]
    fn series_and_parallel_add_up() {
        for (text, ohms) in [
            ("8", 8.0),
            ("8//8", 4.0),
            ("8 || 8", 4.0),
            ("8∥8", 4.0),
            ("8+8", 16.0),
            ("(8+8)//(8+8)", 8.0),
            ("8+8//8", 12.0),
            ("[16//16] + 4R7", 12.7),
            ("15 ohm // 8 Ω", 15.0 * 8.0 / 23.0),
            ("((8))", 8.0),
            ("2,7+2.7", 5.4),
        ] {
            assert!(
                (impedance(text) / ohms - 1.0).abs() < 1e-12,
                "{text}: {}",
                impedance(text)
            );
        }
    }

    #[test]
    fn what_cannot_be_wired_says_why() {
        for (text, why) in [
            ("", "nothing typed"),
            ("8//", "missing at the end"),
            ("+8", "missing before “+”"),
            ("8/8", "// means in parallel"),
            ("8 8", "between 8 and 8"),
            ("(8+8", "opened and not closed"),
            ("8+8)", "never opened"),
            ("8(8)", "before “(”"),
            ("2*8", "not 2×8"),
            ("2x8", "not 2×8"),
            ("8 parallel 8", "in parallel //"),
            ("8@30", "under Power rating"),
            ("8,8", "one comma"),
            ("16,8", "one comma"),
            ("3 ohn", "“ohn” is not a unit"),
            ("0", "is zero"),
            ("8//0", "is zero"),
            ("-8", "negative"),
            ("8k", "larger"),
            ("()", "missing before “)”"),
        ] {
            let got = Hookup::read(text).expect_err(text).why;
            assert!(got.contains(why), "{text}: {got}");
        }
    }

    #[test]
    fn ten_thousand_speakers_and_deep_brackets_are_refused() {
        let many = vec!["8"; 10_000].join("+");
        assert!(
            Hookup::read(&many)
                .expect_err("many")
                .why
                .contains("too many")
        );
        let over = vec!["8"; 65].join("+");
        assert!(
            Hookup::read(&over)
                .expect_err("65")
                .why
                .contains("64 are the most")
        );
        let deep = format!("{}8{}", "(".repeat(900), ")".repeat(900));
        assert!(
            Hookup::read(&deep)
                .expect_err("deep")
                .why
                .contains("nested")
        );
    }

    /// Shares add up: power to one; along a series path the voltages, at a junction the currents.
    #[test]
    fn shares_of_an_unlike_hookup() {
        let shares = Hookup::read("4+(8//16)").unwrap().shares(&[]);
        let total = 4.0 + 16.0 / 3.0;
        assert!((shares[0].voltage - 4.0 / total).abs() < 1e-12);
        assert!((shares[1].voltage - shares[2].voltage).abs() < 1e-12);
        assert!((shares[1].current + shares[2].current - 1.0).abs() < 1e-12);
        assert!((shares.iter().map(|s| s.power).sum::<f64>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn ratings_one_for_all_or_one_each() {
        assert!(read_ratings(" ", 2).unwrap().is_empty());
        assert_eq!(
            read_ratings("30, 15", 2).unwrap(),
            [Watts(30.0), Watts(15.0)]
        );
        assert!(read_ratings("30, 0", 2).is_err());
        let alike = Hookup::read("8//8").unwrap().shares(&[Watts(10.0)]);
        assert_eq!(largest_power(&alike), Some((Watts(20.0), 0)));
        assert_eq!(largest_power(&Hookup::read("8").unwrap().shares(&[])), None);
    }
}
