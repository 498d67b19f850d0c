//! What the readings at idle mean, and what is wanted there.

use serde::Serialize;
use tapwright_iron::measured::meter::Accuracy;
use tapwright_units::entry::{Complaint, Expected, excerpt, number_and_count};
use tapwright_units::{Unit, Volts};

use super::reader::Reader;
use crate::setup::{Field, ReadingText, ReadingsEntry, WantedText};

/// The accuracy of a meter on DC volts unless another is typed. Usual for a hand meter; common
/// practice, no source.
const METER: Accuracy = Accuracy {
    share: 0.005,
    counts: 2.0,
};

/// A voltage that was read, with the limits of its error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Shown {
    /// V.
    pub volts: f64,
    /// Limit of the error of its gain, 0 to 1.
    pub share: f64,
    /// Limit of what its last digits may be off, V.
    pub counts: f64,
}

/// A plate dissipation that is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WantedWatts {
    /// W.
    Watts(f64),
    /// A share of the tube's limit.
    OfLimit(f64),
}

/// The readings at idle as far as they could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingsValues {
    /// The volts; nothing where a field holds no volts.
    pub shown: ReadingsEntry<Option<Shown>>,
    /// Resistor at each cathode, Ω.
    pub each_cathode: Option<f64>,
    /// Tolerance of the resistors, 0 to 1.
    pub tolerance: Option<f64>,
    /// Another setting of the cathode resistor, Ω, and the cathode there, V.
    pub other: Option<(f64, f64)>,
    /// The dissipation wanted.
    pub wanted: Option<WantedWatts>,
    /// Supply of a fixed bias, V.
    pub bias_supply: Option<Volts>,
}

pub(super) fn read(reader: &mut Reader) -> ReadingsValues {
    let meter = reader.field(Field::Reading(ReadingText::Meter), Accuracy::read);
    let meter = meter.unwrap_or(METER);
    let shown = ReadingsEntry::from_each(|text| {
        let field = Field::Reading(text);
        let mut shown = None;
        match text {
            ReadingText::EachCathode
            | ReadingText::Tolerance
            | ReadingText::OtherOhms
            | ReadingText::Meter => {}
            _ => {
                reader.number_by(field, |typed, range| {
                    let read = volts(typed, range, text, meter)?;
                    shown = Some(read);
                    Ok(read.volts)
                });
            }
        }
        shown
    });
    let mut number = |text| reader.number(Field::Reading(text));
    let each_cathode = number(ReadingText::EachCathode);
    let tolerance = number(ReadingText::Tolerance);
    let other_ohms = number(ReadingText::OtherOhms);
    let other = other_ohms.zip(shown.read_other_cathode.map(|shown| shown.volts));
    cross_checks(reader, &shown);
    ReadingsValues {
        shown,
        each_cathode,
        tolerance,
        other,
        wanted: reader.field(Field::Wanted(WantedText::Dissipation), wanted),
        bias_supply: reader
            .number_by(Field::Wanted(WantedText::BiasSupply), below_ground)
            .map(Volts),
    }
}

/// Readings that cannot be of one tube.
fn cross_checks(reader: &mut Reader, shown: &ReadingsEntry<Option<Shown>>) {
    let plates = [
        (shown.read_cathode, shown.read_plate, ReadingText::Cathode),
        (
            shown.read2_cathode,
            shown.read2_plate,
            ReadingText::Cathode2,
        ),
        (
            shown.read_primary_drop,
            shown.read_supply,
            ReadingText::PrimaryDrop,
        ),
    ];
    for (low, high, text) in plates {
        let (Some(low), Some(high)) = (low, high) else {
            continue;
        };
        if low.volts >= high.volts {
            let why = match text {
                ReadingText::PrimaryDrop => {
                    "more than all of B+ cannot drop over the primary".to_owned()
                }
                _ => format!(
                    "a cathode at {} V would stand above its plate at {} V: are the two swapped?",
                    low.volts, high.volts
                ),
            };
            reader.complain(Field::Reading(text), why, "7.31");
        }
    }
    if let (Some(plate), Some(supply)) = (shown.read_plate, shown.read_supply)
        && plate.volts > supply.volts + plate.counts + supply.counts
    {
        let why = "the plate would stand above B+, and current flows from B+ to the plate: are the two swapped?";
        reader.complain(Field::Reading(ReadingText::Supply), why, "260.1");
    }
}

/// What a meter shows: `252.3`, `7.31 ± 0.5 % + 2`. The meter is taken to show the digits that
/// are typed.
fn volts(
    text: &str,
    range: &Expected,
    which: ReadingText,
    meter: Accuracy,
) -> Result<Shown, Complaint> {
    let text = text.replace("+-", "±").replace("+/-", "±");
    let (typed, accuracy) = match text.split_once('±') {
        Some((typed, own)) => (typed, Accuracy::read(&format!("±{own}"))?),
        None => (text.as_str(), meter),
    };
    let volts = range
        .read(typed)
        .map_err(|complaint| turned_round(typed, range, which).unwrap_or(complaint))?;
    let (_, count) =
        number_and_count(typed, range.unit).map_err(|why| Complaint::new(why, range.example))?;
    Ok(Shown {
        volts,
        share: accuracy.share,
        // No meter is without any doubt.
        counts: (accuracy.counts * count).max(1e-4 * volts.abs()).max(1e-6),
    })
}

/// What is said of volts below zero where they cannot be.
fn turned_round(text: &str, range: &Expected, which: ReadingText) -> Option<Complaint> {
    let negative = Expected {
        least: -range.most,
        most: -range.least,
        ..*range
    };
    negative.read(text).ok()?;
    let why = match which {
        ReadingText::PrimaryDrop | ReadingText::PrimaryDrop2 => {
            "current flows from B+ to the plate, so B+ is the higher end"
        }
        ReadingText::ScreenDrop | ReadingText::ScreenDrop2 => {
            "current flows into the screen, so the screen is the lower end"
        }
        ReadingText::Cathode | ReadingText::Cathode2 | ReadingText::OtherCathode => {
            "current flows from the cathode to ground, so the cathode stands above ground"
        }
        _ => "B+, plate and screen stand above ground",
    };
    Some(Complaint::new(
        format!(
            "“{}” has the polarity reversed: {why}. The meter’s leads are the wrong way round",
            excerpt(text.trim())
        ),
        range.example,
    ))
}

/// A bias supply: below ground, with or without its sign.
fn below_ground(text: &str, range: &Expected) -> Result<f64, Complaint> {
    range.read(text).map_err(|complaint| {
        let positive = Expected {
            least: -range.most,
            most: -range.least,
            ..*range
        };
        match positive.read(text) {
            Ok(_) => Complaint::new(
                format!(
                    "“{}” is above ground, and a bias supply stands below it: with a minus sign it is understood",
                    excerpt(text.trim())
                ),
                range.example,
            ),
            Err(_) => complaint,
        }
    })
}

const EXAMPLE: &str = "10 W, or 85 %";

/// `10`, `10 W` or `85 %`.
fn wanted(text: &str) -> Result<WantedWatts, Complaint> {
    let typed = text.trim();
    let expected = |unit, least, most, noun| Expected {
        unit,
        least,
        most,
        example: EXAMPLE,
        noun,
        joined: false,
    };
    match typed.contains('%') || typed.contains("percent") {
        true => expected(Unit::Percent, 5.0, 200.0, "a share of the limit")
            .read(typed)
            .map(|percent| WantedWatts::OfLimit(percent / 100.0)),
        false => expected(Unit::Watt, 0.05, 500.0, "a dissipation")
            .read(typed)
            .map(WantedWatts::Watts),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::link;
    use crate::values::Values;

    fn values(link: &str) -> Values {
        Values::read(&link::parse(&format!("v=1&{link}")).setup)
    }

    #[test]
    fn a_reading_has_the_meters_accuracy_or_its_own() {
        let read = values(
            "read_plate=252.3&read_cathode=7.31%20%C2%B1%201%25%20%2B%203&read_meter=0.8%25%20%2B%201",
        );
        assert_eq!(read.problems, []);
        let plate = read.readings.shown.read_plate.expect("read");
        assert!((plate.volts, plate.share) == (252.3, 0.008) && (plate.counts - 0.1).abs() < 1e-9);
        let cathode = read.readings.shown.read_cathode.expect("read");
        assert!(cathode.share == 0.01 && (cathode.counts - 0.03).abs() < 1e-9);
    }

    /// Each kind of nonsense: one complaint, at its field.
    #[test]
    fn readings_that_cannot_be_say_why() {
        for (link, why) in [
            ("read_plate=-252", "polarity reversed"),
            ("read_cathode=-7.3", "polarity reversed"),
            ("read_primary_drop=-7.8", "polarity reversed"),
            ("read_plate=250&read_cathode=260", "above its plate"),
            ("read_supply=250&read_plate=260", "above B+"),
            ("read_supply=250&read_primary_drop=300", "cannot drop"),
            ("read_plate=252%20VAC", "AC"),
            ("read_plate=plenty", "not a number"),
            ("read_meter=good", "accuracy"),
            ("wanted_dissipation=hot", "not a number"),
            ("wanted_dissipation=900%20%25", "larger"),
            ("bias_supply=60", "below it"),
            ("read_tolerance=0", "zero"),
        ] {
            let found = values(link).problems;
            assert_eq!(found.len(), 1, "{link}: {found:?}");
            assert!(
                found[0].complaint.why.contains(why),
                "{link}: {}",
                found[0].complaint.why
            );
        }
    }

    #[test]
    fn dissipation_is_watts_or_a_share() {
        let wanted = |text: &str| {
            values(&format!("wanted_dissipation={text}"))
                .readings
                .wanted
        };
        assert_eq!(wanted("10"), Some(WantedWatts::Watts(10.0)));
        assert_eq!(wanted("10%20W"), Some(WantedWatts::Watts(10.0)));
        assert_eq!(wanted("85%25"), Some(WantedWatts::OfLimit(0.85)));
    }
}
