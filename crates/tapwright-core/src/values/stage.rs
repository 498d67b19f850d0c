//! What the texts of the output stage mean.

use serde::Serialize;

use super::Reader;
use super::own::{self, OwnValues};
use crate::setup::{Field, OWN_TUBE, Screens, Setup, StageText, Topology};
use tapwright_units::Unit;
use tapwright_units::entry::{Complaint, Expected, excerpt};

/// The output stage as far as it could be read; volts, ohms, hertz, and fractions of one
/// where percent are typed. `None` is a field that is empty or at fault.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct StageValues {
    /// Tubes in all.
    pub tubes: Option<u32>,
    /// Screen supply, V from ground.
    pub screen: Option<f64>,
    /// Screen dropping resistor, common to all tubes.
    pub screen_resistor: Option<ScreenResistor>,
    /// Resistor at each screen, Ω.
    pub stopper: Option<f64>,
    /// Screen tap, fraction of the turns from B+ to the plate.
    pub screen_tap: Option<f64>,
    /// Grid from cathode, V.
    pub grid: Option<f64>,
    /// Cathode resistor, Ω.
    pub cathode: Option<f64>,
    /// Resistance of the supply, Ω.
    pub source: Option<f64>,
    /// Difference of currents, of drive and of turns over their means.
    pub unlike: [f64; 3],
    /// Drive over the one at which grid current starts.
    pub drive: Option<f64>,
    /// Frequency, Hz.
    pub frequency: Option<f64>,
    /// The person's own tube, while it is the one in use.
    pub own: Option<OwnValues>,
}

/// A resistor between all screens and their supply.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ScreenResistor {
    /// Ω.
    pub ohms: f64,
    /// Whether a capacitor follows it, which holds the screens steady.
    pub capacitor: bool,
}

impl ScreenResistor {
    /// No resistor.
    pub(crate) const NONE: Self = Self {
        ohms: 0.0,
        capacitor: true,
    };

    /// The ohms before a capacitor, and those that none follows.
    pub(crate) fn before_and_without(self) -> (f64, f64) {
        match self.capacitor {
            true => (self.ohms, 0.0),
            false => (0.0, self.ohms),
        }
    }
}

pub(super) const fn expected(
    unit: Unit,
    least: f64,
    most: f64,
    example: &'static str,
    noun: &'static str,
) -> Expected {
    Expected {
        unit,
        least,
        most,
        example,
        noun,
    }
}

const SCREEN: Expected = expected(Unit::Volt, 10.0, 2_000.0, "250", "a screen voltage");
const TAP: Expected = expected(Unit::Percent, 1.0, 99.0, "43", "a screen tap");
const GRID: Expected = expected(Unit::Volt, -500.0, 0.0, "-15", "a grid voltage");
const CATHODE: Expected = expected(Unit::Ohm, 1.0, 1e5, "250", "a cathode resistor");
const UNLIKE: Expected = expected(
    Unit::Percent,
    -150.0,
    150.0,
    "10",
    "a difference of two sides",
);
const DRIVE: Expected = expected(Unit::Percent, 1.0, 1_000.0, "100", "a drive");
const FREQUENCY: Expected = expected(Unit::Hertz, 5.0, 50_000.0, "80", "a frequency");

/// A resistance that may be none.
const fn resistance(most: f64, example: &'static str, noun: &'static str) -> Expected {
    expected(Unit::Ohm, 0.0, most, example, noun)
}

const SCREEN_OHMS: Expected = resistance(1e6, "470, or 470 no cap", "a screen resistor");
const STOPPER: Expected = resistance(1e6, "1k", "a screen resistor");
const SOURCE: Expected = resistance(2e4, "100", "a supply’s resistance");

pub(super) fn read(reader: &mut Reader) -> StageValues {
    let setup = reader.setup;
    let stage = |reader: &mut Reader, text, expected: Expected| {
        reader.field(Field::Stage(text), |typed| expected.read(typed))
    };
    let percent = |reader: &mut Reader, text, expected| {
        stage(reader, text, expected).map(|percent| percent / 100.0)
    };
    let steady = setup.screens == Screens::Steady && setup.has_screen();
    let taps = setup.screens == Screens::Taps && setup.has_screen();
    let unlike = if setup.topology == Topology::PushPull {
        [
            StageText::UnlikeCurrent,
            StageText::UnlikeDrive,
            StageText::UnlikeTurns,
        ]
        .map(|text| percent(reader, text, UNLIKE).unwrap_or_default())
    } else {
        [0.0; 3]
    };
    let grid = reader.field(Field::Stage(StageText::Grid), grid);
    StageValues {
        tubes: reader.field(Field::Stage(StageText::Tubes), |text| {
            tubes(text, setup.topology)
        }),
        screen: steady
            .then(|| stage(reader, StageText::Screen, SCREEN))
            .flatten(),
        screen_resistor: steady
            .then(|| reader.field(Field::Stage(StageText::ScreenOhms), screen_resistor))
            .flatten(),
        stopper: setup
            .has_screen()
            .then(|| stage(reader, StageText::Stopper, STOPPER))
            .flatten(),
        screen_tap: taps
            .then(|| percent(reader, StageText::ScreenTap, TAP))
            .flatten(),
        grid,
        cathode: reader.field(Field::Stage(StageText::Cathode), |text| {
            if setup
                .text(Field::Stage(StageText::Grid))
                .is_some_and(|grid| !grid.trim().is_empty())
            {
                return Err(Complaint::new(
                    "a grid voltage is typed too, and one of the two sets the bias",
                    "a resistor here and nothing under grid volts",
                ));
            }
            CATHODE.read(text)
        }),
        source: stage(reader, StageText::Source, SOURCE),
        unlike,
        drive: percent(reader, StageText::Drive, DRIVE),
        frequency: stage(reader, StageText::Frequency, FREQUENCY),
        own: is_own(setup).then(|| own::read(reader)),
    }
}

/// A resistance, and after it words for a missing capacitor.
fn screen_resistor(text: &str) -> Result<ScreenResistor, Complaint> {
    let typed = text.trim();
    let capacitor = before(typed, "cap").or_else(|| before(typed, "capacitor"));
    let bare = capacitor.and_then(|no| before(no, "no"));
    let ohms = bare.filter(|ohms| !ohms.is_empty()).unwrap_or(typed);
    Ok(ScreenResistor {
        ohms: SCREEN_OHMS.read(ohms)?,
        capacitor: bare.is_none(),
    })
}

/// What stands before the last word, if that is this one.
fn before<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let (before, last) = text.split_at_checked(text.len().checked_sub(word.len())?)?;
    let mark = |letter: char| letter.is_whitespace() || ",-".contains(letter);
    let is_it = last.eq_ignore_ascii_case(word);
    is_it.then(|| before.trim_end_matches(mark))
}

/// Whether the tube in use is the one typed from a datasheet.
pub(crate) fn is_own(setup: &Setup) -> bool {
    setup.tube.trim() == OWN_TUBE
}

/// Grid volts from the cathode, which a grid idles at or below.
pub(super) fn grid(text: &str) -> Result<f64, Complaint> {
    GRID.read(text).map_err(|complaint| {
        let positive = Expected {
            least: 0.0,
            most: 500.0,
            ..GRID
        };
        match positive.read(text) {
            Ok(_) => Complaint::new(
                format!(
                    "“{}” is positive, and a grid idles below its cathode: with a minus sign it is understood",
                    excerpt(text.trim())
                ),
                GRID.example,
            ),
            Err(_) => complaint,
        }
    })
}

fn tubes(text: &str, topology: Topology) -> Result<u32, Complaint> {
    let count = expected(Unit::One, 1.0, 16.0, "2", "a number of tubes").read(text)?;
    let whole = count.round();
    if (count - whole).abs() > 1e-9 {
        return Err(Complaint::new("tubes come in whole numbers", "2"));
    }
    let whole = whole as u32;
    if topology == Topology::PushPull && whole % 2 == 1 {
        return Err(Complaint::new(
            "push-pull takes as many tubes on one side as on the other",
            "2, or 4",
        ));
    }
    Ok(whole)
}
