//! The value of decimal digits.
//!
//! The standard parser rounds any text correctly and brings a table of ten kilobytes for it.
//! What is typed at a bench has at most 15 digits: its value is one exact integer times or
//! over one exact power of ten, and one rounding (W. D. Clinger, PLDI 1990, the fast path).

/// The value of `whole.fraction` times the power of ten that `exponent` writes (`e-3`, or
/// nothing). Correctly rounded for up to 15 digits and powers from −22 to 22; for more, off
/// by some units in the last place; infinite or zero beyond what a number can be.
pub(crate) fn value(whole: &str, fraction: &str, exponent: &str) -> f64 {
    let mut digits: u64 = 0;
    let mut power = power(exponent);
    for (part, behind_point) in [(whole, false), (fraction, true)] {
        for digit in part.bytes().filter(u8::is_ascii_digit) {
            // More digits than that change nothing.
            if digits < 100_000_000_000_000_000 {
                digits = 10 * digits + u64::from(digit - b'0');
                power -= i32::from(behind_point);
            } else {
                power += i32::from(!behind_point);
            }
        }
    }
    let digits = digits as f64;
    if digits == 0.0 {
        0.0
    } else if power >= 0 {
        digits * 10_f64.powi(power)
    } else {
        // In two steps where one power would already be too large.
        let (first, rest) = (power.max(-300), (power + 300).min(0));
        digits / 10_f64.powi(-first) / 10_f64.powi(-rest)
    }
}

fn power(exponent: &str) -> i32 {
    let text = exponent.trim_start_matches(['e', 'E']);
    let (sign, text) = match text.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    let size = text.bytes().fold(0_i32, |size, digit| {
        size.saturating_mul(10)
            .saturating_add(i32::from(digit.wrapping_sub(b'0')))
    });
    sign * size.min(10_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same bits as the standard library's parser, on all that is typed at a bench.
    #[test]
    fn bench_numbers_are_exact() {
        for whole in ["", "0", "8", "47", "250", "6600", "123456789"] {
            for fraction in ["", "0", "5", "68", "001", "047", "999999"] {
                for exponent in ["", "e3", "e-3", "E+6", "e-12", "e12"] {
                    if whole.is_empty() && fraction.is_empty() {
                        continue;
                    }
                    let text = format!("0{whole}.{fraction}0{exponent}");
                    let parsed: f64 = text.parse().expect("a number");
                    assert_eq!(value(whole, fraction, exponent), parsed, "{text}");
                }
            }
        }
    }

    #[test]
    fn far_numbers_are_near_enough_or_out_of_range() {
        for text in [
            "12345678901234567890123",
            "98765432109876543210",
            "31415926535897932384",
        ] {
            for exponent in ["", "e40", "e-40", "e-300"] {
                let parsed: f64 = format!("{text}{exponent}").parse().expect("a number");
                assert!(
                    (value(text, "", exponent) / parsed - 1.0).abs() < 1e-14,
                    "{text}{exponent}"
                );
            }
        }
        assert_eq!(value("1", "", "e99999999999"), f64::INFINITY);
        assert_eq!(value("1", "", "e-99999999999"), 0.0);
        assert_eq!(value("0", "000", "e999"), 0.0);
    }
}
