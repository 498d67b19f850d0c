//! Numbers in decimal digits.
//!
//! The standard formatting finds the digits of any number exactly, with big integers and
//! tables, and is twenty kilobytes of the page. What is shown here has few digits: one
//! product, one rounding and an integer do.

/// A number with this many places behind the point, 15 at the most. Rounded to the nearest,
/// ties as the product falls; from 10¹⁸ on with an exponent.
///
/// ```
/// use tapwright_units::decimal::fixed;
/// assert_eq!(fixed(2.5, 3), "2.500");
/// assert_eq!(fixed(-0.04, 1), "-0.0");
/// assert_eq!(fixed(9.99, 1), "10.0");
/// assert_eq!(fixed(1.5e25, 1), "1.50e25");
/// ```
pub fn fixed(value: f64, places: usize) -> String {
    let size = value.abs();
    if !size.is_finite() || size >= 1e18 {
        return scientific(value);
    }
    let sign = if value.is_sign_negative() { "-" } else { "" };
    let places = places.min(15);
    let power = 10_u64.pow(places as u32);
    let scaled = (size * power as f64).round_ties_even();
    let (whole, fraction) = if scaled < 1e18 {
        let scaled = scaled as u64;
        (scaled / power, scaled % power)
    } else {
        // So large that no digit behind the point is known.
        (size as u64, 0)
    };
    match places {
        0 => format!("{sign}{whole}"),
        _ => format!("{sign}{whole}.{fraction:0places$}"),
    }
}

/// A number with three digits and an exponent: `1.23e-9`.
///
/// ```
/// use tapwright_units::decimal::scientific;
/// assert_eq!(scientific(-1.234e-9), "-1.23e-9");
/// assert_eq!(scientific(9.999e20), "1.00e21");
/// ```
pub fn scientific(value: f64) -> String {
    if value.is_nan() {
        return "NaN".into();
    }
    if value.is_infinite() {
        return if value > 0.0 { "inf" } else { "-inf" }.into();
    }
    if value == 0.0 {
        return "0.00e0".into();
    }
    let mut exponent = value.abs().log10().floor() as i32;
    // In two steps: the inverse of the smallest number is no number.
    let half = exponent / 2;
    let mut mantissa = value / 10_f64.powi(half) / 10_f64.powi(exponent - half);
    if mantissa.abs() >= 9.995 {
        mantissa /= 10.0;
        exponent += 1;
    }
    format!("{}e{exponent}", fixed(mantissa, 2))
}

/// A value above zero, rounded to so many digits.
///
/// ```
/// use tapwright_units::decimal::to_digits;
/// assert_eq!(to_digits(0.024_43, 2), 0.024);
/// assert_eq!(to_digits(7.36, 2), 7.4);
/// assert_eq!(to_digits(5_249.0, 2), 5_200.0);
/// ```
pub fn to_digits(value: f64, digits: i32) -> f64 {
    let places = digits - 1 - value.log10().floor() as i32;
    // By a whole number either way: the parts of ten are none.
    let scale = 10_f64.powi(places.abs());
    if places < 0 {
        (value / scale).round() * scale
    } else {
        (value * scale).round() / scale
    }
}

/// A number held between two others; what is no number stays none. The standard `clamp`
/// writes its bounds into a panic where they may be the wrong way round, with all that exact
/// formatting takes.
///
/// ```
/// use tapwright_units::decimal::within;
/// assert_eq!([-1.0, 0.5, 3.0].map(|x| within(x, 0.0, 1.0)), [0.0, 0.5, 1.0]);
/// assert!(within(f64::NAN, 0.0, 1.0).is_nan());
/// ```
#[inline]
pub fn within(value: f64, least: f64, most: f64) -> f64 {
    if value < least {
        least
    } else if value > most {
        most
    } else {
        value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As the standard formatting does it, but where a tie is nearer than rounding.
    #[test]
    fn digits_are_those_of_the_standard_formatting() {
        let mut compared = 0;
        for n in 1..4_000_u32 {
            // Spread over 24 decades, no two with the same digits.
            let value = 10_f64.powf(f64::from(n) * 0.006_007 - 8.0) * 1.234_567;
            for value in [value, -value] {
                for places in 0..13 {
                    let scaled = value.abs() * 10_f64.powi(places as i32);
                    let tie = (scaled.fract() - 0.5).abs() < 1e-15 * scaled.max(1.0);
                    if scaled < 1e15 && !tie {
                        assert_eq!(fixed(value, places), format!("{value:.places$}"));
                        compared += 1;
                    }
                }
            }
        }
        assert!(compared > 50_000, "{compared}");
    }

    #[test]
    fn what_is_no_number_says_so() {
        for (value, text) in [
            (f64::NAN, "NaN"),
            (f64::INFINITY, "inf"),
            (f64::NEG_INFINITY, "-inf"),
            (0.0, "0.00"),
            (-0.0, "-0.00"),
            (f64::MAX, "1.80e308"),
            (f64::MIN_POSITIVE, "0.00"),
            (1e17, "100000000000000000.00"),
        ] {
            assert_eq!(fixed(value, 2), text);
        }
        assert_eq!(scientific(5e-324), "4.94e-324");
    }
}
