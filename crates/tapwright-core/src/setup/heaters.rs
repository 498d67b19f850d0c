//! What is typed about the heaters and their winding.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};
use tapwright_units::Unit;

use super::row::{Fold, Reads, Row};

/// What of the heater winding itself goes to ground.
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
pub enum HeaterTap {
    /// Nothing: it has no centre tap, or the tap is not used.
    #[default]
    None,
    /// Its centre tap.
    Centre,
    /// One of its ends.
    End,
}

/// Whether the rectifier is heated by the same winding.
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
pub enum HeatedRectifier {
    /// It is not: it has a winding of its own, or no heater.
    #[default]
    Apart,
    /// It is, and its cathode is insulated from its heater.
    Insulated,
    /// It is, and its cathode is joined to its heater, or is its filament.
    Joined,
}

/// The heaters.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct HeatersEntry {
    /// What of the winding itself goes to ground.
    pub tap: HeaterTap,
    /// Whether the rectifier is heated by it.
    pub rectifier: HeatedRectifier,
    /// The texts.
    #[serde(flatten)]
    pub texts: HeaterEntry,
}

texts! {
    /// The heaters and their winding, all but its tap.
    HeaterEntry HeaterText {
        /// Volts stamped on the heater winding: by default what the tubes want.
        Volts: heater_volts {
            noun: "the volts of a heater winding",
            reads: Reads::Number(Unit::AcVolt, 1.0, 120.0),
            example: "6.3",
            label: "Heater winding",
            empty: "taken: what the tubes want",
            place: (Fold::Heaters, 1),
        }
        /// Amperes stamped on the heater winding.
        Amps: heater_amps {
            noun: "the amperes of a heater winding",
            reads: Reads::Number(Unit::Ampere, 0.05, 100.0),
            example: "3",
            label: "Its amperes",
            empty: "not known: nothing is held against the load",
            place: (Fold::Heaters, 1),
        }
        /// Resistors from both ends of the heaters to ground, in ohms: one value for both, or two.
        Resistors: heater_resistors {
            noun: "a resistor of a virtual centre tap",
            reads: Reads::Numbers(Unit::Ohm, 5.0, 10e3),
            example: "100, or 100 and 120",
            label: "Two resistors",
            placeholder: "100",
            empty: "none; 100 Ω each is usual",
            place: (Fold::Heaters, 3),
        }
        /// Tolerance of those resistors, %: by default 5.
        Tolerance: heater_tolerance {
            noun: "a tolerance",
            reads: Reads::Number(Unit::Percent, 0.01, 30.0),
            example: "5",
            label: "Their tolerance, %",
            empty: "taken: 5 %",
            place: (Fold::Heaters, 3),
        }
        /// Volts by which the heaters are raised above ground, from B+: by default none.
        Raise: heater_raise {
            noun: "volts above ground",
            reads: Reads::Number(Unit::Volt, 5.0, 200.0),
            example: "40",
            label: "Raised by",
            empty: "not raised; 20 to 60 V from B+ is common practice (no source)",
            place: (Fold::MoreOfHeaters, 4),
        }
        /// Upper resistor of the divider that raises them, B+ to the tap, in ohms: by default as
        /// proposed.
        Upper: heater_upper {
            noun: "a resistor of a divider",
            reads: Reads::Number(Unit::Ohm, 1e3, 1e8),
            example: "220k",
            label: "Divider, upper",
            empty: "as proposed",
            place: (Fold::MoreOfHeaters, 5),
        }
        /// Lower resistor of that divider, the tap to ground, in ohms: by default as proposed.
        Lower: heater_lower {
            noun: "a resistor of a divider",
            reads: Reads::Number(Unit::Ohm, 100.0, 1e8),
            example: "39k",
            label: "Divider, lower",
            empty: "as proposed",
            place: (Fold::MoreOfHeaters, 5),
        }
        /// Amperes that the winding feeds besides the tubes typed: dial lamps.
        Extra: heater_extra {
            noun: "a heater current",
            reads: Reads::Number(Unit::Ampere, 0.0, 50.0),
            example: "0.3",
            label: "Lamps and so on",
            empty: "nothing besides the tubes typed",
            place: (Fold::MoreOfHeaters, 6),
        }
        /// Heater volts as read with every tube in its socket. They win over the computed ones.
        Reading: heater_reading {
            noun: "heater volts",
            reads: Reads::Number(Unit::AcVolt, 0.5, 150.0),
            example: "6.1",
            label: "Volts as read",
            empty: "not read; with every tube in its socket",
            place: (Fold::MoreOfHeaters, 6),
        }
        /// Resistance behind the heater winding, in ohms: its own, and the primary’s by the turns
        /// squared. By default a tenth of its volts is lost at its stamped current.
        Winding: heater_winding {
            noun: "the resistance of a heater winding",
            reads: Reads::Number(Unit::Ohm, 1e-3, 100.0),
            example: "0.15",
            label: "Resistance behind it",
            empty: "taken: a tenth of the volts lost at its stamped amperes",
            place: (Fold::MoreOfHeaters, 7),
        }
    }
}
