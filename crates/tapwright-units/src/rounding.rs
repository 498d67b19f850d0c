//! Rounding a number to the digits that are worth showing.

/// The number rounded to `digits` significant digits, halves away from zero. Zero and what is
/// not finite stay as they are.
///
/// ```
/// use tapwright_units::rounding::to_significant_digits;
/// assert_eq!(to_significant_digits(0.024_43, 2), 0.024);
/// assert_eq!(to_significant_digits(-7.36, 2), -7.4);
/// assert_eq!(to_significant_digits(5_249.0, 2), 5_200.0);
/// assert_eq!(to_significant_digits(0.0, 2), 0.0);
/// ```
pub fn to_significant_digits(value: f64, digits: i32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let places = digits - 1 - value.abs().log10().floor() as i32;
    // A positive power of ten is exact up to 10²²; 0.1, 0.01 and so on never are.
    let scale = 10_f64.powi(places.abs());
    if places < 0 {
        (value / scale).round() * scale
    } else {
        (value * scale).round() / scale
    }
}
