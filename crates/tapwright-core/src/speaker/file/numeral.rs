//! One number of a table, with a point or a comma for its decimal mark.

use crate::entry::decimal;

/// How a number writes its fraction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// It has none.
    None,
    /// `7.1`
    Point,
    /// `7,1`
    Comma,
    /// `1,000`: a thousand to one reader and one to another.
    Doubtful,
}

/// The value of a text that is one number and nothing else; `None` for any other text.
pub(super) fn read(text: &str) -> Option<(f64, Mark)> {
    let (sign, text) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, rest) = digits(text);
    let (mark, fraction, rest) = match rest.split_at_checked(1) {
        Some((".", after)) => {
            let (fraction, rest) = digits(after);
            (Mark::Point, fraction, rest)
        }
        Some((",", after)) => {
            let (fraction, rest) = digits(after);
            let thousands = fraction.len() == 3 && whole.len() <= 3 && !matches!(whole, "" | "0");
            let mark = if thousands && rest.is_empty() {
                Mark::Doubtful
            } else {
                Mark::Comma
            };
            (mark, fraction, rest)
        }
        _ => (Mark::None, "", rest),
    };
    let exponent = match rest.strip_prefix(['e', 'E']) {
        None if rest.is_empty() => "",
        None => return None,
        Some(power) => {
            let power = power.strip_prefix(['+', '-']).unwrap_or(power);
            let (power, rest_of_it) = digits(power);
            if power.is_empty() || !rest_of_it.is_empty() {
                return None;
            }
            rest
        }
    };
    (!whole.is_empty() || !fraction.is_empty())
        .then(|| (sign * decimal::value(whole, fraction, exponent), mark))
}

fn digits(text: &str) -> (&str, &str) {
    text.split_at(text.bytes().take_while(u8::is_ascii_digit).count())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_what_is_none() {
        for (text, value, mark) in [
            ("20", 20.0, Mark::None),
            ("7.10", 7.1, Mark::Point),
            ("-7,1", -7.1, Mark::Comma),
            ("\u{2212}3", -3.0, Mark::None),
            ("+.5", 0.5, Mark::Point),
            ("1.5e+03", 1_500.0, Mark::Point),
            ("2E3", 2_000.0, Mark::None),
            ("1,000", 1.0, Mark::Doubtful),
            ("0,125", 0.125, Mark::Comma),
            ("12,3456", 12.3456, Mark::Comma),
        ] {
            assert_eq!(read(text), Some((value, mark)), "{text}");
        }
        for text in [
            "", "-", ".", ",", "e3", "1e", "1.2.3", "1,2,3", "nan", "inf", "7Ω", "0x1",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
