//! What the texts of the output stage mean.

use serde::Serialize;
use tapwright_units::entry::{Complaint, Expected, excerpt};

use super::reader::Reader;
use crate::setup::{Field, StageEntry, StageText, Topology};

/// The numbers of the output stage; fractions of one where percent are typed. `None` is a
/// field that is empty, at fault or not asked for.
pub type StageNumbers = StageEntry<Option<f64>>;

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

    /// The ohms with a capacitor after them, and those without one.
    pub(crate) fn before_and_without(self) -> (f64, f64) {
        match self.capacitor {
            true => (self.ohms, 0.0),
            false => (0.0, self.ohms),
        }
    }
}

pub(super) fn read(reader: &mut Reader) -> (StageNumbers, Option<ScreenResistor>) {
    let topology = reader.setup.topology;
    let mut resistor = None;
    let numbers = StageEntry::from_each(|text| {
        let field = Field::Stage(text);
        match text {
            StageText::Tubes => {
                reader.number_by(field, |typed, range| tubes(typed, range, topology))
            }
            StageText::ScreenOhms => {
                resistor = reader.in_range(field, screen_resistor);
                resistor.map(|resistor| resistor.ohms)
            }
            StageText::Grid => reader.number_by(field, grid),
            StageText::Cathode => {
                let has_grid = reader.typed(Field::Stage(StageText::Grid)).is_some();
                reader.number_by(field, |typed, range| cathode(typed, range, has_grid))
            }
            _ => reader.number(field),
        }
    });
    (numbers, resistor)
}

fn tubes(text: &str, range: &Expected, topology: Topology) -> Result<f64, Complaint> {
    let count = range.read(text)?;
    let whole = count.round();
    if (count - whole).abs() > 1e-9 {
        return Err(Complaint::new("tubes come in whole numbers", "2"));
    }
    if topology == Topology::PushPull && whole % 2.0 != 0.0 {
        return Err(Complaint::new(
            "push-pull takes as many tubes on one side as on the other",
            "2, or 4",
        ));
    }
    Ok(whole)
}

/// A resistance, which words for a missing capacitor may follow.
fn screen_resistor(text: &str, range: &Expected) -> Result<ScreenResistor, Complaint> {
    let typed = text.trim();
    let capacitor = before(typed, "cap").or_else(|| before(typed, "capacitor"));
    let bare = capacitor.and_then(|no| before(no, "no"));
    let ohms = bare.filter(|ohms| !ohms.is_empty()).unwrap_or(typed);
    Ok(ScreenResistor {
        ohms: range.read(ohms)?,
        capacitor: bare.is_none(),
    })
}

/// The text before its last word, if that is this word.
fn before<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let (before, last) = text.split_at_checked(text.len().checked_sub(word.len())?)?;
    let mark = |letter: char| letter.is_whitespace() || ",-".contains(letter);
    let is_it = last.eq_ignore_ascii_case(word);
    is_it.then(|| before.trim_end_matches(mark))
}

/// Grid volts from the cathode: zero or negative, as a grid idles.
pub(super) fn grid(text: &str, range: &Expected) -> Result<f64, Complaint> {
    range.read(text).map_err(|complaint| {
        let positive = Expected {
            least: 0.0,
            most: 500.0,
            ..*range
        };
        match positive.read(text) {
            Ok(_) => Complaint::new(
                format!(
                    "“{}” is positive, and a grid idles below its cathode: with a minus sign it is understood",
                    excerpt(text.trim())
                ),
                range.example,
            ),
            Err(_) => complaint,
        }
    })
}

fn cathode(text: &str, range: &Expected, has_grid: bool) -> Result<f64, Complaint> {
    if has_grid {
        return Err(Complaint::new(
            "a grid voltage is typed too, and one of the two sets the bias",
            "a resistor here and nothing under grid volts",
        ));
    }
    range.read(text)
}
