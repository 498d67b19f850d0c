//! What the person typed, field by field, and nothing derived from it.
//!
//! Every text is kept as typed, readable or not: what it means is found out in
//! [`crate::values`], so nothing typed is ever lost.

use serde::{Deserialize, Serialize};
use tapwright_tube::Kind;

mod choice;
mod field;
// First: its macro declares the others' texts.
#[macro_use]
mod stage;
mod driver;
mod losses;
mod unmarked;

pub use choice::Selection;
pub use driver::{DriverEntry, DriverText, Loads};
pub use field::Field;
pub use losses::{LossEntry, LossText};
pub use stage::{
    OWN_TUBE, OwnKind, OwnLimits, OwnText, OwnTube, PointEntry, PointText, Screens, StageEntry,
    StageText,
};
pub use tapwright_iron::iron::Core;
pub use tapwright_tube::Topology;
pub use unmarked::{LumpEntry, LumpText, OhmsEntry, OhmsText, Unmarked, VoltsEntry, VoltsText};

/// How the primary is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Marking {
    /// Rated impedances in ohms.
    #[default]
    Impedance,
    /// A line voltage and power taps in watts.
    Line,
    /// Not at all: it is measured.
    Measured,
}

impl Marking {
    /// Every way.
    pub const ALL: [Self; 3] = [Self::Impedance, Self::Line, Self::Measured];

    /// The word for it, in a link and in a form.
    ///
    /// ```
    /// assert_eq!(tapwright_core::setup::Marking::Line.word(), "line");
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Impedance => "impedance",
            Self::Line => "line",
            Self::Measured => "measured",
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
    /// Power in the speakers, most first.
    Watts,
    /// Distortion, least first.
    Distortion,
    /// Mismatch loss, least first.
    Loss,
    /// Order of the hookups as typed.
    Hookup,
}

impl SortBy {
    /// Every order, in the order of the columns.
    pub const ALL: [Self; 7] = [
        Self::Rank,
        Self::Hookup,
        Self::Load,
        Self::Ratio,
        Self::Loss,
        Self::Watts,
        Self::Distortion,
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
            Self::Watts => "watts",
            Self::Distortion => "distortion",
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
    /// Which way of marking the primary is in use. The texts of the others are kept.
    pub marking: Marking,
    /// Primary leads with rated impedances.
    pub primary: String,
    /// Line voltage of a line transformer.
    pub line_volts: String,
    /// Power taps of a line transformer.
    pub line_taps: String,
    /// Secondary taps with rated impedances.
    pub taps: String,
    /// Whether the core has a gap.
    pub core: Core,
    /// What else is known of the iron.
    pub losses: LossEntry,
    /// The readings, when nothing is stamped on it.
    pub unmarked: Unmarked,
    /// Tube type, for the published load.
    pub tube: String,
    /// Supply voltage, to find the published load nearest to it.
    pub supply: String,
    /// The load that the tube wants, when typed: it overrides the published one.
    pub target: String,
    /// How the screens are connected.
    pub screens: Screens,
    /// The rest of the output stage.
    pub stage: StageEntry,
    /// The tube typed from a datasheet, in use while [`Self::tube`] is [`OWN_TUBE`].
    pub own: OwnTube,
    /// Speaker hookups; at least one, which may be empty.
    pub hookups: Vec<HookupEntry>,
    /// Speakers as they are, which hookups name.
    pub drivers: Vec<DriverEntry>,
    /// Which impedance of the speakers the loads are made from.
    pub loads: Loads,
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
            core: Core::default(),
            losses: LossEntry::default(),
            unmarked: Unmarked::default(),
            tube: String::new(),
            supply: String::new(),
            target: String::new(),
            screens: Screens::default(),
            stage: StageEntry::default(),
            own: OwnTube::default(),
            hookups: vec![HookupEntry::default()],
            drivers: Vec::new(),
            loads: Loads::default(),
            selected: None,
            shown: Shown::default(),
            unknown: Vec::new(),
        }
    }
}

impl Setup {
    /// Whether the chosen tube has a screen, as far as the choice tells.
    ///
    /// ```
    /// use tapwright_core::link;
    /// assert!(link::parse("tube=6AQ5").setup.has_screen());
    /// assert!(!link::parse("tube=2A3").setup.has_screen());
    /// ```
    pub fn has_screen(&self) -> bool {
        match tapwright_tube::find(&self.tube) {
            Some(tube) => tube.kind != Kind::Triode,
            None => self.tube.trim() != OWN_TUBE || self.own.kind != OwnKind::Triode,
        }
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
}
