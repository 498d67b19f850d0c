//! What the texts about driver and feedback mean.

use serde::Serialize;
use tapwright_amplifier::TakeOff;
use tapwright_iron::place::{find_place, places_of_taps};
use tapwright_iron::transformer::Tap;
use tapwright_tube::fit::{self, FitError, Given};
use tapwright_tube::{Capacitances, Kind, Model};
use tapwright_units::Unit;
use tapwright_units::entry::{Complaint, excerpt};

use super::reader::Reader;
use super::stage::grid;
use crate::setup::{
    DriveEntry, DriveText, FeedbackEntry, FeedbackText, Field, OwnDriverEntry, OwnDriverText,
    Polarity, SplitterKind, Taper,
};

/// Decibels of feedback that are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wanted {
    /// So many.
    One(f64),
    /// From so many to so many, by a control.
    Range(f64, f64),
}

/// A driver triode.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DriverTriode {
    /// Type designation; `None` for the person's own.
    pub designation: Option<&'static str>,
    /// Static model.
    pub model: Model,
    /// Capacitances between its electrodes; of the person's own the usual ones.
    pub capacitance: Capacitances,
}

/// The driver and the feedback as far as they could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AmplifierValues {
    /// The driver tube.
    pub driver: Option<DriverTriode>,
    /// What turns the phase of a push-pull pair.
    pub splitter: SplitterKind,
    /// The numbers of the stages before the output stage.
    pub drive: DriveEntry<Option<f64>>,
    /// Where feedback is taken from.
    pub from: Option<TakeOff>,
    /// Taper of the control.
    pub taper: Taper,
    /// Which way round the primary is.
    pub polarity: Polarity,
    /// The numbers of the feedback.
    pub feedback: FeedbackEntry<Option<f64>>,
    /// The decibels wanted.
    pub wanted: Option<Wanted>,
}

pub(super) fn read(reader: &mut Reader, taps: Option<&[Tap]>) -> AmplifierValues {
    let driver = match reader.setup.has_own_driver() {
        true => own_triode(reader),
        false => reader.field(Field::DriverTube, triode),
    };
    let drive = DriveEntry::from_each(|text| {
        let field = Field::Drive(text);
        match text {
            DriveText::Stages => reader.number_by(field, |typed, range| whole(range.read(typed)?)),
            _ => reader.number(field),
        }
    });
    if let (Some(whole), Some(lower)) = (drive.driver_cathode.or(Some(1.5e3)), drive.driver_lower)
        && lower >= whole
    {
        reader.complain(
            Field::Drive(DriveText::Lower),
            "the part without a capacitor is less than the whole resistor",
            "100",
        );
    }
    let from = reader.field(Field::Feedback(FeedbackText::From), |text| {
        taken_from(text, taps)
    });
    let mut wanted = None;
    let feedback = FeedbackEntry::from_each(|text| {
        let field = Field::Feedback(text);
        match text {
            FeedbackText::Wanted => {
                wanted = reader.in_range(field, |typed, range| {
                    decibels(typed, |part| range.read(part))
                });
                None
            }
            FeedbackText::From => None,
            _ => reader.number(field),
        }
    });
    AmplifierValues {
        driver,
        splitter: reader.setup.amplifier.splitter,
        drive,
        from,
        taper: reader.setup.amplifier.taper,
        polarity: reader.setup.amplifier.polarity,
        feedback,
        wanted,
    }
}

/// A triode typed from its datasheet.
fn own_triode(reader: &mut Reader) -> Option<DriverTriode> {
    let before = reader.problems.len();
    let typed = OwnDriverEntry::from_each(|text| {
        let field = Field::OwnDriver(text);
        match text {
            OwnDriverText::Grid => reader.number_by(field, grid),
            _ => reader.number(field),
        }
    });
    if reader.problems.len() > before {
        return None;
    }
    let example = "250 V, -2 V, 1.2 mA, µ 100, 62k";
    let (Some(plate_volts), Some(grid_volts), Some(plate_ma), Some(mu), Some(ohms)) = (
        typed.own_driver_plate,
        typed.own_driver_grid,
        typed.own_driver_ma,
        typed.own_driver_mu,
        typed.own_driver_rp,
    ) else {
        let why =
            "type its plate volts, grid volts, current, µ and plate resistance from the datasheet";
        reader.complain(Field::DriverTube, why, example);
        return None;
    };
    let point = Given {
        plate_volts,
        screen_volts: None,
        grid_volts,
        plate_ma,
        screen_ma: None,
        gm_ms: Some(1e3 * mu / ohms),
        rp_kohm: None,
        mu: Some(mu),
    };
    match fit::own(Kind::Triode, &[point]) {
        Ok(fit) => Some(DriverTriode {
            designation: None,
            model: fit.model,
            capacitance: Capacitances::OF_A_TRIODE,
        }),
        Err(error) => {
            let field = match error {
                FitError::Impossible { .. } => Field::OwnDriver(OwnDriverText::Ma),
                _ => Field::DriverTube,
            };
            reader.complain(field, error.to_string(), example);
            None
        }
    }
}

/// A triode of the table.
fn triode(text: &str) -> Result<DriverTriode, Complaint> {
    let example = "12AX7, ECC83, or own";
    match tapwright_tube::find(text) {
        None => Err(Complaint::new(
            format!(
                "“{}” is not among the tube types here",
                excerpt(text.trim())
            ),
            example,
        )),
        Some(tube) if tube.kind != Kind::Triode || !matches!(tube.model, Model::Triode(_)) => Err(
            Complaint::new(format!("{} is no triode", tube.designation), example),
        ),
        Some(tube) => Ok(DriverTriode {
            designation: Some(&tube.designation),
            model: tube.model,
            capacitance: tube.capacitance.unwrap_or(Capacitances::OF_A_TRIODE),
        }),
    }
}

fn whole(count: f64) -> Result<f64, Complaint> {
    match (count - count.round()).abs() < 1e-9 {
        true => Ok(count.round()),
        false => Err(Complaint::new("stages come in whole numbers", "1")),
    }
}

fn taken_from(text: &str, taps: Option<&[Tap]>) -> Result<TakeOff, Complaint> {
    let typed = text.trim();
    if typed.eq_ignore_ascii_case("selected") {
        return Ok(TakeOff::Selected);
    }
    let places = taps.map(places_of_taps).unwrap_or_default();
    let bare = typed
        .trim_end_matches(['Ω', ' '])
        .trim_end_matches("ohm")
        .trim();
    let found = find_place(&places, typed).or_else(|| find_place(&places, bare));
    found.map(TakeOff::Tap).ok_or_else(|| {
        Complaint::new(
            format!("“{}” is no tap typed above", excerpt(typed)),
            "selected, or a tap’s ohms or name",
        )
    })
}

/// `8`, `8 dB`, or `4 to 14`.
fn decibels(
    text: &str,
    read: impl Fn(&str) -> Result<f64, Complaint>,
) -> Result<Wanted, Complaint> {
    let cut = text
        .split_once(" to ")
        .or_else(|| text.split_once('–'))
        .or_else(|| text.split_once('-'));
    let Some((low, high)) = cut else {
        return read(text).map(Wanted::One);
    };
    let (low, high) = (read(low)?, read(high)?);
    match low < high {
        true => Ok(Wanted::Range(low, high)),
        false => Err(Complaint::new(
            format!(
                "from {low} to {high} {} is the wrong way round",
                Unit::Decibel.symbol()
            ),
            "4 to 14",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::link;
    use crate::values::Values;

    fn values(link: &str) -> Values {
        Values::read(
            &link::parse(&format!("v=1&primary=8k&taps=4,%20green%208,%2016&{link}")).setup,
        )
    }

    #[test]
    fn a_take_off_is_the_tap_in_use_or_one_by_ohms_or_name() {
        for (text, want) in [
            ("selected", TakeOff::Selected),
            ("8", TakeOff::Tap(1)),
            ("8%20ohm", TakeOff::Tap(1)),
            ("green", TakeOff::Tap(1)),
            ("16", TakeOff::Tap(2)),
        ] {
            let values = values(&format!("feedback_from={text}"));
            assert_eq!(
                values.amplifier.from,
                Some(want),
                "{text}: {:?}",
                values.problems
            );
        }
        let gone = values("feedback_from=2");
        assert_eq!(gone.problems.len(), 1);
        assert!(gone.problems[0].complaint.why.contains("no tap"));
    }

    #[test]
    fn decibels_are_one_value_or_two() {
        let wanted = |text: &str| {
            values(&format!("feedback_from=selected&feedback_wanted={text}"))
                .amplifier
                .wanted
        };
        assert_eq!(wanted("8"), Some(Wanted::One(8.0)));
        assert_eq!(wanted("4%20to%2014%20dB"), Some(Wanted::Range(4.0, 14.0)));
        assert_eq!(wanted("4-14"), Some(Wanted::Range(4.0, 14.0)));
        assert_eq!(wanted("14%20to%204"), None);
    }

    #[test]
    fn a_driver_is_a_triode_of_the_table() {
        let driver = |text: &str| values(text).amplifier.driver;
        let named = driver("driver=ECC83").and_then(|driver| driver.designation);
        assert_eq!(named, Some("12AX7"));
        for bad in ["EL84", "6ZZ9"] {
            assert_eq!(values(&format!("driver={bad}")).problems.len(), 1, "{bad}");
        }
    }
}
