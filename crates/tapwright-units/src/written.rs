//! A number with its unit, exactly as it stands in a text: `8 kΩ`, `4R7`.

use crate::Unit;
use crate::numeral::{DecimalMark, Numeral};
use crate::text::excerpt;

/// Reads one tidied number exactly as it stands: its value in `unit`, and what one more in its
/// last digit would add.
pub(crate) fn as_written(typed: &str, unit: Unit) -> Result<(f64, f64), String> {
    let Some(numeral) = Numeral::read(typed) else {
        return Err(format!("“{}” is not a number", excerpt(typed)));
    };
    if numeral.could_be_thousands() {
        let (whole, fraction) = (numeral.whole, numeral.fraction);
        return Err(format!(
            "“{whole},{fraction}” can be read as {whole}{fraction} or as {whole}.{fraction}"
        ));
    }
    let suffix = numeral.rest.trim();
    let scale = match numeral.mark {
        DecimalMark::Letter(letter) => {
            if !is_unit_or_empty(suffix, unit) {
                return Err(not_a_unit(suffix, unit));
            }
            letter_scale(letter, unit).ok_or_else(|| not_a_unit(&letter.to_string(), unit))?
        }
        _ => suffix_scale(suffix, unit).ok_or_else(|| not_a_unit(suffix, unit))?,
    };
    Ok((numeral.value() * scale, numeral.last_digit() * scale))
}

/// SI prefixes, and `K`, which IEC 60062 writes for kilo.
fn prefix_scale(prefix: &str) -> Option<f64> {
    Some(match prefix {
        "" => 1.0,
        "p" => 1e-12,
        "n" => 1e-9,
        "u" => 1e-6,
        "m" => 1e-3,
        "k" | "K" => 1e3,
        "M" => 1e6,
        "G" => 1e9,
        _ if prefix.eq_ignore_ascii_case("meg") => 1e6,
        _ => return None,
    })
}

fn letter_scale(letter: char, unit: Unit) -> Option<f64> {
    let text = letter.to_string();
    prefix_scale(&text).or_else(|| is_unit_or_empty(&text, unit).then_some(1.0))
}

fn is_unit_or_empty(text: &str, unit: Unit) -> bool {
    text.is_empty() || (unit.words().iter()).any(|word| word.eq_ignore_ascii_case(text))
}

/// The scale that a suffix like `k`, `kΩ`, `k ohm` or `ohm` means.
fn suffix_scale(suffix: &str, unit: Unit) -> Option<f64> {
    if is_unit_or_empty(suffix, unit) {
        return Some(1.0);
    }
    suffix
        .char_indices()
        .map(|(at, c)| at + c.len_utf8())
        .filter(|end| *end <= 3)
        .find_map(|end| {
            let (prefix, word) = suffix.split_at(end);
            is_unit_or_empty(word.trim(), unit)
                .then(|| prefix_scale(prefix))
                .flatten()
        })
}

fn not_a_unit(suffix: &str, unit: Unit) -> String {
    let suffix = excerpt(suffix);
    match unit.symbol() {
        "" => format!("“{suffix}” does not belong to a number"),
        symbol => format!("“{suffix}” is not a unit known here; {symbol} is"),
    }
}
