//! One number as it is typed at the bench: `8k`, `6k6`, `4R7`, `2,2 kΩ`, `250 V`.
//!
//! Letters in place of the decimal mark follow IEC 60062. A number that two
//! readers would read differently (`8,000`) is refused, never guessed.

pub use crate::complaint::Complaint;
use crate::joined::{Joined, Parts};
use crate::slip;
pub use crate::text::{LONGEST_ENTRY, excerpt, tidy};
use crate::written::as_written;
use crate::{Ohms, Unit};

/// Most resistances in one field.
const MOST_JOINED: usize = 64;

/// More than the resistance of anything at a bench, Ω.
const MOST_OHMS: f64 = 1e12;

/// What one field takes: its unit and the range that makes sense at a bench.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// What the number counts.
    pub unit: Unit,
    /// The smallest value taken, in that unit.
    pub least: f64,
    /// The largest value taken, in that unit.
    pub most: f64,
    /// Something that is understood here.
    pub example: &'static str,
    /// What the number is, for the message: "a primary rating".
    pub noun: &'static str,
    /// Whether ohms may be typed as resistances in series, `220+270`, and in parallel,
    /// `470//470`. Ratings of two leads are no resistances that add up.
    pub joined: bool,
}

impl Expected {
    /// Reads one number in this unit and refuses one that is out of range.
    ///
    /// # Errors
    /// A [`Complaint`] when the text is empty, is not a number, has another unit, can be read
    /// in two ways, or is out of range.
    ///
    /// ```
    /// use tapwright_units::entry::Expected;
    /// use tapwright_units::Unit;
    /// let field = Expected { unit: Unit::Ohm, least: 0.1, most: 1e6, example: "8k", noun: "a resistor", joined: true };
    /// assert_eq!(field.read("6k6"), Ok(6_600.0));
    /// assert_eq!(field.read("4R7"), Ok(4.7));
    /// assert_eq!(field.read("2,2 kΩ"), Ok(2_200.0));
    /// assert_eq!(field.read("1k + 470//470"), Ok(1_235.0));
    /// assert!(field.read("8,000").is_err());
    /// assert!(field.read("3 ohn").is_err());
    /// ```
    pub fn read(&self, text: &str) -> Result<f64, Complaint> {
        let value = match number(text, self.unit) {
            Ok(value) => value,
            Err(_) if self.joined && text.contains(JOINING) => self.joined_ohms(text)?.0,
            Err(why) => return Err(Complaint::new(why, self.example)),
        };
        self.in_range(value, text)
    }

    /// Whether a text is a value in this unit, in range or not.
    pub(crate) fn understands(&self, text: &str) -> bool {
        number(text, self.unit).is_ok() || (self.joined && self.joined_ohms(text).is_ok())
    }

    /// Reads resistances in series and in parallel.
    fn joined_ohms(&self, text: &str) -> Result<Ohms, Complaint> {
        let parts = Parts {
            called: "resistance",
            most: MOST_JOINED,
            example: self.example,
        };
        let one = Self {
            least: f64::MIN_POSITIVE,
            most: MOST_OHMS,
            joined: false,
            ..*self
        };
        Ok(ohms(&parts.read(text, |part| one.read(part).map(Ohms))?))
    }

    fn in_range(&self, value: f64, text: &str) -> Result<f64, Complaint> {
        let typed = excerpt(text.trim());
        let why = if self.least <= 0.0 && value > self.most {
            format!(
                "“{typed}” is above what {} can be, {}",
                self.noun,
                self.written(self.most)
            )
        } else if self.least <= 0.0 && value < self.least {
            format!(
                "“{typed}” is below what {} can be, {}",
                self.noun,
                self.written(self.least)
            )
        } else if self.least <= 0.0 {
            return Ok(value);
        } else if value == 0.0 {
            format!("“{typed}” is zero, and {} is above zero", self.noun)
        } else if value < 0.0 {
            format!("“{typed}” is negative, and {} is above zero", self.noun)
        } else if value < self.least {
            format!(
                "“{typed}” is smaller than {} can be, {}",
                self.noun,
                self.written(self.least)
            )
        } else if value > self.most {
            format!(
                "“{typed}” is larger than {} can be, {}",
                self.noun,
                self.written(self.most)
            )
        } else {
            return Ok(value);
        };
        Err(Complaint::new(why, self.example))
    }

    /// An end of the range as one would type it: `100 kΩ`.
    fn written(&self, value: f64) -> String {
        let (scale, prefix) = match value.abs() {
            size if size >= 1e6 => (1e6, "M"),
            size if size >= 1e4 => (1e3, "k"),
            _ => (1.0, ""),
        };
        let value = value / scale;
        format!("{} {prefix}{}", shortest(value), self.unit.symbol())
            .trim_end()
            .to_owned()
    }
}

/// What stands in an expression of resistances and in no number.
const JOINING: [char; 7] = ['+', '/', '(', '[', '|', '∥', '‖'];

fn ohms(joined: &Joined<Ohms>) -> Ohms {
    match joined {
        Joined::One(ohms) => *ohms,
        Joined::Series(pair) => ohms(&pair.0).in_series(ohms(&pair.1)),
        Joined::Parallel(pair) => ohms(&pair.0).in_parallel(ohms(&pair.1)),
    }
}

/// A value as one would type it: at most six decimal places, without trailing zeros.
pub fn shortest(value: f64) -> String {
    format!("{value:.6}")
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

/// Reads one number in `unit`.
///
/// # Errors
/// The reason in words.
pub fn number(text: &str, unit: Unit) -> Result<f64, String> {
    number_and_count(text, unit).map(|(value, _)| value)
}

/// Reads one number in `unit`, and what one more in its last digit would add.
///
/// # Errors
/// The reason in words.
///
/// ```
/// use tapwright_units::{Unit, entry::number_and_count};
/// let (volts, count) = number_and_count("6.30 mV", Unit::Volt).unwrap();
/// assert!((volts - 6.3e-3).abs() < 1e-12 && (count - 1e-5).abs() < 1e-12);
/// ```
pub fn number_and_count(text: &str, unit: Unit) -> Result<(f64, f64), String> {
    if text.len() > LONGEST_ENTRY {
        return Err(format!(
            "{} characters are too many for one number",
            text.len()
        ));
    }
    let tidied = tidy(text);
    let typed = tidied.trim();
    if typed.is_empty() {
        return Err("nothing typed".into());
    }
    as_written(typed, unit).map_err(|why| slip::what_was_meant(typed, unit).unwrap_or(why))
}

#[cfg(test)]
mod tests {
    use super::*;

    const OHMS: Expected = Expected {
        unit: Unit::Ohm,
        least: 0.1,
        most: 1e6,
        example: "8k",
        noun: "a resistor",
        joined: true,
    };

    fn near(text: &str, expected: f64) {
        let got = OHMS
            .read(text)
            .unwrap_or_else(|c| panic!("{text}: {}", c.why));
        assert!(
            (got / expected - 1.0).abs() < 1e-12,
            "{text} gave {got}, expected {expected}"
        );
    }

    /// IEC 60062, clause on the letter and digit code for resistance (from memory).
    #[test]
    fn letters_stand_for_the_decimal_mark() {
        for (text, ohms) in [
            ("R47", 0.47),
            ("4R7", 4.7),
            ("47R", 47.0),
            ("4K7", 4_700.0),
            ("1M", 1e6),
        ] {
            near(text, ohms);
        }
    }

    #[test]
    fn bench_spellings_are_understood() {
        for (text, ohms) in [
            ("8", 8.0),
            (" 8 Ω ", 8.0),
            ("8\u{2126}", 8.0),
            ("8 OHMS", 8.0),
            ("8kΩ", 8e3),
            ("8 k ohm", 8e3),
            ("6k6", 6.6e3),
            ("2,2k", 2.2e3),
            ("0,125k", 125.0),
            ("1e3", 1e3),
            (".5", 0.5),
            ("5.", 5.0),
            ("4r7 ohm", 4.7),
            ("0.1meg", 1e5),
        ] {
            near(text, ohms);
        }
    }

    #[test]
    fn what_cannot_be_read_says_why() {
        for (text, why) in [
            ("", "nothing typed"),
            ("   ", "nothing typed"),
            ("eight", "not a number"),
            ("0", "is zero"),
            ("-8", "negative"),
            ("\u{2212}8", "negative"),
            ("1e-9", "smaller"),
            ("1e400", "larger"),
            ("8 V", "not a unit"),
            ("8m", "smaller"),
            ("8,000", "can be read as 8000 or as 8.000"),
            ("8k8k", "not a unit"),
            ("NaN", "not a number"),
            ("inf", "not a number"),
            ("8 8", "not a unit"),
        ] {
            let complaint = OHMS.read(text).expect_err(text);
            assert!(complaint.why.contains(why), "{text}: {}", complaint.why);
            assert_eq!(complaint.example, "8k");
        }
    }

    /// Two resistors of 470 Ω side by side are 235 Ω. Exact arithmetic.
    #[test]
    fn resistances_in_series_and_in_parallel() {
        for (text, ohms) in [
            ("470//470", 235.0),
            ("470 || 470", 235.0),
            ("220 + 270", 490.0),
            ("1k+470//470", 1_235.0),
            ("(1k + 1k)//2k", 1_000.0),
            ("4R7 ohm + 0,3 Ω", 5.0),
            ("1e+3", 1_000.0),
        ] {
            near(text, ohms);
        }
        for (text, why) in [
            ("470//", "a resistance is missing at the end"),
            ("470/470", "// means in parallel"),
            ("470//0", "“0” is zero"),
            ("470//-470", "“-470” is negative"),
            ("470 + x", "“x” is not a number"),
            ("(470", "opened and not closed"),
            (
                "900k+900k",
                "“900k+900k” is larger than a resistor can be, 1 MΩ",
            ),
        ] {
            let complaint = OHMS.read(text).expect_err(text);
            assert!(complaint.why.contains(why), "{text}: {}", complaint.why);
        }
        let rating = Expected {
            joined: false,
            ..OHMS
        };
        assert!(rating.read("8k+8k").is_err());
    }

    #[test]
    fn an_enormous_text_is_refused_by_its_length() {
        let why = OHMS.read(&"8".repeat(1_000_000)).expect_err("too long").why;
        assert!(why.contains("too many"), "{why}");
    }
}
