//! The fields of a set-up, and their keys.

use serde::Serialize;

use super::Setup;
use super::driver::DriverText;
use super::losses::LossText;
use super::stage::{OwnText, PointText, StageText};
use super::unmarked::{LumpText, OhmsText, VoltsText};

/// One field of a [`Setup`]: where a text was typed, or a complaint belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Field {
    /// The amplifier's name.
    Name,
    /// Primary leads in ohms.
    Primary,
    /// Line voltage.
    LineVolts,
    /// Power taps.
    LineTaps,
    /// Secondary taps.
    Taps,
    /// Tube type.
    Tube,
    /// Supply voltage.
    Supply,
    /// Target load.
    Target,
    /// What the iron loses.
    Loss(LossText),
    /// A text about a transformer without marking.
    Lump(LumpText),
    /// A reading of the ohmmeter, by its place from 0.
    Ohms(usize, OhmsText),
    /// A reading of the voltmeter, by its place from 0.
    Volts(usize, VoltsText),
    /// A text of the output stage.
    Stage(StageText),
    /// A limit of the person's own tube.
    Own(OwnText),
    /// A value of an operating point of the person's own tube, by its place from 0.
    Point(usize, PointText),
    /// A text about a speaker as it is, by its place from 0.
    Driver(usize, DriverText),
    /// Name of the hookup at this place, counted from 0.
    HookupName(usize),
    /// Speakers of the hookup at this place.
    HookupSpeakers(usize),
    /// Power ratings of the hookup at this place.
    HookupRating(usize),
}

impl Field {
    /// The fields that every set-up has once, each with its key.
    pub const FIXED: [(&'static str, Self); 8] = [
        ("name", Self::Name),
        ("primary", Self::Primary),
        ("line_volts", Self::LineVolts),
        ("line_taps", Self::LineTaps),
        ("taps", Self::Taps),
        ("tube", Self::Tube),
        ("supply", Self::Supply),
        ("target", Self::Target),
    ];

    /// The field that a key names.
    ///
    /// ```
    /// use tapwright_core::setup::Field;
    /// assert_eq!(Field::from_key("hookup.2.name"), Some(Field::HookupName(1)));
    /// assert_eq!(Field::from_key("colour"), None);
    /// ```
    pub fn from_key(key: &str) -> Option<Self> {
        if let Some((_, field)) = Self::FIXED.iter().find(|(name, _)| *name == key) {
            return Some(*field);
        }
        if let Some(text) = StageText::from_key(key) {
            return Some(Self::Stage(text));
        }
        if let Some(text) = LossText::from_key(key) {
            return Some(Self::Loss(text));
        }
        if let Some(text) = LumpText::from_key(key) {
            return Some(Self::Lump(text));
        }
        if let Some(text) = OwnText::from_key(key) {
            return Some(Self::Own(text));
        }
        let (list, rest) = key.split_once('.')?;
        let (place, part) = rest.split_once('.')?;
        let at = place.parse::<usize>().ok()?.checked_sub(1)?;
        match (list, part) {
            ("ohms", part) => OhmsText::from_key(part).map(|part| Self::Ohms(at, part)),
            ("volts", part) => VoltsText::from_key(part).map(|part| Self::Volts(at, part)),
            ("point", part) => PointText::from_key(part).map(|part| Self::Point(at, part)),
            ("speaker", part) => DriverText::from_key(part).map(|part| Self::Driver(at, part)),
            ("hookup", "name") => Some(Self::HookupName(at)),
            ("hookup", "speakers") => Some(Self::HookupSpeakers(at)),
            ("hookup", "rating") => Some(Self::HookupRating(at)),
            _ => None,
        }
    }
}

/// A field's key, as the page, the report and scripts name it: `primary`, `hookup.1.speakers`.
impl std::fmt::Display for Field {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Loss(text) => f.write_str(text.key()),
            Self::Lump(text) => f.write_str(text.key()),
            Self::Ohms(at, part) => write!(f, "ohms.{}.{}", at + 1, part.key()),
            Self::Volts(at, part) => write!(f, "volts.{}.{}", at + 1, part.key()),
            Self::Stage(text) => f.write_str(text.key()),
            Self::Own(text) => f.write_str(text.key()),
            Self::Point(at, part) => write!(f, "point.{}.{}", at + 1, part.key()),
            Self::Driver(at, part) => write!(f, "speaker.{}.{}", at + 1, part.key()),
            Self::HookupName(at) => write!(f, "hookup.{}.name", at + 1),
            Self::HookupSpeakers(at) => write!(f, "hookup.{}.speakers", at + 1),
            Self::HookupRating(at) => write!(f, "hookup.{}.rating", at + 1),
            fixed => {
                let key = Self::FIXED
                    .iter()
                    .find(|(_, field)| field == fixed)
                    .map(|(key, _)| *key);
                f.write_str(key.unwrap_or_default())
            }
        }
    }
}

impl Serialize for Field {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl Setup {
    /// The text of a field; `None` for a hookup or a point that is not there.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, Setup};
    /// assert_eq!(Setup::default().text(Field::LineVolts), Some("100"));
    /// ```
    pub fn text(&self, field: Field) -> Option<&str> {
        let hookup = |at: usize| self.hookups.get(at);
        Some(match field {
            Field::Name => &self.name,
            Field::Primary => &self.primary,
            Field::LineVolts => &self.line_volts,
            Field::LineTaps => &self.line_taps,
            Field::Taps => &self.taps,
            Field::Tube => &self.tube,
            Field::Supply => &self.supply,
            Field::Target => &self.target,
            Field::Loss(text) => self.losses.text(text),
            Field::Lump(text) => self.unmarked.lump.text(text),
            Field::Ohms(at, part) => self.unmarked.ohms.get(at)?.text(part),
            Field::Volts(at, part) => self.unmarked.volts.get(at)?.text(part),
            Field::Stage(text) => self.stage.text(text),
            Field::Own(text) => self.own.limits.text(text),
            Field::Point(at, part) => self.own.points.get(at)?.text(part),
            Field::Driver(at, part) => self.drivers.get(at)?.text(part),
            Field::HookupName(at) => &hookup(at)?.name,
            Field::HookupSpeakers(at) => &hookup(at)?.speakers,
            Field::HookupRating(at) => &hookup(at)?.rating,
        })
    }

    /// The text of a field, to be changed; `None` for a hookup or a point that is not there.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, Setup};
    /// let mut setup = Setup::default();
    /// *setup.text_mut(Field::Taps).unwrap() = "8".into();
    /// assert_eq!(setup.taps, "8");
    /// ```
    pub fn text_mut(&mut self, field: Field) -> Option<&mut String> {
        Some(match field {
            Field::Name => &mut self.name,
            Field::Primary => &mut self.primary,
            Field::LineVolts => &mut self.line_volts,
            Field::LineTaps => &mut self.line_taps,
            Field::Taps => &mut self.taps,
            Field::Tube => &mut self.tube,
            Field::Supply => &mut self.supply,
            Field::Target => &mut self.target,
            Field::Loss(text) => self.losses.text_mut(text),
            Field::Lump(text) => self.unmarked.lump.text_mut(text),
            Field::Ohms(at, part) => self.unmarked.ohms.get_mut(at)?.text_mut(part),
            Field::Volts(at, part) => self.unmarked.volts.get_mut(at)?.text_mut(part),
            Field::Stage(text) => self.stage.text_mut(text),
            Field::Own(text) => self.own.limits.text_mut(text),
            Field::Point(at, part) => self.own.points.get_mut(at)?.text_mut(part),
            Field::Driver(at, part) => self.drivers.get_mut(at)?.text_mut(part),
            Field::HookupName(at) => &mut self.hookups.get_mut(at)?.name,
            Field::HookupSpeakers(at) => &mut self.hookups.get_mut(at)?.speakers,
            Field::HookupRating(at) => &mut self.hookups.get_mut(at)?.rating,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn field_keys_read_back() {
        let stage = StageText::ALL.iter().copied().map(Field::Stage);
        let losses = LossText::ALL.iter().copied().map(Field::Loss);
        let own = OwnText::ALL.iter().copied().map(Field::Own);
        let points = PointText::ALL.iter().map(|part| Field::Point(2, *part));
        let fixed = Field::FIXED.map(|(_, field)| field).into_iter();
        let drivers = DriverText::ALL.iter().map(|part| Field::Driver(1, *part));
        let lump = LumpText::ALL.iter().copied().map(Field::Lump);
        let ohms = OhmsText::ALL.iter().map(|part| Field::Ohms(1, *part));
        let volts = VoltsText::ALL.iter().map(|part| Field::Volts(4, *part));
        let measured = lump.chain(ohms).chain(volts);
        let fields = fixed
            .chain(losses)
            .chain(drivers)
            .chain(stage)
            .chain(own)
            .chain(points)
            .chain(measured)
            .chain([
                Field::HookupName(0),
                Field::HookupSpeakers(3),
                Field::HookupRating(11),
            ]);
        for field in fields {
            assert_eq!(Field::from_key(&field.to_string()), Some(field));
        }
        for key in [
            "",
            "hookup",
            "hookup.0.name",
            "hookup.x.name",
            "hookup.1.colour",
            "point.1",
            "point.0.mu",
        ] {
            assert_eq!(Field::from_key(key), None, "{key}");
        }
    }
}
