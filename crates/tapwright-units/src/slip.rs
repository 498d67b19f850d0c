//! What was meant by a text that is not a number as it stands.
//!
//! Nothing is guessed: the sentence says what the text looks like, and the person types it again.

use crate::Unit;
use crate::text::excerpt;
use crate::written::as_written;

/// What stands between the two ends of a range.
const TO: [&str; 6] = ["-", "–", "—", "…", "..", " to "];

/// What a tidied text looks like, in one sentence; `None` where nothing is known of it.
pub(crate) fn what_was_meant(typed: &str, unit: Unit) -> Option<String> {
    let quoted = excerpt(typed);
    if is_range(typed, unit) {
        return Some(format!("“{quoted}” is a range, and one value is wanted"));
    }
    if let Some(zeros) = with_zeros(typed).filter(|zeros| reads(zeros, unit)) {
        return Some(format!(
            "“{quoted}” has the letter O in the place of a zero: {zeros} is understood"
        ));
    }
    match unit {
        Unit::Volt if reads(typed, Unit::AcVolt) => Some(format!(
            "“{quoted}” is AC, and DC is wanted: the volts behind the rectifier, as a meter set \
             to DC reads them"
        )),
        Unit::AcVolt if reads(typed, Unit::Volt) => Some(format!(
            "“{quoted}” is DC, and AC is wanted: the volts that a meter set to AC reads"
        )),
        _ => None,
    }
}

fn reads(text: &str, unit: Unit) -> bool {
    as_written(text.trim(), unit).is_ok()
}

/// Whether a tidied text is two values with a dash between them: `4-8`, `8k to 10k`.
///
/// The dash of `4-` or of `-8` has a value on one side only.
pub(crate) fn is_range(typed: &str, unit: Unit) -> bool {
    TO.iter().any(|to| {
        typed.match_indices(to).any(|(at, _)| {
            let (from, until) = (&typed[..at], &typed[at + to.len()..]);
            reads(from, unit) && reads(until, unit)
        })
    })
}

/// The text with zeros for the letters O among its first digits: `3OO V` is `300 V`.
fn with_zeros(typed: &str) -> Option<String> {
    let is_o = |c: char| matches!(c, 'O' | 'o');
    let behind = typed.find(|c: char| !(c.is_ascii_digit() || is_o(c) || ".,+-".contains(c)));
    let (digits, rest) = typed.split_at(behind.unwrap_or(typed.len()));
    let is_number = digits.contains(|c: char| c.is_ascii_digit()) && digits.contains(is_o);
    is_number.then(|| format!("{}{rest}", digits.replace(is_o, "0")))
}

#[cfg(test)]
mod tests {
    use crate::Unit;
    use crate::entry::number;

    fn why(text: &str, unit: Unit) -> String {
        number(text, unit).expect_err(text)
    }

    #[test]
    fn a_range_is_not_one_value() {
        for text in [
            "4-8",
            "4 - 8",
            "4–8",
            "4 to 8",
            "4..8",
            "4…8",
            "4 ohm - 8 ohm",
            "8k-10k",
            "4R7-8",
        ] {
            let why = why(text, Unit::Ohm);
            assert!(why.contains("is a range, and one value"), "{text}: {why}");
        }
        assert!(why("-15 - -13", Unit::Volt).contains("is a range"));
        for text in ["4-", "4-x", "4--", "x-8"] {
            let why = why(text, Unit::Ohm);
            assert!(!why.contains("range"), "{text}: {why}");
        }
        assert_eq!(number("1e-3", Unit::Ohm), Ok(1e-3));
        assert_eq!(number("-15", Unit::Volt), Ok(-15.0));
    }

    #[test]
    fn the_letter_o_is_no_zero() {
        for (text, unit, meant) in [
            ("3OO", Unit::Volt, "300 is"),
            ("3oo V", Unit::Volt, "300 V is"),
            ("O.5", Unit::Ohm, "0.5 is"),
            ("1Ok", Unit::Ohm, "10k is"),
            ("-1O", Unit::Volt, "-10 is"),
        ] {
            let why = why(text, unit);
            assert!(why.contains("the letter O"), "{text}: {why}");
            assert!(why.contains(meant), "{text}: {why}");
        }
        for text in ["O", "OO", "8ohn", "oil"] {
            let why = why(text, Unit::Ohm);
            assert!(!why.contains("letter O"), "{text}: {why}");
        }
        assert_eq!(number("8ohm", Unit::Ohm), Ok(8.0));
        assert_eq!(number("8 Ohms", Unit::Ohm), Ok(8.0));
    }

    #[test]
    fn alternating_volts_are_not_direct_volts() {
        for text in [
            "300 VAC", "300VAC", "300 V AC", "300 V~", "300 Vrms", "0.3 kVAC",
        ] {
            let why = why(text, Unit::Volt);
            assert!(
                why.contains("is AC") && why.contains("rectifier"),
                "{text}: {why}"
            );
            assert_eq!(number(text, Unit::AcVolt), Ok(300.0));
        }
        for text in ["6.3 VDC", "6.3 V DC", "6.3 volts dc"] {
            assert!(why(text, Unit::AcVolt).contains("is DC"), "{text}");
            assert_eq!(number(text, Unit::Volt), Ok(6.3));
        }
        for unit in [Unit::Volt, Unit::AcVolt] {
            assert_eq!(number("250 V", unit), Ok(250.0));
        }
    }
}
