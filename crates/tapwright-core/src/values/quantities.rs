//! Several quantities in one field, each with its unit: `6.3 V, 1.7 mA, 50 Hz`.

use tapwright_units::Unit;
use tapwright_units::entry::{LONGEST_ENTRY, excerpt, number, tidy};

/// Cuts a text into quantities, each with its unit, which is one of `units`. A single quantity
/// without a unit is in the first of them. The numbers are not read yet.
pub(super) fn quantities(text: &str, units: &[Unit]) -> Result<Vec<(String, Unit)>, String> {
    if text.len() > LONGEST_ENTRY {
        return Err(format!("{} characters are too many here", text.len()));
    }
    let mut quantities: Vec<String> = Vec::new();
    for word in spaced(&tidy(text))
        .split(' ')
        .filter(|word| !word.is_empty())
    {
        let starts = word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
        match quantities.last_mut() {
            Some(last) if !starts => {
                last.push(' ');
                last.push_str(word);
            }
            None if !starts => return Err(format!("“{}” is not a number", excerpt(word))),
            _ => quantities.push(word.to_owned()),
        }
    }
    let alone = quantities.len() == 1;
    (quantities.into_iter())
        .map(|quantity| match unit(&quantity, units) {
            Some(unit) => Ok((quantity, unit)),
            None => match units.first() {
                Some(first) if alone => Ok((quantity, *first)),
                _ => Err(format!(
                    "“{}” needs a unit that is known here",
                    excerpt(&quantity)
                )),
            },
        })
        .collect()
}

/// The text with spaces for its separators: semicolons, and commas that are no decimal mark.
fn spaced(text: &str) -> String {
    let digit_at = |at: usize| text.as_bytes().get(at).is_some_and(u8::is_ascii_digit);
    text.char_indices()
        .map(|(at, c)| match c {
            ';' => ' ',
            ',' if !(at > 0 && digit_at(at - 1) && digit_at(at + 1)) => ' ',
            c => c,
        })
        .collect()
}

/// The unit whose word stands in a quantity, and in which the quantity can be read.
fn unit(quantity: &str, units: &[Unit]) -> Option<Unit> {
    // No word of these units needs more than ASCII; the tables for it would be large.
    let lower = quantity.to_ascii_lowercase();
    let stands = |unit: &Unit| {
        (unit.words().iter()).any(|word| lower.contains(word)) && number(quantity, *unit).is_ok()
    };
    units.iter().copied().find(stands)
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNITS: [Unit; 4] = [Unit::Henry, Unit::AcVolt, Unit::Ampere, Unit::Hertz];

    fn units(text: &str) -> Vec<Unit> {
        let found = quantities(text, &UNITS).expect(text);
        found.into_iter().map(|(_, unit)| unit).collect()
    }

    #[test]
    fn quantities_are_told_apart_by_their_units() {
        let reading = [Unit::AcVolt, Unit::Ampere, Unit::Hertz];
        for text in [
            "6.3 V, 1.7 mA, 50 Hz",
            "6.3V,1.7mA,50Hz",
            "6,3 volts; 0,0017 A; 50 hertz",
            "  6.3V  1.7mA 50 Hz ",
            "4V7, 18 mA, 1kHz",
        ] {
            assert_eq!(units(text), reading, "{text}");
        }
        assert_eq!(units("12 H"), [Unit::Henry]);
        assert_eq!(units("12"), [Unit::Henry]);
        assert_eq!(units("800 mH"), [Unit::Henry]);
        assert_eq!(units("40 Hz"), [Unit::Hertz]);
    }

    #[test]
    fn what_has_no_unit_is_refused() {
        for (text, why) in [
            ("6.3, 1.7, 50", "needs a unit"),
            ("6.3 V, 1.7, 50 Hz", "needs a unit"),
            ("volts", "not a number"),
        ] {
            let found = quantities(text, &UNITS).expect_err(text);
            assert!(found.contains(why), "{text}: {found}");
        }
    }
}
