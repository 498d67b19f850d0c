//! Numbers as the page writes them: three significant digits, an engineering
//! prefix, always a unit.

use tapwright_units::Unit;
use tapwright_units::uncertainty::{COVERAGE_95, Uncertain};

pub(crate) const NO_BREAK: char = '\u{a0}';
/// As wide as a digit, and as a point, where figures are tabular.
const FIGURE_SPACE: char = '\u{2007}';
const PUNCTUATION_SPACE: char = '\u{2008}';

/// A computed value with three significant digits: `10.7 kΩ`, `8.00 kΩ`, `0.686 Ω`.
pub fn computed(value: f64, unit: Unit) -> String {
    with_unit(value, unit, |mantissa| fixed(mantissa, 3))
}

/// A value as a person gave it: no digits that were not there. `8 kΩ`, `4.7 Ω`.
pub fn given(value: f64, unit: Unit) -> String {
    with_unit(value, unit, |mantissa| trimmed(mantissa, 4))
}

/// A value made from a few given ones: three digits at the most. `5.22 Ω`, `4 Ω`.
pub fn about(value: f64, unit: Unit) -> String {
    with_unit(value, unit, |mantissa| trimmed(mantissa, 3))
}

/// A power rating as it is stamped: `0.5 W`.
pub fn rated_watts(watts: f64) -> String {
    format!("{}{NO_BREAK}W", trimmed(watts, 3))
}

/// A value with half the width of an interval that holds it in 95 of 100 cases, under one prefix:
/// `9.81 ± 0.33 W`. The second has two digits, the first as many places.
pub fn with_doubt(value: Uncertain, unit: Unit) -> String {
    let half = COVERAGE_95 * value.uncertainty;
    let (scale, prefix) = prefix(value.value, unit);
    let (value, half) = (value.value / scale, half / scale);
    let places = decimal_places(half, 2);
    let text = format!("{value:.places$}{NO_BREAK}±{NO_BREAK}{half:.places$}");
    let symbol = unit.symbol();
    format!("{text}{NO_BREAK}{prefix}{symbol}").replace('-', "−")
}

/// A share with its doubt, in percent: `82 ± 3 %`.
pub fn percent_with_doubt(share: Uncertain) -> String {
    let half = 100.0 * COVERAGE_95 * share.uncertainty;
    let places = decimal_places(half, 1);
    format!(
        "{:.places$}{NO_BREAK}±{NO_BREAK}{half:.places$}{NO_BREAK}%",
        100.0 * share.value
    )
}

/// A ratio padded so that in a column the decimal points stand under each other.
pub fn times_aligned(ratio: f64) -> String {
    let digits = fixed(ratio, 3);
    let places = digits
        .split_once('.')
        .map_or(0, |(_, fraction)| fraction.len());
    let mut padded = digits;
    if places == 0 {
        padded.push(PUNCTUATION_SPACE);
    }
    padded.extend(std::iter::repeat_n(
        FIGURE_SPACE,
        3_usize.saturating_sub(places),
    ));
    format!("{padded}{NO_BREAK}×")
}

/// A value with the digits that a check by hand needs: six, without trailing zeros.
pub fn exact(value: f64, unit: Unit) -> String {
    let digits = trimmed(value, 6);
    match unit.symbol() {
        // Nobody checks picofarads by counting zeros.
        "F" => with_unit(value, unit, |mantissa| trimmed(mantissa, 6)),
        "" => digits,
        symbol => format!("{digits}{NO_BREAK}{symbol}"),
    }
}

/// Volts with four digits, as a meter shows them: `0.2446 V`.
pub fn exact_volts(value: f64) -> String {
    format!("{}{NO_BREAK}V", fixed(value, 4))
}

/// A ratio with three significant digits and a times sign: `1.07 ×`.
pub fn times(ratio: f64) -> String {
    format!("{}{NO_BREAK}×", fixed(ratio, 3))
}

/// A loss in decibels with two places: `0.51 dB`. Finer than that nobody hears.
pub fn decibels(value: f64) -> String {
    if value > 1e-6 && value < 0.005 {
        return format!("<0.01{NO_BREAK}dB");
    }
    format!("{value:.2}{NO_BREAK}dB")
}

/// Decibels with one place, as feedback is told: `11.8 dB`.
pub fn decibels_one_place(value: f64) -> String {
    format!("{value:.1}{NO_BREAK}dB").replace('-', "−")
}

/// The ratio of two powers in decibels, with its sign: `−0.52 dB`, `+0.05 dB`.
pub fn signed_decibels(value: f64) -> String {
    signed(value, 2, "dB")
}

/// The same with one place, for where there is little room: `−0.5 dB`.
pub fn decibels_short(value: f64) -> String {
    signed(value, 1, "dB")
}

/// A value with its sign and this many places; without a sign where they are all zero.
fn signed(value: f64, places: usize, unit: &str) -> String {
    let size = format!("{:.places$}", value.abs());
    let nothing = size.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    let sign = match (nothing, value < 0.0) {
        (true, _) => "",
        (_, true) => "−",
        (_, false) => "+",
    };
    format!("{sign}{size}{NO_BREAK}{unit}")
}

/// A share as a percentage with two digits: `5.6 %`, `13 %`.
pub fn percent_short(share: f64) -> String {
    percentage(share, 2)
}

/// An angle in whole degrees: `−35°`.
pub fn degrees(degrees: f64) -> String {
    format!("{degrees:.0}°").replace('-', "−")
}

/// How far off a value is, in percent with its sign: `−1.3 %`.
pub fn percent_off(share: f64) -> String {
    signed(100.0 * share, 1, "%")
}

/// A difference of two percentages with its sign: `−2.7 points`.
pub fn percent_points(points: f64) -> String {
    signed(points, 1, "points")
}

/// A share as a percentage: `65.2 %`.
pub fn percent(share: f64) -> String {
    percentage(share, 3)
}

/// A share as a percentage. One too small to matter reads `<0.01 %`.
fn percentage(share: f64, digits: i32) -> String {
    if share != 0.0 && share.abs() < 5e-5 {
        return format!("<0.01{NO_BREAK}%");
    }
    let sign = if share < 0.0 { "−" } else { "" };
    format!("{sign}{}{NO_BREAK}%", fixed(share.abs() * 100.0, digits))
}

fn with_unit(value: f64, unit: Unit, digits: impl Fn(f64) -> String) -> String {
    let (scale, prefix) = prefix(value, unit);
    let size = if value.abs() < 1e-12 {
        0.0
    } else {
        value.abs()
    };
    let digits = digits(size / scale);
    let sign = if value < 0.0 && digits.bytes().any(|digit| (b'1'..=b'9').contains(&digit)) {
        "−"
    } else {
        ""
    };
    match format!("{prefix}{}", unit.symbol()) {
        symbol if symbol.is_empty() => format!("{sign}{digits}"),
        symbol => format!("{sign}{digits}{NO_BREAK}{symbol}"),
    }
}

/// The engineering prefix under which a value reads best, rounding included:
/// 999.7 Ω is 1.00 kΩ. Ohms stay ohms below one.
pub(crate) fn prefix(value: f64, unit: Unit) -> (f64, &'static str) {
    let size = value.abs() * 1.000_5;
    match unit {
        Unit::Decibel | Unit::One | Unit::Percent | Unit::Milliampere | Unit::Millisiemens => {
            (1.0, "")
        }
        Unit::Farad if size < 1e-9 => (1e-12, "p"),
        _ if size >= 1e9 => (1e9, "G"),
        _ if size >= 1e6 => (1e6, "M"),
        _ if size >= 1e3 => (1e3, "k"),
        Unit::Ohm => (1.0, ""),
        _ if size >= 1.0 => (1.0, ""),
        // Nothing at a bench is smaller than a thousandth of a nano of its unit.
        _ if size < 1e-12 => (1.0, ""),
        _ if size >= 1e-3 => (1e-3, "m"),
        _ if size >= 1e-6 => (1e-6, "µ"),
        _ => (1e-9, "n"),
    }
}

/// `digits` significant digits, trailing zeros kept.
pub(crate) fn fixed(value: f64, digits: i32) -> String {
    let places = decimal_places(value, digits);
    let rounded = format!("{value:.places$}");
    // Rounding can carry into a new digit: 9.996 is 10.0, not 10.00.
    let significant = (rounded.bytes().filter(u8::is_ascii_digit))
        .skip_while(|digit| *digit == b'0')
        .count();
    if places > 0 && significant > digits as usize {
        format!("{value:.*}", places - 1)
    } else {
        rounded
    }
}

pub(crate) fn decimal_places(value: f64, digits: i32) -> usize {
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    let before_point = value.abs().log10().floor() as i32 + 1;
    (digits - before_point).clamp(0, 12) as usize
}

/// At most `places` behind the point, without trailing zeros.
pub(crate) fn trimmed_to(value: f64, places: usize) -> String {
    without_zeros(format!("{value:.places$}"))
}

/// At most `digits` significant digits, without trailing zeros.
pub(crate) fn trimmed(value: f64, digits: i32) -> String {
    without_zeros(fixed(value, digits))
}

fn without_zeros(text: String) -> String {
    if !text.contains('.') {
        return text;
    }
    match text.trim_end_matches('0').trim_end_matches('.') {
        // A sum that should be zero can come out as a tiny negative number.
        "-0" => "0".into(),
        rest => rest.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_too_small_to_matter_is_not_written_out() {
        assert_eq!(percent(3e-17), "<0.01\u{a0}%");
        assert_eq!(percent(0.0), "0\u{a0}%");
        assert_eq!(percent_short(6e-5), "0.0060\u{a0}%");
    }

    /// 1.96 standard uncertainties, two digits of them.
    #[test]
    fn a_doubt_has_the_places_of_its_value() {
        let text = |value: f64, uncertainty: f64, unit| {
            with_doubt(Uncertain { value, uncertainty }, unit).replace(NO_BREAK, " ")
        };
        assert_eq!(text(9.8099, 0.1688, Unit::Watt), "9.81 ± 0.33 W");
        assert_eq!(text(0.040_668, 0.000_688, Unit::Ampere), "40.7 ± 1.3 mA");
        assert_eq!(text(241.2, 8.0, Unit::Volt), "241 ± 16 V");
        let share = Uncertain {
            value: 0.8175,
            uncertainty: 0.014,
        };
        assert_eq!(percent_with_doubt(share).replace(NO_BREAK, " "), "82 ± 3 %");
    }

    #[test]
    fn three_digits_and_a_prefix() {
        for (value, text) in [
            (10_666.7, "10.7 kΩ"),
            (8_000.0, "8.00 kΩ"),
            (999.7, "1.00 kΩ"),
            (533.3, "533 Ω"),
            (0.6863, "0.686 Ω"),
            (9_996.0, "10.0 kΩ"),
            (1.2e6, "1.20 MΩ"),
        ] {
            assert_eq!(computed(value, Unit::Ohm).replace(NO_BREAK, " "), text);
        }
        assert_eq!(
            computed(0.0315, Unit::Ampere).replace(NO_BREAK, " "),
            "31.5 mA"
        );
    }

    #[test]
    fn given_values_gain_no_digits() {
        for (value, text) in [
            (8_000.0, "8 kΩ"),
            (4.7, "4.7 Ω"),
            (15.0, "15 Ω"),
            (1e4, "10 kΩ"),
        ] {
            assert_eq!(given(value, Unit::Ohm).replace(NO_BREAK, " "), text);
        }
    }

    #[test]
    fn a_working_keeps_the_digits_that_a_check_needs() {
        assert_eq!(
            exact(10_666.666_7, Unit::Ohm).replace(NO_BREAK, " "),
            "10666.7 Ω"
        );
        assert_eq!(exact(51.639_778, Unit::One), "51.6398");
    }

    #[test]
    fn a_sign_stands_only_before_something() {
        for (value, text) in [
            (-0.521, "−0.52 dB"),
            (0.004, "0.00 dB"),
            (-0.004, "0.00 dB"),
            (3.0, "+3.00 dB"),
        ] {
            assert_eq!(signed_decibels(value).replace(NO_BREAK, " "), text);
        }
    }

    #[test]
    fn nothing_reads_as_no_loss_less() {
        assert_eq!(decibels(0.0).replace(NO_BREAK, " "), "0.00 dB");
        assert_eq!(decibels(0.004).replace(NO_BREAK, " "), "<0.01 dB");
    }
}
