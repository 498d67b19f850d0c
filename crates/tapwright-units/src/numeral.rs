//! A number as it is written: sign, digits, decimal mark, exponent.

/// What stands between the whole part of a number and its fraction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalMark {
    /// It has no fraction.
    None,
    /// `7.1`
    Point,
    /// `7,1`
    Comma,
    /// `7k1`: a letter in the place of the decimal mark (IEC 60062).
    Letter(char),
}

/// A number cut into its pieces, and the text that follows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Numeral<'a> {
    /// Whether it begins with a minus sign.
    pub negative: bool,
    /// The digits before the decimal mark; may be empty.
    pub whole: &'a str,
    /// What stands before the fraction.
    pub mark: DecimalMark,
    /// The digits behind the decimal mark; may be empty.
    pub fraction: &'a str,
    /// `e3`, `E-12`; empty when there is none.
    pub exponent: &'a str,
    /// The text that follows the number.
    pub rest: &'a str,
    /// The number without its sign.
    unsigned: &'a str,
}

impl<'a> Numeral<'a> {
    /// The number that a text begins with; `None` where it begins with none.
    ///
    /// ```
    /// use tapwright_units::numeral::{DecimalMark, Numeral};
    /// let numeral = Numeral::read("-2,2 kΩ").unwrap();
    /// assert_eq!((numeral.mark, numeral.rest), (DecimalMark::Comma, " kΩ"));
    /// assert_eq!(numeral.value(), -2.2);
    /// assert_eq!(Numeral::read("4R7").unwrap().value(), 4.7);
    /// assert_eq!(Numeral::read("nan"), None);
    /// ```
    pub fn read(text: &'a str) -> Option<Self> {
        let (negative, unsigned) = match text.strip_prefix('-') {
            Some(rest) => (true, rest.trim_start()),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let (whole, rest) = leading_digits(unsigned);
        let (mark, fraction, rest) = fraction_of(rest);
        let (exponent, rest) = exponent_of(rest);
        let (unsigned, _) = unsigned.split_at(unsigned.len() - rest.len());
        (!whole.is_empty() || !fraction.is_empty()).then_some(Self {
            negative,
            whole,
            mark,
            fraction,
            exponent,
            rest,
            unsigned,
        })
    }

    /// The value, correctly rounded; infinite or zero beyond what a number can be.
    pub fn value(&self) -> f64 {
        let size = match self.mark {
            DecimalMark::None | DecimalMark::Point => self.unsigned.parse(),
            DecimalMark::Comma => self.unsigned.replacen(',', ".", 1).parse(),
            DecimalMark::Letter(letter) => self.unsigned.replacen(letter, ".", 1).parse(),
        };
        // Digits, one point and an exponent always parse.
        let size = size.unwrap_or(f64::NAN);
        if self.negative { -size } else { size }
    }

    /// What one more in the last digit would add: 0.01 for `6.30`.
    ///
    /// ```
    /// # use tapwright_units::numeral::Numeral;
    /// assert_eq!(Numeral::read("6.30e3").unwrap().last_digit(), 10.0);
    /// ```
    pub fn last_digit(&self) -> f64 {
        let power: f64 = (format!("1{}", self.exponent).parse()).unwrap_or(f64::NAN);
        power / 10_f64.powi(self.fraction.len() as i32)
    }

    /// Whether one reader would read thousands and another a fraction: `8,000`.
    ///
    /// ```
    /// # use tapwright_units::numeral::Numeral;
    /// assert!(Numeral::read("8,000").unwrap().could_be_thousands());
    /// assert!(!Numeral::read("0,125").unwrap().could_be_thousands());
    /// ```
    pub fn could_be_thousands(&self) -> bool {
        self.mark == DecimalMark::Comma
            && self.fraction.len() == 3
            && (1..=3).contains(&self.whole.len())
            && !self.whole.starts_with('0')
    }
}

fn leading_digits(text: &str) -> (&str, &str) {
    let behind = text.bytes().position(|byte| !byte.is_ascii_digit());
    text.split_at(behind.unwrap_or(text.len()))
}

/// A decimal mark with its digits: `.5`, `,5`, or a letter with a digit behind it.
fn fraction_of(rest: &str) -> (DecimalMark, &str, &str) {
    let Some(first) = rest.chars().next() else {
        return (DecimalMark::None, "", "");
    };
    let (digits, after) = leading_digits(&rest[first.len_utf8()..]);
    match first {
        '.' => (DecimalMark::Point, digits, after),
        ',' if !digits.is_empty() => (DecimalMark::Comma, digits, after),
        // `1e3` is an exponent, not a letter in the place of the mark.
        'e' | 'E' => (DecimalMark::None, "", rest),
        c if c.is_alphabetic() && !digits.is_empty() => (DecimalMark::Letter(c), digits, after),
        _ => (DecimalMark::None, "", rest),
    }
}

fn exponent_of(rest: &str) -> (&str, &str) {
    if !rest.starts_with(['e', 'E']) {
        return ("", rest);
    }
    let sign = usize::from(rest[1..].starts_with(['+', '-']));
    match leading_digits(&rest[1 + sign..]).0.len() {
        0 => ("", rest),
        digits => rest.split_at(1 + sign + digits),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_spelling_has_its_value_and_its_rest() {
        for (text, value, mark, rest) in [
            ("20", 20.0, DecimalMark::None, ""),
            ("7.10", 7.1, DecimalMark::Point, ""),
            ("5.", 5.0, DecimalMark::Point, ""),
            ("+.5", 0.5, DecimalMark::Point, ""),
            ("-7,1", -7.1, DecimalMark::Comma, ""),
            ("- 7", -7.0, DecimalMark::None, ""),
            ("5,", 5.0, DecimalMark::None, ","),
            ("12,3456", 12.3456, DecimalMark::Comma, ""),
            ("1.5e+03", 1_500.0, DecimalMark::Point, ""),
            ("5.e3", 5_000.0, DecimalMark::Point, ""),
            ("2E3", 2_000.0, DecimalMark::None, ""),
            ("1e", 1.0, DecimalMark::None, "e"),
            ("0,2e-3", 0.000_2, DecimalMark::Comma, ""),
            ("R47", 0.47, DecimalMark::Letter('R'), ""),
            ("6k6 ohm", 6.6, DecimalMark::Letter('k'), " ohm"),
            ("4k7e3", 4_700.0, DecimalMark::Letter('k'), ""),
            ("1.2.3", 1.2, DecimalMark::Point, ".3"),
            ("8 kΩ", 8.0, DecimalMark::None, " kΩ"),
            ("1e99999999999", f64::INFINITY, DecimalMark::None, ""),
            ("1e-99999999999", 0.0, DecimalMark::None, ""),
        ] {
            let numeral = Numeral::read(text).expect(text);
            assert_eq!(
                (numeral.value(), numeral.mark, numeral.rest),
                (value, mark, rest),
                "{text}"
            );
        }
        for text in ["", "-", ".", ",", "e3", "nan", "inf", "Ω", "k", "--3"] {
            assert_eq!(Numeral::read(text), None, "{text}");
        }
    }
}
