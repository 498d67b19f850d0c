//! The table of fields, in the order of a link.

use std::sync::LazyLock;

use serde::Serialize;
use strum::{EnumString, IntoStaticStr, VariantArray};
use tapwright_units::Unit;

use super::Setup;
use super::amplifier::{DriveText, FeedbackText, OwnDriverText};
use super::driver::{DriverText, HookupText};
use super::heaters::HeaterText;
use super::iron::IronText;
use super::list::{Rows, Written};
use super::measured::{MeasuredText, OhmsText, VoltsText};
use super::own::{OwnText, PointText};
use super::readings::{ReadingText, WantedText};
use super::row::{Asked, Fold, Reads, Row};
use super::stage::StageText;
use super::supply::{SectionText, SupplyText};
use super::typed::{Listed, Typed};

/// Every place, in the order of a link.
static PLACES: LazyLock<Vec<Place>> = LazyLock::new(Place::in_order);

/// What stands at one place of a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// A field that every set-up has once.
    Field(Field),
    /// The rows of a list.
    List(List),
}

fields! {
    {
        /// What you call the amplifier.
        Name: name {
            key: "name",
            example: "Porch amp",
        }
        /// `push-pull` (default) or `single-ended`.
        Topology: topology {
            key: "topology",
            link_key: "stage",
            reads: Reads::Words(
                &[("push-pull", "push-pull"), ("single-ended", "single-ended")],
                "is neither single-ended nor push-pull",
            ),
            example: "single-ended",
            label: "Output stage",
        }
        /// How the primary is stamped: `impedance` (default), `line`, or `measured` for not at all.
        Marking: marking {
            key: "marking",
            reads: Reads::Words(
                &[
                    ("impedance", "ohms"),
                    ("line", "line voltage and watts"),
                    ("measured", "nothing: I measure it"),
                ],
                "is neither impedance, line nor measured",
            ),
            example: "line",
            label: "Stamped on the primary",
        }
        /// Primary leads in ohms, plate to plate or plate to B+.
        Primary: primary {
            key: "primary",
            example: "brown 8k, blue 10k",
            label: "Primary leads",
            empty: "Every lead with its rated impedance, and its name or colour if it has one.",
            asked: Asked::OhmsStamped,
        }
        /// Line voltage of a line transformer: by default 100.
        LineVolts: line_volts {
            key: "line_volts",
            link_key: "line",
            example: "70",
            label: "Line voltage",
            placeholder: "100",
            // Common practice, no source.
            empty: "Usually stamped: 100, 70 or 50 V.",
            asked: Asked::LineStamped,
        }
        /// Power taps of a line transformer in watts.
        LineTaps: line_taps {
            key: "line_taps",
            link_key: "power",
            example: "1, 2.5, 5, 10 W",
            label: "Power taps",
            empty: "The watts stamped on each primary lead.",
            asked: Asked::LineStamped,
        }
        /// Secondary taps in ohms.
        Taps: taps {
            key: "taps",
            example: "white 3, green 8, yellow 15",
            label: "Secondary taps",
            empty: "Every tap with its rated impedance against the common lead.",
            asked: Asked::Stamped,
        }
        /// Tube type, or `own` for one typed from its datasheet.
        Tube: tube {
            key: "tube",
            example: "6AQ5",
            label: "Tube",
        }
        /// B+ at the primary, at idle, in volts.
        Supply: supply {
            key: "supply",
            noun: "a supply voltage",
            reads: Reads::Number(Unit::Volt, 10.0, 2_000.0),
            example: "250",
            label: "Supply, B+",
        }
        /// The load that the tube wants, in ohms; it overrides the published one.
        Target: target {
            key: "target",
            noun: "the load that a tube wants",
            reads: Reads::Number(Unit::Ohm, 50.0, 1e6),
            example: "8k",
            label: "Target load, if you know better",
        }
        /// Whether the core has a gap: `unknown` (default), `gapped` or `ungapped`.
        Core: core {
            key: "core",
            reads: Reads::Words(
                &[
                    ("unknown", "not known"),
                    ("gapped", "with a gap"),
                    ("ungapped", "without a gap"),
                ],
                "is neither gapped nor ungapped",
            ),
            example: "gapped",
            label: "Core",
            place: (Fold::Losses, 6),
        }
        group
            /// What is known of the iron besides its ratings.
            Iron(IronText): iron;
        group
            /// What is typed once about a transformer without marking.
            Measured(MeasuredText): measured.once;
        list
            /// A reading of the ohmmeter.
            Ohms(OhmsText): measured.ohms { key: "ohms", most: 60, written: Written::Values, }
        list
            /// A reading of the voltmeter on AC.
            Volts(VoltsText): measured.volts { key: "volts", most: 60, written: Written::Values, }
    }
    {
        /// Where the screens are: `steady` (default), `taps` on the primary, or `plates` (triode
        /// connection).
        Screens: screens {
            key: "screens",
            reads: Reads::Words(
                &[
                    ("steady", "steady supply"),
                    ("taps", "primary taps"),
                    ("plates", "tied to the plates"),
                ],
                "is neither steady, taps nor plates",
            ),
            example: "taps",
            label: "Screens",
            asked: Asked::Screen,
            place: (Fold::MoreOfStage, 1),
            column: 2,
        }
        group
            /// The rest of the output stage.
            Stage(StageText): stage;
    }
    {
        /// Kind of your own tube: `beam` (default), `pentode`, `triode`.
        OwnKind: own.kind {
            key: "own",
            reads: Reads::Words(
                &[("beam", "beam tetrode"), ("pentode", "pentode"), ("triode", "triode")],
                "is neither beam, pentode nor triode",
            ),
            example: "triode",
            label: "Your own tube is a",
            asked: Asked::OwnTube,
        }
        group
            /// A limit of the person's own tube.
            Own(OwnText): own.limits;
        list
            /// An operating point of your own tube.
            Point(PointText): own.points { key: "point", most: 12, written: Written::Values, }
        list
            /// A speaker hookup.
            Hookup(HookupText): hookups { key: "hookup", most: 40, written: Written::Hookup, }
        list
            /// A speaker as it is.
            Driver(DriverText): drivers { key: "speaker", most: 12, written: Written::Keys, }
    }
    {
        /// Type of the driver triodes before the output stage, or `own` for one typed from its
        /// datasheet: by default none is known.
        DriverTube: amplifier.driver {
            key: "driver",
            example: "12AX7",
            label: "Driver tube",
        }
        /// What feeds a push-pull pair: `long-tailed` (default) or `split-load`.
        Splitter: amplifier.splitter {
            key: "splitter",
            reads: Reads::Words(
                &[("long-tailed", "long-tailed pair"), ("split-load", "split load")],
                "is neither long-tailed nor split-load",
            ),
            example: "split-load",
            label: "Phase splitter",
            asked: Asked::Split,
            place: (Fold::DriverStage, 1),
        }
        /// Taper of the feedback control: `linear` (default), `logarithmic` or `reverse`.
        Taper: amplifier.taper {
            key: "feedback_taper",
            reads: Reads::Words(
                &[("linear", "linear"), ("logarithmic", "logarithmic"), ("reverse", "reverse logarithmic")],
                "is neither linear, logarithmic nor reverse",
            ),
            example: "logarithmic",
            label: "Taper",
            asked: Asked::FeedbackTaken,
            place: (Fold::Feedback, 3),
        }
        /// Which way round the primary is for the feedback: `right` (default) or `wrong`.
        Polarity: amplifier.polarity {
            key: "feedback_polarity",
            reads: Reads::Words(
                &[("right", "as it should be"), ("wrong", "the wrong way round")],
                "is neither right nor wrong",
            ),
            example: "wrong",
            label: "Polarity",
            asked: Asked::FeedbackTaken,
            place: (Fold::Feedback, 1),
        }
        group
            /// A driver triode that is not in the table.
            OwnDriver(OwnDriverText): amplifier.own_driver;
        group
            /// The stages before the output stage.
            Drive(DriveText): amplifier.drive;
        group
            /// The feedback.
            Feedback(FeedbackText): amplifier.feedback;
        group
            /// What the meter shows at idle.
            Reading(ReadingText): readings;
        group
            /// The idle point that is wanted.
            Wanted(WantedText): wanted;
    }
    {
        /// What of the heater winding goes to ground: `none` (default), its `centre` tap, or one
        /// `end`.
        HeaterTap: heaters.tap {
            key: "heater_tap",
            reads: Reads::Words(
                &[
                    ("none", "nothing"),
                    ("centre", "its centre tap"),
                    ("end", "one end"),
                ],
                "is neither none, centre nor end",
            ),
            example: "centre",
            label: "Goes to ground",
            place: (Fold::Heaters, 2),
        }
        /// Whether that winding heats the rectifier too: `apart` (default) for no, `insulated` from
        /// its cathode, or `joined` to it, so that the winding stands at B+.
        HeatedRectifier: heaters.rectifier {
            key: "heater_rectifier",
            reads: Reads::Words(
                &[
                    ("apart", "no"),
                    ("insulated", "cathode apart"),
                    ("joined", "cathode joined"),
                ],
                "is neither apart, insulated nor joined",
            ),
            example: "insulated",
            label: "Heats the rectifier",
            place: (Fold::Heaters, 2),
        }
        group
            /// The heaters and their winding.
            Heater(HeaterText): heaters.texts;
    }
    {
        /// What stands between mains and amplifier: a `transformer` (default), or `none`: then the
        /// chassis is live.
        Isolation: power_supply.isolation {
            key: "isolation",
            reads: Reads::Words(
                &[("transformer", "a mains transformer"), ("none", "nothing: live chassis")],
                "is neither transformer nor none",
            ),
            example: "none",
            label: "Between mains and amplifier",
            place: (Fold::Mains, 2),
        }
        /// How the rectifiers stand: `full-wave` (default) with a centre tap, `bridge`,
        /// `half-wave` or `doubler`.
        RectifierCircuit: power_supply.circuit {
            key: "rectifier_circuit",
            reads: Reads::Words(
                &[
                    ("full-wave", "full wave, centre tap"),
                    ("bridge", "bridge"),
                    ("half-wave", "half wave"),
                    ("doubler", "doubler"),
                ],
                "is neither full-wave, bridge, half-wave nor doubler",
            ),
            example: "bridge",
            label: "Rectifier circuit",
            place: (Fold::Rectifier, 1),
        }
        /// How the current stamped on the secondary is meant: `direct` (default) behind the
        /// rectifier, or `rms` in the winding.
        WindingCurrent: power_supply.current {
            key: "winding_current",
            reads: Reads::Words(
                &[("direct", "direct, behind the rectifier"), ("rms", "rms, in the winding")],
                "is neither direct nor rms",
            ),
            example: "rms",
            label: "That current is",
            asked: Asked::MainsTransformer,
            place: (Fold::Mains, 5),
        }
        group
            /// The power supply.
            PowerSupply(SupplyText): power_supply.texts;
        list
            /// A resistor or choke behind the first capacitor, and the capacitor behind it.
            Section(SectionText): power_supply.filter { key: "filter", most: 6, written: Written::Values, }
    }
    {
        /// Loads from `rated` ohms (default), or from the size of the impedance on the `curve` at
        /// `frequency`; where that falls to a load to avoid elsewhere, the page warns.
        Loads: loads {
            key: "loads",
            reads: Reads::Words(
                &[("rated", "rated ohms"), ("curve", "the impedance at a frequency")],
                "is neither rated nor curve",
            ),
            example: "curve",
            label: "Loads are made from",
        }
    }
}

impl Place {
    /// Every place, in the order of a link.
    pub fn all() -> &'static [Self] {
        &PLACES
    }
}

impl Field {
    /// The field that a key names.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, HookupText};
    /// assert_eq!(Field::from_key("hookup.2.name"), Some(Field::Hookup(1, HookupText::Name)));
    /// assert_eq!(Field::from_key("colour"), None);
    /// ```
    pub fn from_key(key: &str) -> Option<Self> {
        let Some((list, rest)) = key.split_once('.') else {
            return Self::single(|row| row.key == key);
        };
        let (number, key) = rest.split_once('.')?;
        let at = number.parse::<usize>().ok()?.checked_sub(1)?;
        let list = (List::VARIANTS.iter()).find(|one| one.about().key == list)?;
        let mut fields = list.fields(at).into_iter();
        fields.find(|field| field.row().key == key)
    }

    /// The field that a key of a link names, of those that every set-up has once.
    pub fn from_link_key(key: &str) -> Option<Self> {
        Self::single(|row| row.link_key() == key)
    }

    /// What it is called on the page, with the number of its row where it has one.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, HookupText};
    /// assert_eq!(Field::Hookup(1, HookupText::Name).label(), "Name of hookup 2");
    /// ```
    pub fn label(self) -> String {
        self.numbered(self.row().label)
    }

    /// A text with the number of this field's row in place of `{n}`.
    pub fn numbered(self, text: &str) -> String {
        match self.in_list() {
            Some((_, at)) => text.replace("{n}", &(at + 1).to_string()),
            None => text.to_owned(),
        }
    }

    fn single(is_it: impl Fn(&Row) -> bool) -> Option<Self> {
        Place::all().iter().find_map(|place| match place {
            Place::Field(field) if is_it(field.row()) => Some(*field),
            _ => None,
        })
    }
}

/// A field's key, as the page, the report and scripts name it: `primary`, `hookup.1.speakers`.
impl std::fmt::Display for Field {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some((list, at)) = self.in_list() {
            write!(f, "{}.{}.", list.about().key, at + 1)?;
        }
        f.write_str(self.row().key)
    }
}

impl Serialize for Field {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl Setup {
    /// Every field that is there, in the order of a link.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, HookupText, Setup};
    /// let fields = Setup::default().fields();
    /// assert_eq!(fields[0], Field::Name);
    /// assert!(fields.contains(&Field::Hookup(0, HookupText::Speakers)));
    /// assert!(!fields.contains(&Field::Hookup(1, HookupText::Speakers)));
    /// ```
    pub fn fields(&self) -> Vec<Field> {
        let fields_at = |place: &Place| match *place {
            Place::Field(field) => vec![field],
            Place::List(list) => (0..self.rows(list))
                .flat_map(|at| list.fields(at))
                .collect(),
        };
        Place::all().iter().flat_map(fields_at).collect()
    }

    /// What a field holds, as typed; `None` for a row that is not there.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, Setup};
    /// assert_eq!(Setup::default().text(Field::LineVolts), Some("100"));
    /// assert_eq!(Setup::default().text(Field::Topology), Some("push-pull"));
    /// ```
    pub fn text(&self, field: Field) -> Option<&str> {
        self.typed(field).map(Typed::text)
    }

    /// Whether a field holds something of its own: neither nothing, nor what it holds at first.
    ///
    /// ```
    /// use tapwright_core::{link, setup::Field};
    /// let setup = link::parse("taps=8").setup;
    /// assert!(setup.is_typed(Field::Taps));
    /// assert!(!setup.is_typed(Field::Primary) && !setup.is_typed(Field::LineVolts));
    /// ```
    pub fn is_typed(&self, field: Field) -> bool {
        let text = self.text(field).unwrap_or_default().trim();
        !text.is_empty() && Self::default().text(field) != Some(text)
    }

    /// Types a text in a field. `false` for a row that is not there, or a word that a choice
    /// does not know.
    ///
    /// ```
    /// use tapwright_core::setup::{Field, Setup};
    /// let mut setup = Setup::default();
    /// assert!(setup.set(Field::Taps, "8"));
    /// assert_eq!(setup.taps, "8");
    /// assert!(!setup.set(Field::Topology, "sideways"));
    /// ```
    pub fn set(&mut self, field: Field, typed: &str) -> bool {
        self.typed_mut(field).is_some_and(|place| place.take(typed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn field_keys_read_back() {
        let mut setup = Setup::default();
        for list in List::VARIANTS {
            setup.add_row(*list);
            setup.add_row(*list);
        }
        let fields = setup.fields();
        assert!(fields.len() > 80);
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

    /// A choice knows the words of its row and no others, and its default is the first of them.
    #[test]
    fn choices_know_the_words_of_the_table() {
        let mut choices = 0;
        for field in Setup::default().fields() {
            let Reads::Words(words, wrong) = field.row().reads else {
                continue;
            };
            let mut setup = Setup::default();
            assert_eq!(setup.text(field), Some(words[0].0), "{field}");
            for (word, _) in words {
                assert!(setup.set(field, word), "{field}: {word}");
                assert_eq!(setup.text(field), Some(*word), "{field}");
            }
            assert!(
                !wrong.is_empty() && !setup.set(field, "sideways"),
                "{field}"
            );
            choices += 1;
        }
        assert_eq!(choices, 14);
    }

    /// No key names two fields, and every field that is read has all that is said of it.
    #[test]
    fn rows_are_whole() {
        let mut setup = Setup::default();
        for list in List::VARIANTS {
            setup.add_row(*list);
        }
        let mut keys = Vec::new();
        for field in setup.fields() {
            let row = field.row();
            assert!(!row.what.is_empty() && !row.example.is_empty(), "{field}");
            if let Some(range) = row.range() {
                assert!(!row.noun.is_empty(), "{field}");
                assert!(range.least < range.most, "{field}");
            }
            keys.push(field.to_string());
        }
        let count = keys.len();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len(), count);
    }
}
