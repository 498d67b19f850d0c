//! One number of a table, with a point or a comma for its decimal mark.

use tapwright_units::entry::decimal;

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
    let (sign, text) = match text.as_bytes() {
        // A minus sign in UTF-8, too.
        [b'-', rest @ ..] | [0xE2, 0x88, 0x92, rest @ ..] => (-1.0, rest),
        [b'+', rest @ ..] => (1.0, rest),
        all => (1.0, all),
    };
    let (whole, rest) = digits(text);
    let (fraction, exponent) = match rest {
        [b'.' | b',', after @ ..] => digits(after),
        _ => (&rest[..0], rest),
    };
    let mark = match rest.first() {
        Some(b'.') => Mark::Point,
        Some(b',') => {
            let thousands = fraction.len() == 3 && (1..=3).contains(&whole.len()) && whole != b"0";
            if thousands && exponent.is_empty() {
                Mark::Doubtful
            } else {
                Mark::Comma
            }
        }
        _ => Mark::None,
    };
    match exponent {
        [] => {}
        [b'e' | b'E', b'+' | b'-', power @ ..] | [b'e' | b'E', power @ ..]
            if !power.is_empty() && power.iter().all(u8::is_ascii_digit) => {}
        _ => return None,
    }
    (!whole.is_empty() || !fraction.is_empty())
        .then(|| (sign * decimal::value(whole, fraction, exponent), mark))
}

fn digits(text: &[u8]) -> (&[u8], &[u8]) {
    let behind = text.iter().position(|byte| !byte.is_ascii_digit());
    text.split_at(behind.unwrap_or(text.len()))
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
