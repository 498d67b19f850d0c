//! What a meter shows, and how wrong it may be.

use tapwright_units::Unit;
use tapwright_units::entry::{Complaint, Expected, number_and_count};
use tapwright_units::uncertainty::Uncertain;

/// How wrong a meter may be, as its maker states it: `±(a % of the reading + d counts)`.
///
/// It is taken as one standard uncertainty, so that an interval of 95 % is about twice as wide
/// as the statement. Taken as the limits of an even distribution it would be narrower by √3
/// (JCGM 100:2008, 4.3.7); a workshop meter years after its last calibration does not deserve
/// that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Part of the reading, 0 to 1.
    pub share: f64,
    /// Steps of the last digit.
    pub counts: f64,
}

/// The accuracy of an ohmmeter unless another is typed. Usual for a hand meter; common practice,
/// no source.
pub const OHMMETER: Accuracy = Accuracy {
    share: 0.01,
    counts: 2.0,
};

/// The accuracy of a voltmeter on AC unless another is typed. Usual for a hand meter; common
/// practice, no source.
pub const VOLTMETER: Accuracy = Accuracy {
    share: 0.01,
    counts: 3.0,
};

/// Two readings of one meter share most errors of its gain and its zero. From one reading to the
/// next this part of the stated accuracy is left. Own estimate: half of 1 % + 3 counts is 0.5 % and
/// a count and a half, more than most meters jump.
pub(super) const FROM_READING_TO_READING: f64 = 0.5;

/// The smallest relative uncertainty of any reading: contacts, and a source that is not steady,
/// add it even to a perfect meter. Common practice, no source.
const LEAST_SHARE: f64 = 1e-4;

const SHARE: Expected = Expected {
    unit: Unit::Percent,
    least: 0.0,
    most: 20.0,
    example: EXAMPLE,
    noun: "a meter’s accuracy",
    joined: false,
};

const COUNTS: Expected = Expected {
    unit: Unit::One,
    least: 0.0,
    most: 99.0,
    example: EXAMPLE,
    noun: "a number of counts",
    joined: false,
};

const EXAMPLE: &str = "1 % + 3, or 1 %";

impl Accuracy {
    /// Reads an accuracy as manuals print it: `1 % + 3`, `±(0.8 % + 2 counts)`, `1%`, `5 d`.
    ///
    /// # Errors
    /// A [`Complaint`] when it cannot be read, or when no meter is like that.
    ///
    /// ```
    /// use tapwright_iron::measured::meter::Accuracy;
    /// let accuracy = Accuracy::read("±(0.8 % + 2 counts)").unwrap();
    /// assert_eq!((accuracy.share, accuracy.counts), (0.008, 2.0));
    /// assert!(Accuracy::read("nine").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Self, Complaint> {
        let bare = text.replace(['±', '(', ')'], " ");
        let mut accuracy = Self {
            share: 0.0,
            counts: 0.0,
        };
        for part in bare.split('+').map(str::trim) {
            let lower = part.to_ascii_lowercase();
            let counts = ["counts", "count", "digits", "digit", "dgt", "d"]
                .iter()
                .find_map(|word| lower.strip_suffix(word))
                .filter(|rest| rest.trim().ends_with(|c: char| c.is_ascii_digit()));
            if part.contains('%') || lower.contains("percent") {
                let share = lower
                    .replace("of the reading", "")
                    .replace("of reading", "")
                    .replace("rdg", "");
                accuracy.share = SHARE.read(&share)? / 100.0;
            } else if let Some(counts) = counts {
                accuracy.counts = COUNTS.read(counts)?;
            } else if text.contains('+') || text.contains('±') {
                accuracy.counts = COUNTS.read(part)?;
            } else {
                return Err(Complaint::new(
                    "an accuracy is a percentage, counts of the last digit, or both",
                    EXAMPLE,
                ));
            }
        }
        Ok(accuracy)
    }

    /// Standard uncertainty of a reading whose last digit is worth `count`:
    /// `a·|value| + d·count`, in the unit of the reading.
    ///
    /// ```
    /// use tapwright_iron::measured::meter::VOLTMETER;
    /// // 1 % of 6.31 V and three steps of 10 mV.
    /// assert!((VOLTMETER.uncertainty(6.31, 0.01) - 0.0931).abs() < 1e-12);
    /// ```
    pub fn uncertainty(self, value: f64, count: f64) -> f64 {
        (self.share * value.abs() + self.counts * count)
            .max(LEAST_SHARE * value.abs())
            .max(f64::MIN_POSITIVE)
    }
}

/// Reads what a meter shows: `0.244`, `244.2 mV`, `6.31 ± 0.5 % + 2`. The accuracy is this one
/// unless one is typed behind the value. The meter is taken to show the digits that are typed:
/// `6.30` is finer than `6.3`.
///
/// # Errors
/// A [`Complaint`] when it cannot be read, or when it is out of range.
///
/// ```
/// use tapwright_units::entry::Expected;
/// use tapwright_iron::measured::meter::{self, VOLTMETER};
/// use tapwright_units::Unit;
/// let volts = Expected { unit: Unit::AcVolt, least: 1e-4, most: 30.0, example: "6.31", noun: "a reading", joined: false };
/// let read = meter::read("6.30", &volts, VOLTMETER).unwrap();
/// assert!((read.uncertainty - 0.093).abs() < 1e-12);
/// let finer = meter::read("6.30 ± 0.5 % + 2", &volts, VOLTMETER).unwrap();
/// assert!((finer.uncertainty - 0.0515).abs() < 1e-12);
/// ```
pub fn read(text: &str, expected: &Expected, accuracy: Accuracy) -> Result<Uncertain, Complaint> {
    let text = text.replace("+-", "±").replace("+/-", "±");
    let (shown, accuracy) = match text.split_once('±') {
        Some((shown, own)) => (shown, Accuracy::read(&format!("±{own}"))?),
        None => (text.as_str(), accuracy),
    };
    // A meter shows one number.
    let one = Expected {
        joined: false,
        ..*expected
    };
    let value = one.read(shown)?;
    let (_, count) = number_and_count(shown, expected.unit)
        .map_err(|why| Complaint::new(why, expected.example))?;
    Ok(Uncertain {
        value,
        uncertainty: accuracy.uncertainty(value, count),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const VOLTS: Expected = Expected {
        unit: Unit::AcVolt,
        least: 1e-4,
        most: 1e3,
        example: "6.31",
        noun: "a reading",
        joined: false,
    };

    /// However a reading is written, a count is its last digit.
    #[test]
    fn counts_follow_the_digits_typed() {
        let counts = Accuracy {
            share: 0.0,
            counts: 1.0,
        };
        for (text, value, count) in [
            ("6", 6.0, 1.0),
            ("6.31", 6.31, 0.01),
            ("0.2442", 0.244_2, 1e-4),
            ("244.2 mV", 0.244_2, 1e-4),
            ("244m2", 0.244_2, 1e-4),
            ("6V30", 6.3, 0.01),
            ("2,50e-1", 0.25, 1e-3),
        ] {
            let read = read(text, &VOLTS, counts).unwrap_or_else(|c| panic!("{text}: {}", c.why));
            assert!((read.value / value - 1.0).abs() < 1e-12, "{text}");
            assert!((read.uncertainty / count - 1.0).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn accuracies_as_manuals_print_them() {
        for (text, share, counts) in [
            ("1 %", 0.01, 0.0),
            ("1%+3", 0.01, 3.0),
            ("±(0.8% of reading + 2 dgt)", 0.008, 2.0),
            ("1,5 % rdg + 5 d", 0.015, 5.0),
            ("5 counts", 0.0, 5.0),
            ("0.5 percent", 0.005, 0.0),
        ] {
            let read = Accuracy::read(text).unwrap_or_else(|c| panic!("{text}: {}", c.why));
            assert!((read.share - share).abs() < 1e-12, "{text}: {read:?}");
            assert_eq!(read.counts, counts, "{text}");
        }
        for text in ["", "1", "good", "-1 %", "50 %", "1 % + many", "1 % + 1000"] {
            assert!(Accuracy::read(text).is_err(), "{text}");
        }
    }

    #[test]
    fn no_reading_is_without_doubt() {
        let perfect = Accuracy {
            share: 0.0,
            counts: 0.0,
        };
        assert!(perfect.uncertainty(100.0, 1.0) >= 0.01);
    }
}
