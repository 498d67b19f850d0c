//! What the person typed, field by field, and nothing derived from it.
//!
//! Every text is kept as typed, readable or not: what it means is found out in
//! [`crate::values`], so nothing typed is ever lost. All that is said of a field stands in one
//! [`Row`] of a table: [`field`](Field) has the order and the single fields, and the files
//! beside it the groups.

use serde::{Deserialize, Serialize};

// First: its macros read the tables of the others.
#[macro_use]
mod table;
mod amplifier;
mod choice;
mod driver;
mod field;
mod heaters;
mod iron;
mod list;
mod measured;
mod own;
mod readings;
mod row;
mod selection;
mod stage;
mod supply;
mod typed;

pub use amplifier::{
    AmplifierEntry, DriveEntry, DriveText, FeedbackEntry, FeedbackText, OwnDriverEntry,
    OwnDriverText, Polarity, SplitterKind,
};
pub use choice::{Leaf, Loads, Marking, OwnKind, Screens, SortBy};
pub use driver::{DriverEntry, DriverText, HookupEntry, HookupText};
pub use field::{Field, List, Place};
pub use heaters::{HeatedRectifier, HeaterEntry, HeaterTap, HeaterText, HeatersEntry};
pub use iron::{IronEntry, IronText};
pub use list::{Rows, Written};
pub use measured::{
    Measured, MeasuredEntry, MeasuredText, OhmsEntry, OhmsText, VoltsEntry, VoltsText,
};
pub use own::{OWN_TUBE, OwnLimits, OwnText, OwnTube, PointEntry, PointText};
pub use readings::{ReadingText, ReadingsEntry, WantedEntry, WantedText};
pub use row::{Asked, Fold, Reads, Row};
pub use selection::Selection;
pub use stage::{StageEntry, StageText};
pub use supply::{
    Isolation, PowerSupply, SectionEntry, SectionText, StampedCurrent, SupplyEntry, SupplyText,
};
pub use tapwright_amplifier::Taper;
pub use tapwright_iron::iron::Core;
pub use tapwright_supply::Circuit;
pub use tapwright_tube::Topology;

/// Which leaf is in sight, and how the connections are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Shown {
    /// The leaf in sight.
    pub leaf: Leaf,
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
    #[serde(rename = "losses")]
    pub iron: IronEntry,
    /// The readings, when nothing is stamped on it.
    #[serde(rename = "unmarked")]
    pub measured: Measured,
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
    /// The driver and the feedback.
    pub amplifier: AmplifierEntry,
    /// What the meter shows at idle.
    pub readings: ReadingsEntry,
    /// The idle point that is wanted.
    pub wanted: WantedEntry,
    /// The heaters.
    pub heaters: HeatersEntry,
    /// The power supply.
    pub power_supply: PowerSupply,
    /// Speaker hookups; at least one, which may be empty.
    pub hookups: Vec<HookupEntry>,
    /// Speakers as they are, which hookups name.
    pub drivers: Vec<DriverEntry>,
    /// Which impedance of the speakers the loads are made from.
    pub loads: Loads,
    /// The hookup or the connection that the person selected.
    pub selected: Option<Selection>,
    /// Which leaf is in sight, and how the connections are shown.
    pub shown: Shown,
    /// The set-up that is pinned as A, as a link.
    pub pinned: Option<String>,
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
            iron: IronEntry::default(),
            measured: Measured::default(),
            tube: String::new(),
            supply: String::new(),
            target: String::new(),
            screens: Screens::default(),
            stage: StageEntry::default(),
            own: OwnTube::default(),
            amplifier: AmplifierEntry::default(),
            readings: ReadingsEntry::default(),
            wanted: WantedEntry::default(),
            heaters: HeatersEntry::default(),
            power_supply: PowerSupply::default(),
            hookups: vec![HookupEntry::default()],
            drivers: Vec::new(),
            loads: Loads::default(),
            selected: None,
            shown: Shown::default(),
            pinned: None,
            unknown: Vec::new(),
        }
    }
}

impl Setup {
    /// Whether the tube in use is the one typed from a datasheet.
    ///
    /// ```
    /// use tapwright_core::link;
    /// assert!(link::parse("tube=own").setup.has_own_tube());
    /// ```
    pub fn has_own_tube(&self) -> bool {
        self.tube.trim() == OWN_TUBE
    }

    /// Whether the driver triode is typed from a datasheet.
    pub fn has_own_driver(&self) -> bool {
        self.amplifier.driver.trim() == OWN_TUBE
    }

    /// Sees to it that there is a row to type into in each list that is asked for and needs
    /// one.
    ///
    /// ```
    /// use tapwright_core::setup::{List, Marking, Setup};
    /// let mut setup = Setup { marking: Marking::Measured, ..Setup::default() };
    /// setup.offer_rows();
    /// assert_eq!((setup.rows(List::Ohms), setup.rows(List::Volts)), (1, 1));
    /// ```
    pub fn offer_rows(&mut self) {
        let is_measured = self.marking == Marking::Measured;
        for (list, is_needed) in [
            (List::Ohms, is_measured),
            (List::Volts, is_measured),
            (List::Point, self.has_own_tube()),
        ] {
            if is_needed && self.rows(list) == 0 {
                self.add_row(list);
            }
        }
    }
}
