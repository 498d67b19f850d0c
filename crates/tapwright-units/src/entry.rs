//! One number as it is typed at the bench: `8k`, `6k6`, `4R7`, `2,2 kΩ`, `250 V`.
//!
//! Letters in place of the decimal mark follow IEC 60062. A number that two
//! readers would read differently (`8,000`) is refused, never guessed.

use serde::{Deserialize, Serialize};

use crate::Unit;
use crate::numeral::{DecimalMark, Numeral};

/// Longest text that a field is read from, in bytes. Nobody types more than that.
pub const LONGEST_ENTRY: usize = 2_000;

/// Why a field could not be read, for the person who typed it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Complaint {
    /// What is wrong, in one sentence without a full stop.
    pub why: String,
    /// Something that would have been understood here.
    pub example: String,
}

impl Complaint {
    /// A complaint with a reason and an example of what would be understood.
    ///
    /// ```
    /// # use tapwright_units::entry::Complaint;
    /// let c = Complaint::new("nothing typed", "8k");
    /// assert_eq!(c.example, "8k");
    /// ```
    pub fn new(why: impl Into<String>, example: impl Into<String>) -> Self {
        Self {
            why: why.into(),
            example: example.into(),
        }
    }
}

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
    /// let field = Expected { unit: Unit::Ohm, least: 0.1, most: 1e6, example: "8k", noun: "a rating" };
    /// assert_eq!(field.read("6k6"), Ok(6_600.0));
    /// assert_eq!(field.read("4R7"), Ok(4.7));
    /// assert_eq!(field.read("2,2 kΩ"), Ok(2_200.0));
    /// assert!(field.read("8,000").is_err());
    /// assert!(field.read("3 ohn").is_err());
    /// ```
    pub fn read(&self, text: &str) -> Result<f64, Complaint> {
        let value = number(text, self.unit).map_err(|why| Complaint::new(why, self.example))?;
        self.in_range(value, text)
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

/// A value as one would type it: at most six decimal places, without trailing zeros.
pub fn shortest(value: f64) -> String {
    format!("{value:.6}")
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

/// The start of a text, short enough to repeat in a message.
pub fn excerpt(text: &str) -> String {
    let mut kept: String = text.chars().take(24).collect();
    if text.chars().nth(24).is_some() {
        kept.push('…');
    }
    kept
}

/// Puts one character in the place of each of the several that look like a space, a minus
/// sign, a micro sign or an ohm sign.
pub fn tidy(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\u{2126}' => 'Ω',
            '\u{00b5}' | '\u{03bc}' => 'u',
            '\u{2212}' => '-',
            c if c.is_whitespace() => ' ',
            c => c,
        })
        .collect()
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
    let Some(numeral) = Numeral::read(typed) else {
        return Err(format!("“{}” is not a number", excerpt(typed)));
    };
    if numeral.could_be_thousands() {
        let (whole, fraction) = (numeral.whole, numeral.fraction);
        return Err(format!(
            "“{whole},{fraction}” can be read as {whole}{fraction} or as {whole}.{fraction}"
        ));
    }
    let suffix = numeral.rest.trim();
    let scale = match numeral.mark {
        DecimalMark::Letter(letter) => {
            if !is_unit_or_empty(suffix, unit) {
                return Err(not_a_unit(suffix, unit));
            }
            letter_scale(letter, unit).ok_or_else(|| not_a_unit(&letter.to_string(), unit))?
        }
        _ => suffix_scale(suffix, unit).ok_or_else(|| not_a_unit(suffix, unit))?,
    };
    Ok((numeral.value() * scale, numeral.last_digit() * scale))
}

/// SI prefixes, and `K`, which IEC 60062 writes for kilo.
fn prefix_scale(prefix: &str) -> Option<f64> {
    Some(match prefix {
        "" => 1.0,
        "p" => 1e-12,
        "n" => 1e-9,
        "u" => 1e-6,
        "m" => 1e-3,
        "k" | "K" => 1e3,
        "M" => 1e6,
        "G" => 1e9,
        _ if prefix.eq_ignore_ascii_case("meg") => 1e6,
        _ => return None,
    })
}

fn letter_scale(letter: char, unit: Unit) -> Option<f64> {
    let text = letter.to_string();
    prefix_scale(&text).or_else(|| is_unit_or_empty(&text, unit).then_some(1.0))
}

fn is_unit_or_empty(text: &str, unit: Unit) -> bool {
    text.is_empty() || (unit.words().iter()).any(|word| word.eq_ignore_ascii_case(text))
}

/// The scale that a suffix like `k`, `kΩ`, `k ohm` or `ohm` means.
fn suffix_scale(suffix: &str, unit: Unit) -> Option<f64> {
    if is_unit_or_empty(suffix, unit) {
        return Some(1.0);
    }
    suffix
        .char_indices()
        .map(|(at, c)| at + c.len_utf8())
        .filter(|end| *end <= 3)
        .find_map(|end| {
            let (prefix, word) = suffix.split_at(end);
            is_unit_or_empty(word.trim(), unit)
                .then(|| prefix_scale(prefix))
                .flatten()
        })
}

fn not_a_unit(suffix: &str, unit: Unit) -> String {
    let suffix = excerpt(suffix);
    match unit.symbol() {
        "" => format!("“{suffix}” does not belong to a number"),
        symbol => format!("“{suffix}” is not a unit known here; {symbol} is"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OHMS: Expected = Expected {
        unit: Unit::Ohm,
        least: 0.1,
        most: 1e6,
        example: "8k",
        noun: "a rating",
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

    #[test]
    fn an_enormous_text_is_refused_by_its_length() {
        let why = OHMS.read(&"8".repeat(1_000_000)).expect_err("too long").why;
        assert!(why.contains("too many"), "{why}");
    }
}
