//! The ratings stamped on a transformer, read from what is typed.

use super::{End, MOST_LEADS, PrimaryLead, Tap, split_off};
use tapwright_units::entry::{Complaint, Expected, shortest};
use tapwright_units::list::{self, NamedValue};
use tapwright_units::{Ohms, Unit, Volts, Watts};

const PRIMARY: Expected = Expected {
    unit: Unit::Ohm,
    least: 50.0,
    most: 1e6,
    example: "8k, or brown 8k, blue 10k",
    noun: "a primary rating",
    joined: false,
};

const TAP: Expected = Expected {
    unit: Unit::Ohm,
    least: 0.1,
    most: 2_000.0,
    example: "8, or 3, 8, 15",
    noun: "a secondary tap’s rating",
    joined: false,
};

const LINE_TAP: Expected = Expected {
    unit: Unit::Watt,
    least: 0.01,
    most: 1_000.0,
    example: "10, or 1, 2.5, 5, 10",
    noun: "a power tap",
    joined: false,
};

const LINE_VOLTS: Expected = Expected {
    unit: Unit::AcVolt,
    least: 10.0,
    most: 250.0,
    example: "100",
    noun: "a line voltage",
    joined: false,
};

/// Primary impedance of a line transformer's power tap: `V²/P`.
///
/// ```
/// use tapwright_iron::transformer::power_tap_impedance;
/// use tapwright_units::*;
/// assert_eq!(power_tap_impedance(Volts(100.0), Watts(2.5)), Ohms(4_000.0));
/// ```
pub fn power_tap_impedance(line: Volts, tap: Watts) -> Ohms {
    Ohms(line.0.powi(2) / tap.0)
}

/// Reads primary leads with rated impedances. A lead that is named as the one to B+ (`red B+`)
/// is no primary lead; [`split_off`] tells its name.
///
/// # Errors
/// A [`Complaint`] when one cannot be read, or when a rating is given twice.
///
/// ```
/// let leads = tapwright_iron::transformer::read_leads("brown 8k, blue 10k").unwrap();
/// assert_eq!(leads[1].name, "blue");
/// ```
pub fn read_leads(text: &str) -> Result<Vec<PrimaryLead>, Complaint> {
    let named = rated(text, &PRIMARY, End::Supply, "primary lead")?;
    Ok(named
        .into_iter()
        .map(|n| PrimaryLead {
            name: n.name,
            rated: Ohms(n.value),
            power_tap: None,
            guessed: false,
        })
        .collect())
}

/// Reads the power taps of a line transformer for line voltage `line`.
///
/// # Errors
/// A [`Complaint`] when one cannot be read, or when a power is given twice.
///
/// ```
/// use tapwright_iron::transformer::read_power_taps;
/// use tapwright_units::*;
/// let leads = read_power_taps("1, 2.5, 5, 10", Volts(100.0)).unwrap();
/// assert_eq!(leads[3].rated, Ohms(1_000.0));
/// ```
pub fn read_power_taps(text: &str, line: Volts) -> Result<Vec<PrimaryLead>, Complaint> {
    let named = rated(text, &LINE_TAP, End::Supply, "power tap")?;
    Ok(named
        .into_iter()
        .map(|n| PrimaryLead {
            name: n.name,
            rated: power_tap_impedance(line, Watts(n.value)),
            power_tap: Some(Watts(n.value)),
            guessed: false,
        })
        .collect())
}

/// Reads the line voltage of a line transformer.
///
/// # Errors
/// A [`Complaint`] when it cannot be read, or when no line has that voltage.
///
/// ```
/// use tapwright_iron::transformer::read_line_volts;
/// use tapwright_units::Volts;
/// assert_eq!(read_line_volts("100 V"), Ok(Volts(100.0)));
/// ```
pub fn read_line_volts(text: &str) -> Result<Volts, Complaint> {
    LINE_VOLTS.read(text).map(Volts)
}

/// Reads secondary taps with rated impedances. The common lead (`black common`, `0`) is no tap;
/// [`split_off`] tells its name.
///
/// # Errors
/// A [`Complaint`] when one cannot be read, or when a rating is given twice.
///
/// ```
/// assert_eq!(tapwright_iron::transformer::read_taps("3, 8, 15").unwrap().len(), 3);
/// assert!(tapwright_iron::transformer::read_taps("8, 8").is_err());
/// ```
pub fn read_taps(text: &str) -> Result<Vec<Tap>, Complaint> {
    let named = rated(text, &TAP, End::Common, "tap")?;
    Ok(named
        .into_iter()
        .map(|n| Tap {
            name: n.name,
            rated: Ohms(n.value),
            guessed: false,
        })
        .collect())
}

/// The rated leads of a list, without the end lead that may stand among them.
fn rated(
    text: &str,
    expected: &Expected,
    end: End,
    what: &str,
) -> Result<Vec<NamedValue>, Complaint> {
    let (rest, name) = split_off(text, end)?;
    if rest.trim().is_empty() && name.is_some() {
        return Err(Complaint::new(
            format!("that names the lead without a rating; no {what} with its rating is there yet"),
            expected.example,
        ));
    }
    refuse_twice(list::read(&rest, expected, MOST_LEADS)?, expected, what)
}

/// Refuses a rating that is given twice. Two taps with one rating are one tap: a pair of them
/// has no turns.
fn refuse_twice(
    named: Vec<NamedValue>,
    expected: &Expected,
    what: &str,
) -> Result<Vec<NamedValue>, Complaint> {
    let twice = named.iter().enumerate().find(|(at, this)| {
        named[..*at]
            .iter()
            .any(|before| (before.value / this.value - 1.0).abs() < 1e-9)
    });
    match twice {
        None => Ok(named),
        Some((_, this)) => Err(Complaint::new(
            format!(
                "{} {} stands there twice, and each {what} has a rating of its own",
                shortest(this.value),
                expected.unit.symbol()
            ),
            expected.example,
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `V²/P`, exact arithmetic.
    #[test]
    fn power_taps_of_a_100_volt_line() {
        let leads = read_power_taps("1, 2.5, 5, 10", Volts(100.0)).expect("taps");
        let ohms: Vec<f64> = leads.iter().map(|lead| lead.rated.0).collect();
        assert_eq!(ohms, [10e3, 4e3, 2e3, 1e3]);
    }

    #[test]
    fn a_tap_typed_twice_is_refused_with_its_value() {
        assert!(
            read_taps("4, 8, 8.0")
                .expect_err("twice")
                .why
                .contains("8 Ω stands there twice")
        );
        assert!(read_leads("8k, 8000").is_err());
        assert!(read_power_taps("5, 5W", Volts(100.0)).is_err());
    }
}
