//! What the person typed, field by field, and nothing derived from it.
//!
//! Every text is kept as typed, readable or not: what it means is found out in
//! [`crate::reading`], so nothing typed is ever lost.

use serde::{Deserialize, Serialize};

use crate::transformer::{Secondary, TapPair};

/// How the output stage drives the primary; decides what a primary rating spans.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Topology {
    /// Ratings and loads are plate to plate.
    #[default]
    PushPull,
    /// Ratings and loads are plate to B+, and direct current magnetises the core.
    SingleEnded,
}

impl Topology {
    /// Both kinds.
    pub const ALL: [Self; 2] = [Self::PushPull, Self::SingleEnded];

    /// The word for it, in a link and in a form.
    ///
    /// ```
    /// assert_eq!(tapwright_core::setup::Topology::PushPull.word(), "push-pull");
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::PushPull => "push-pull",
            Self::SingleEnded => "single-ended",
        }
    }

    /// The kind that a word names.
    ///
    /// ```
    /// use tapwright_core::setup::Topology;
    /// assert_eq!(Topology::read("single-ended"), Some(Topology::SingleEnded));
    /// assert_eq!(Topology::read("sideways"), None);
    /// ```
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|topology| topology.word() == word)
    }
}

/// How the primary is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Marking {
    /// Rated impedances in ohms.
    #[default]
    Impedance,
    /// A line voltage and power taps in watts.
    Line,
}

impl Marking {
    /// Both ways.
    pub const ALL: [Self; 2] = [Self::Impedance, Self::Line];

    /// The word for it, in a link and in a form.
    ///
    /// ```
    /// assert_eq!(tapwright_core::setup::Marking::Line.word(), "line");
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Impedance => "impedance",
            Self::Line => "line",
        }
    }

    /// The way that a word names.
    ///
    /// ```
    /// use tapwright_core::setup::Marking;
    /// assert_eq!(Marking::read("line"), Some(Marking::Line));
    /// ```
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|marking| marking.word() == word)
    }
}

/// One speaker hookup as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct HookupEntry {
    /// What the person calls it.
    pub name: String,
    /// The speakers: `8`, `8//8`, `8+8`.
    pub speakers: String,
    /// Power rating of the drivers, one for all or one each.
    pub rating: String,
}

/// A connection, by places in the lists as typed, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Choice {
    /// Place of the primary lead.
    pub lead: usize,
    /// The tap or tap pair.
    pub secondary: Secondary,
    /// Place of the hookup.
    pub hookup: usize,
}

impl Choice {
    /// Reads a choice written with places counted from 1: `1,2,1`, a pair as `1,1-3,2`.
    ///
    /// ```
    /// use tapwright_core::setup::Choice;
    /// let choice = Choice::read("1,1-3,2").unwrap();
    /// assert_eq!(choice.to_string(), "1,1-3,2");
    /// assert_eq!(Choice::read("0,1,1"), None);
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let mut parts = text.split(',');
        let lead = place(parts.next()?)?;
        let secondary = match parts.next()?.split_once('-') {
            Some((a, b)) => Secondary::Pair(TapPair::new(place(a)?, place(b)?)?),
            None => Secondary::Tap(place(text.split(',').nth(1)?)?),
        };
        let hookup = place(parts.next()?)?;
        parts.next().is_none().then_some(Self {
            lead,
            secondary,
            hookup,
        })
    }
}

impl std::fmt::Display for Choice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{},", self.lead + 1)?;
        match self.secondary {
            Secondary::Tap(tap) => write!(f, "{}", tap + 1)?,
            Secondary::Pair(pair) => write!(f, "{}-{}", pair.taps().0 + 1, pair.taps().1 + 1)?,
        }
        write!(f, ",{}", self.hookup + 1)
    }
}

/// What the person pointed at: the rest of the page follows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Selection {
    /// A hookup, by its place: its recommended connection, whichever that is.
    Hookup(usize),
    /// One connection, recommended or not.
    Connection(Choice),
}

impl Selection {
    /// Reads a selection, places counted from 1: a hookup as `2`, a connection as `1,2,1`.
    ///
    /// ```
    /// use tapwright_core::setup::Selection;
    /// assert_eq!(Selection::read("2"), Some(Selection::Hookup(1)));
    /// assert_eq!(Selection::read("1,1-3,2").unwrap().to_string(), "1,1-3,2");
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        if text.contains(',') {
            Choice::read(text).map(Self::Connection)
        } else {
            place(text).map(Self::Hookup)
        }
    }

    /// Place of the hookup that is selected, alone or with a connection.
    ///
    /// ```
    /// use tapwright_core::setup::Selection;
    /// assert_eq!(Selection::read("1,1,3").unwrap().hookup(), 2);
    /// ```
    pub fn hookup(self) -> usize {
        match self {
            Self::Hookup(at) => at,
            Self::Connection(choice) => choice.hookup,
        }
    }

    /// The same selection with its hookup at another place.
    fn at_hookup(self, hookup: usize) -> Self {
        match self {
            Self::Hookup(_) => Self::Hookup(hookup),
            Self::Connection(choice) => Self::Connection(Choice { hookup, ..choice }),
        }
    }
}

impl std::fmt::Display for Selection {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Hookup(at) => write!(f, "{}", at + 1),
            Self::Connection(choice) => choice.fmt(f),
        }
    }
}

/// A place counted from 1, as one counted from 0.
fn place(text: &str) -> Option<usize> {
    text.parse::<u8>()
        .ok()
        .and_then(|n| usize::from(n).checked_sub(1))
}

/// What the connections are sorted by, in the ranked list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SortBy {
    /// The recommended order.
    #[default]
    Rank,
    /// Reflected load, lowest first.
    Load,
    /// Ratio to the target, lowest first.
    Ratio,
    /// Mismatch loss, least first.
    Loss,
    /// Order of the hookups as typed.
    Hookup,
}

impl SortBy {
    /// Every order, in the order of the columns.
    pub const ALL: [Self; 5] = [
        Self::Rank,
        Self::Hookup,
        Self::Load,
        Self::Ratio,
        Self::Loss,
    ];

    /// The word for it in a link.
    ///
    /// ```
    /// assert_eq!(tapwright_core::setup::SortBy::Load.word(), "load");
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Rank => "rank",
            Self::Load => "load",
            Self::Ratio => "ratio",
            Self::Loss => "loss",
            Self::Hookup => "hookup",
        }
    }
}

/// How the connections are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Shown {
    /// One ranked list instead of a grid for each hookup.
    pub list: bool,
    /// The order of the list.
    pub sort: SortBy,
    /// Only the hookup at this place.
    pub only: Option<usize>,
}

/// Everything typed. The whole of it travels in a link.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Setup {
    /// What the person calls the amplifier.
    pub name: String,
    /// Single-ended or push-pull.
    pub topology: Topology,
    /// Which of the two ways of marking the primary is in use. The texts of the
    /// other are kept.
    pub marking: Marking,
    /// Primary leads with rated impedances.
    pub primary: String,
    /// Line voltage of a line transformer.
    pub line_volts: String,
    /// Power taps of a line transformer.
    pub line_taps: String,
    /// Secondary taps with rated impedances.
    pub taps: String,
    /// Tube type, for the published load.
    pub tube: String,
    /// Supply voltage, to find the published load nearest to it.
    pub supply: String,
    /// The load that the tube wants, when typed: it overrides the published one.
    pub target: String,
    /// Speaker hookups; at least one, which may be empty.
    pub hookups: Vec<HookupEntry>,
    /// The hookup or the connection that the person selected.
    pub selected: Option<Selection>,
    /// How the connections are shown.
    pub shown: Shown,
    /// Pieces of a link that no field takes, kept as they stood there.
    pub unknown: Vec<String>,
}

impl Default for Setup {
    fn default() -> Self {
        Self {
            name: String::new(),
            topology: Topology::default(),
            marking: Marking::default(),
            primary: String::new(),
            line_volts: "100".into(),
            line_taps: String::new(),
            taps: String::new(),
            tube: String::new(),
            supply: String::new(),
            target: String::new(),
            hookups: vec![HookupEntry::default()],
            selected: None,
            shown: Shown::default(),
            unknown: Vec::new(),
        }
    }
}

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
    /// Name of the hookup at this place, counted from 0.
    HookupName(usize),
    /// Speakers of the hookup at this place.
    HookupSpeakers(usize),
    /// Power ratings of the hookup at this place.
    HookupRating(usize),
}

impl Field {
    const FIXED: [(Self, &'static str); 8] = [
        (Self::Name, "name"),
        (Self::Primary, "primary"),
        (Self::LineVolts, "line_volts"),
        (Self::LineTaps, "line_taps"),
        (Self::Taps, "taps"),
        (Self::Tube, "tube"),
        (Self::Supply, "supply"),
        (Self::Target, "target"),
    ];

    /// The field that a key names.
    ///
    /// ```
    /// use tapwright_core::setup::Field;
    /// assert_eq!(Field::from_key("hookup.2.name"), Some(Field::HookupName(1)));
    /// assert_eq!(Field::from_key("colour"), None);
    /// ```
    pub fn from_key(key: &str) -> Option<Self> {
        if let Some((field, _)) = Self::FIXED.iter().find(|(_, name)| *name == key) {
            return Some(*field);
        }
        let (place, part) = key.strip_prefix("hookup.")?.split_once('.')?;
        let at = place.parse::<usize>().ok()?.checked_sub(1)?;
        match part {
            "name" => Some(Self::HookupName(at)),
            "speakers" => Some(Self::HookupSpeakers(at)),
            "rating" => Some(Self::HookupRating(at)),
            _ => None,
        }
    }
}

/// A field's key, as the page, the report and scripts name it: `primary`, `hookup.1.speakers`.
impl std::fmt::Display for Field {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::HookupName(at) => write!(f, "hookup.{}.name", at + 1),
            Self::HookupSpeakers(at) => write!(f, "hookup.{}.speakers", at + 1),
            Self::HookupRating(at) => write!(f, "hookup.{}.rating", at + 1),
            fixed => {
                let key = Self::FIXED
                    .iter()
                    .find(|(field, _)| field == fixed)
                    .map(|(_, key)| *key);
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
    /// The text of a field; `None` for a hookup that is not there.
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
            Field::HookupName(at) => &hookup(at)?.name,
            Field::HookupSpeakers(at) => &hookup(at)?.speakers,
            Field::HookupRating(at) => &hookup(at)?.rating,
        })
    }

    /// The text of a field, to be changed; `None` for a hookup that is not there.
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
            Field::HookupName(at) => &mut self.hookups.get_mut(at)?.name,
            Field::HookupSpeakers(at) => &mut self.hookups.get_mut(at)?.speakers,
            Field::HookupRating(at) => &mut self.hookups.get_mut(at)?.rating,
        })
    }

    /// Takes a hookup out, keeping the choice on the connection it was on. The last
    /// hookup is emptied instead.
    ///
    /// ```
    /// use tapwright_core::setup::Setup;
    /// let mut setup = Setup::default();
    /// setup.remove_hookup(0);
    /// assert_eq!(setup.hookups.len(), 1);
    /// ```
    pub fn remove_hookup(&mut self, at: usize) {
        if at >= self.hookups.len() {
            return;
        }
        self.hookups.remove(at);
        if self.hookups.is_empty() {
            self.hookups.push(HookupEntry::default());
        }
        let moved = |place: usize| match place.cmp(&at) {
            std::cmp::Ordering::Less => Some(place),
            std::cmp::Ordering::Equal => None,
            std::cmp::Ordering::Greater => Some(place - 1),
        };
        self.selected = self
            .selected
            .and_then(|selection| moved(selection.hookup()).map(|at| selection.at_hookup(at)));
        self.shown.only = self.shown.only.and_then(moved);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn field_keys_read_back() {
        let fields = Field::FIXED.map(|(field, _)| field).into_iter().chain([
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
        ] {
            assert_eq!(Field::from_key(key), None, "{key}");
        }
    }

    #[test]
    fn removing_a_hookup_moves_the_choice_along() {
        let mut setup = Setup {
            selected: Selection::read("1,1,3"),
            ..Setup::default()
        };
        setup.hookups.resize(3, HookupEntry::default());
        setup.remove_hookup(0);
        assert_eq!(setup.selected, Selection::read("1,1,2"));
        setup.remove_hookup(1);
        assert_eq!(setup.selected, None);
    }

    #[test]
    fn damaged_choices_are_no_choices() {
        for text in [
            "", "1,1", "1,1,1,1", "1,2-2,1", "1,a,1", "1,999,1", "-1,1,1", "1,1-,1",
        ] {
            assert_eq!(Selection::read(text), None, "{text}");
        }
    }
}
