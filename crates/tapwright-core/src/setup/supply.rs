//! What is typed about the power supply: mains transformer, rectifier, and the line behind it.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};
use tapwright_supply::Circuit;
use tapwright_units::Unit;

use super::row::{Asked, Fold, Reads, Row};

/// What stands between the mains and the amplifier.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Isolation {
    /// A transformer.
    #[default]
    Transformer,
    /// Nothing: the chassis is live.
    None,
}

/// How the current that is stamped on a secondary is meant.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum StampedCurrent {
    /// The direct current behind the rectifier: usual on a winding with a centre tap (common
    /// practice, no source).
    #[default]
    Direct,
    /// The current in the winding itself.
    Rms,
}

/// The power supply.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct PowerSupply {
    /// What isolates it from the mains.
    pub isolation: Isolation,
    /// How the rectifiers stand.
    pub circuit: Circuit,
    /// How the stamped current is meant.
    pub current: StampedCurrent,
    /// The texts.
    #[serde(flatten)]
    pub texts: SupplyEntry,
    /// What follows the first capacitor.
    pub filter: Vec<SectionEntry>,
}

texts! {
    /// The power supply, all but its choices and its line.
    SupplyEntry SupplyText {
        /// The mains as it is, V rms: by default the rating of the tap in use.
        Mains: mains {
            noun: "a mains voltage",
            reads: Reads::Number(Unit::AcVolt, 50.0, 500.0),
            example: "231",
            label: "Mains, as measured",
            placeholder: "230",
            empty: "taken: what the tap in use is rated for",
            place: (Fold::Mains, 1),
        }
        /// The mains' frequency in hertz: by default 50.
        Hertz: mains_hertz {
            noun: "a mains frequency",
            reads: Reads::Number(Unit::Hertz, 40.0, 70.0),
            example: "60",
            label: "Its frequency",
            placeholder: "50",
            empty: "taken: 50 Hz",
            place: (Fold::Mains, 1),
        }
        /// Rated mains of each tap of the primary, V: by default one for the mains.
        Taps: mains_taps {
            noun: "the rating of a mains tap",
            reads: Reads::Numbers(Unit::AcVolt, 50.0, 500.0),
            example: "110, 220, 240",
            label: "Mains taps",
            empty: "taken: one, the usual rating nearest to the mains",
            asked: Asked::MainsTransformer,
            place: (Fold::Mains, 3),
        }
        /// The tap in use, V: by default the one that suits the mains.
        Tap: mains_tap {
            noun: "the rating of a mains tap",
            reads: Reads::Number(Unit::AcVolt, 50.0, 500.0),
            example: "220",
            label: "Tap in use",
            empty: "taken: the one that suits the mains",
            asked: Asked::MainsTransformer,
            place: (Fold::Mains, 3),
        }
        /// The secondary as stamped, V rms under load: `2 x 250` with a centre tap, else `250`.
        Winding: winding_volts {
            noun: "the volts of a winding",
            reads: Reads::Numbers(Unit::AcVolt, 5.0, 2_000.0),
            example: "2 x 250",
            label: "Secondary, stamped",
            asked: Asked::MainsTransformer,
            place: (Fold::Mains, 4),
        }
        /// The current stamped on the secondary, A.
        Amps: winding_amps {
            noun: "the current of a winding",
            reads: Reads::Number(Unit::Ampere, 1e-3, 10.0),
            example: "100 mA",
            label: "Its current",
            empty: "not known: 100 mA for the volts stamped, and nothing is held against the load",
            asked: Asked::MainsTransformer,
            place: (Fold::Mains, 4),
        }
        /// The wire of the secondary in ohms, of half of it where it has a centre tap.
        WindingOhms: winding_ohms {
            noun: "the resistance of a winding",
            reads: Reads::Number(Unit::Ohm, 0.1, 5e3),
            example: "150",
            label: "Wire of a half, or of the whole",
            empty: "taken: what loses a twentieth of the volts",
            asked: Asked::MainsTransformer,
            place: (Fold::Mains, 6),
        }
        /// The wire of the primary at the tap in use, in ohms.
        MainsOhms: mains_ohms {
            noun: "the resistance of a primary",
            reads: Reads::Number(Unit::Ohm, 0.05, 1e3),
            example: "22",
            label: "Wire of the primary",
            empty: "taken: as much copper as in the secondary",
            asked: Asked::MainsTransformer,
            place: (Fold::Mains, 6),
        }
        /// Type of the rectifier tube, or `silicon`.
        Rectifier: rectifier {
            example: "EZ80, or silicon",
            label: "Rectifier",
            placeholder: "EZ80, or silicon",
            empty: "a tube type, or silicon",
            place: (Fold::Rectifier, 1),
        }
        /// Resistor at each plate of the rectifier, in ohms: by default none.
        PlateOhms: rectifier_ohms {
            noun: "a resistor at a rectifier",
            reads: Reads::Number(Unit::Ohm, 0.0, 5e3),
            example: "100",
            label: "Resistor at each plate",
            empty: "none",
            place: (Fold::Rectifier, 2),
        }
        /// The first capacitor; of a doubler each of the two.
        First: reservoir {
            noun: "a capacitor",
            reads: Reads::Number(Unit::Farad, 1e-7, 1e-2),
            example: "47u",
            label: "First capacitor",
            place: (Fold::Rectifier, 3),
        }
        /// The volts that it is rated for.
        FirstVolts: reservoir_volts {
            noun: "the rating of a capacitor",
            reads: Reads::Number(Unit::Volt, 5.0, 2_000.0),
            example: "450",
            label: "Rated, V",
            place: (Fold::Rectifier, 3),
        }
        /// A bleeder across the first capacitor, in ohms: by default none.
        Bleeder: bleeder {
            noun: "a bleeder",
            reads: Reads::Number(Unit::Ohm, 1e3, 1e7),
            example: "220k",
            label: "Bleeder across it",
            empty: "none: it stays charged",
            place: (Fold::Rectifier, 4),
        }
        /// What the stages before the output stage draw, mA: by default 2.
        DriverMa: driver_ma {
            noun: "a current",
            reads: Reads::Number(Unit::Milliampere, 0.0, 500.0),
            example: "2",
            label: "Drivers draw, mA",
            empty: "taken: 2 mA",
            place: (Fold::Rectifier, 4),
        }
        /// The fuse in the mains, A.
        Fuse: mains_fuse {
            noun: "a fuse",
            reads: Reads::Number(Unit::Ampere, 0.01, 20.0),
            example: "500 mA",
            label: "Mains fuse, as fitted",
            place: (Fold::Rectifier, 5),
        }
    }
}

texts! {
    /// A resistor or choke of the line, with the capacitor behind it.
    SectionEntry SectionText {
        /// The resistor, or the wire of the choke, in ohms.
        Ohms: ohms {
            noun: "a resistor of the line",
            reads: Reads::Number(Unit::Ohm, 0.5, 1e6),
            example: "470",
            label: "Resistor, or the choke’s wire",
            place: (Fold::Section, 1),
        }
        /// The choke in henries: by default it is a resistor.
        Henries: henries {
            noun: "a choke",
            reads: Reads::Number(Unit::Henry, 0.01, 500.0),
            example: "8",
            label: "Choke, H",
            empty: "none: a resistor",
            place: (Fold::Section, 1),
        }
        /// The capacitor behind it.
        Farads: farads {
            noun: "a capacitor",
            reads: Reads::Number(Unit::Farad, 1e-7, 1e-2),
            example: "47u",
            label: "Capacitor behind it",
            place: (Fold::Section, 2),
        }
        /// The volts that it is rated for.
        Volts: volts {
            noun: "the rating of a capacitor",
            reads: Reads::Number(Unit::Volt, 5.0, 2_000.0),
            example: "450",
            label: "Rated, V",
            place: (Fold::Section, 2),
        }
        /// What is fed from there: `plates`, `screens`, `drivers`, or some of them.
        Feeds: feeds {
            example: "screens drivers",
            label: "Feeds",
            empty: "plates, screens or drivers; said nowhere, plates and screens are at the first capacitor, drivers at the last",
            place: (Fold::Section, 3),
        }
    }
}
