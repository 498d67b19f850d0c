//! The value of decimal digits.
//!
//! The standard parser rounds any text correctly and brings a table of ten kilobytes for it.
//! What is typed at a bench has at most 15 digits: its value is one exact integer times or
//! over one exact power of ten, and one rounding (W. D. Clinger, PLDI 1990, the fast path).

/// The value of `whole.fraction` times the power of ten that `exponent` writes (`e-3`, or
/// nothing). Correctly rounded for up to 15 digits and powers from −22 to 22; for more, off
/// by some units in the last place; infinite or zero beyond what a number can be.
pub fn value(whole: &[u8], fraction: &[u8], exponent: &[u8]) -> f64 {
    let mut digits: u64 = 0;
    let mut power = power(exponent);
    for (part, behind_point) in [(whole, false), (fraction, true)] {
        for digit in part.iter().filter(|byte| byte.is_ascii_digit()) {
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
    if digits == 0.0 || power == 0 {
        digits
    } else if power > 0 {
        digits * 10_f64.powi(power)
    } else if power >= -300 {
        digits / 10_f64.powi(-power)
    } else {
        // In two steps: one power would already be too large.
        digits / 1e300 / 10_f64.powi(-300 - power)
    }
}

/// The power that `e-3` writes; that of nothing is none.
fn power(exponent: &[u8]) -> i32 {
    let mut size = 0_i32;
    for byte in exponent.iter().filter(|byte| byte.is_ascii_digit()) {
        size = (10 * size + i32::from(byte - b'0')).min(10_000);
    }
    if exponent.contains(&b'-') {
        -size
    } else {
        size
    }
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
                    assert_eq!(
                        value(whole.as_bytes(), fraction.as_bytes(), exponent.as_bytes()),
                        parsed,
                        "{text}"
                    );
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
                    (value(text.as_bytes(), b"", exponent.as_bytes()) / parsed - 1.0).abs() < 1e-14,
                    "{text}{exponent}"
                );
            }
        }
        assert_eq!(value(b"1", b"", b"e99999999999"), f64::INFINITY);
        assert_eq!(value(b"1", b"", b"e-99999999999"), 0.0);
        assert_eq!(value(b"0", b"000", b"e999"), 0.0);
    }
}
