//! What is typed about the stages before the output stage, and about the feedback.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};
use tapwright_amplifier::Taper;
use tapwright_units::Unit;

use super::row::{Asked, Fold, Reads, Row};

/// What turns the phase for a push-pull pair.
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
pub enum SplitterKind {
    /// Two triodes on one tail.
    #[default]
    LongTailed,
    /// One triode with equal loads at plate and cathode.
    SplitLoad,
}

/// Which way round the primary's leads are for the feedback.
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
pub enum Polarity {
    /// The feedback takes gain away.
    #[default]
    Right,
    /// It adds to the signal.
    Wrong,
}

/// The driver and the feedback.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct AmplifierEntry {
    /// Type of the driver triodes.
    pub driver: String,
    /// What turns the phase of a push-pull pair.
    pub splitter: SplitterKind,
    /// What is typed of driver triodes that are not in the table.
    pub own_driver: OwnDriverEntry,
    /// The rest of the stages before the output stage.
    pub drive: DriveEntry,
    /// Taper of the feedback control.
    pub taper: Taper,
    /// Which way round the primary is.
    pub polarity: Polarity,
    /// The feedback.
    pub feedback: FeedbackEntry,
}

texts! {
    /// An operating point of a driver triode that is not in the table, from its datasheet.
    OwnDriverEntry OwnDriverText {
        /// Your own driver triode: plate, V from the cathode.
        Plate: own_driver_plate {
            noun: "a plate voltage",
            reads: Reads::Number(Unit::Volt, 1.0, 2_000.0),
            example: "250",
            label: "Its plate, V",
            asked: Asked::OwnDriver,
            place: (Fold::OwnDriver, 1),
        }
        /// Its grid, V from the cathode.
        Grid: own_driver_grid {
            noun: "a grid voltage",
            reads: Reads::Number(Unit::Volt, -200.0, 0.0),
            example: "-2",
            label: "Its grid, V",
            asked: Asked::OwnDriver,
            place: (Fold::OwnDriver, 1),
        }
        /// Its plate current there, mA.
        Ma: own_driver_ma {
            noun: "a plate current",
            reads: Reads::Number(Unit::Milliampere, 0.01, 200.0),
            example: "1.2",
            label: "Its current, mA",
            asked: Asked::OwnDriver,
            place: (Fold::OwnDriver, 2),
        }
        /// Its µ there.
        Mu: own_driver_mu {
            noun: "an amplification factor",
            reads: Reads::Number(Unit::One, 1.0, 500.0),
            example: "100",
            label: "Its µ",
            asked: Asked::OwnDriver,
            place: (Fold::OwnDriver, 2),
        }
        /// Its plate resistance there, in ohms.
        Rp: own_driver_rp {
            noun: "a plate resistance",
            reads: Reads::Number(Unit::Ohm, 50.0, 5e6),
            example: "62k",
            label: "Its plate resistance",
            asked: Asked::OwnDriver,
            place: (Fold::OwnDriver, 3),
        }
    }
}

texts! {
    /// The stages before the output stage, all but their tube.
    DriveEntry DriveText {
        /// Common-cathode stages between the input and the output stage, or its splitter: by
        /// default 1; before a long-tailed pair none.
        Stages: driver_stages {
            noun: "a number of stages",
            reads: Reads::Number(Unit::One, 0.0, 2.0),
            example: "1",
            label: "Driver stages",
            empty: "taken: 1; before a long-tailed pair none",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 1),
        }
        /// Supply of the driver, in volts: by default nine tenths of B+.
        Supply: driver_supply {
            noun: "a driver’s supply",
            reads: Reads::Number(Unit::Volt, 10.0, 1_000.0),
            example: "220",
            label: "Driver supply",
            empty: "taken: nine tenths of B+",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 1),
        }
        /// Plate load of the driver, and each load of a splitter, in ohms: by default 100k.
        Plate: driver_plate {
            noun: "a plate load",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e7),
            example: "100k",
            label: "Plate load",
            empty: "taken: 100 kΩ",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 2),
        }
        /// Cathode resistor of the driver, in ohms, all of it: by default 1.5k.
        Cathode: driver_cathode {
            noun: "a cathode resistor",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e6),
            example: "1.5k",
            label: "Cathode resistor",
            empty: "taken: 1.5 kΩ",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 2),
        }
        /// Capacitor across the driver's cathode resistor: by default none.
        Bypass: driver_bypass {
            noun: "a bypass capacitor",
            reads: Reads::Number(Unit::Farad, 1e-9, 1e-2),
            example: "22u",
            label: "Cathode bypass",
            empty: "none",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 3),
        }
        /// The lower part of that resistor, which has no capacitor across it: by default none.
        Lower: driver_lower {
            noun: "the part without a capacitor",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e6),
            example: "100",
            label: "Part not bypassed",
            empty: "none: the capacitor is across all of it",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 3),
        }
        /// Volume control between two driver stages, or at the input, in ohms: by default none.
        Volume: volume {
            noun: "a volume control",
            reads: Reads::Number(Unit::Ohm, 1e3, 1e7),
            example: "1M",
            label: "Volume control",
            empty: "none, or not in this path",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 4),
        }
        /// What its wiper takes of the volts, %: by default 100.
        VolumeAt: volume_at {
            noun: "a setting of the volume",
            reads: Reads::Number(Unit::Percent, 0.1, 100.0),
            example: "50",
            label: "Its wiper takes, %",
            empty: "100: full",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 4),
        }
        /// Coupling capacitors to the grids of the output stage: by default 22n.
        Coupling: coupling {
            noun: "a coupling capacitor",
            reads: Reads::Number(Unit::Farad, 1e-11, 1e-4),
            example: "22n",
            label: "Coupling capacitor",
            empty: "taken: 22 nF",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 5),
        }
        /// Grid leaks of the output stage, in ohms: by default 470k.
        Leak: grid_leak {
            noun: "a grid leak",
            reads: Reads::Number(Unit::Ohm, 1e3, 1e7),
            example: "470k",
            label: "Grid leak, output",
            empty: "taken: 470 kΩ",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 5),
        }
        /// Tail of a long-tailed pair, in ohms: by default 10k.
        Tail: tail {
            noun: "a tail resistor",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e6),
            example: "10k",
            label: "Tail",
            empty: "taken: 10 kΩ",
            asked: Asked::LongTailed,
            place: (Fold::DriverStage, 6),
        }
        /// Resistor from the foot of that tail to ground, where feedback enters, in ohms: by
        /// default 4.7k.
        Foot: foot {
            noun: "a resistor at the foot of the tail",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e6),
            example: "4.7k",
            label: "Foot of the tail",
            empty: "taken: 4.7 kΩ",
            asked: Asked::LongTailed,
            place: (Fold::DriverStage, 6),
        }
        /// Resistance of what feeds the input, in ohms: by default 10k.
        Input: input_ohms {
            noun: "the resistance of what feeds the input",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e7),
            example: "10k",
            label: "Source before it",
            empty: "taken: 10 kΩ",
            asked: Asked::DriverKnown,
            place: (Fold::DriverStage, 7),
        }
    }
}

texts! {
    /// The feedback from the secondary.
    FeedbackEntry FeedbackText {
        /// Where feedback is taken from: `selected` for the tap that the speaker is on, or a tap
        /// by name or ohms; empty for none.
        From: feedback_from {
            example: "selected, or 8",
            label: "Taken from",
            placeholder: "selected, or 8",
            empty: "none: “selected” is the tap in use; a tap’s ohms or name is that tap, always",
            place: (Fold::Feedback, 1),
        }
        /// The part of the feedback resistor that cannot be turned, in ohms.
        Fixed: feedback_fixed {
            noun: "a feedback resistor",
            reads: Reads::Number(Unit::Ohm, 0.0, 1e8),
            example: "15k",
            label: "Fixed part",
            asked: Asked::FeedbackTaken,
            place: (Fold::Feedback, 2),
        }
        /// The feedback control, in ohms end to end: by default none.
        Control: feedback_control {
            noun: "a feedback control",
            reads: Reads::Number(Unit::Ohm, 0.0, 1e8),
            example: "50k",
            label: "Control",
            empty: "none: the resistor is fixed",
            asked: Asked::FeedbackTaken,
            place: (Fold::Feedback, 2),
        }
        /// Position of that control, % of its way: by default 50.
        At: feedback_at {
            noun: "a position of the control",
            reads: Reads::Number(Unit::Percent, 0.0, 100.0),
            example: "50",
            label: "Control at, %",
            empty: "taken: the middle",
            asked: Asked::FeedbackTaken,
            place: (Fold::Feedback, 3),
        }
        /// Capacitor across the feedback resistor: by default none.
        Across: feedback_cap {
            noun: "a capacitor across the feedback",
            reads: Reads::Number(Unit::Farad, 1e-13, 1e-4),
            example: "100p",
            label: "Capacitor across it",
            empty: "none",
            asked: Asked::FeedbackTaken,
            place: (Fold::FeedbackTreble, 1),
        }
        /// Capacitor of a presence control, from where the feedback enters to ground: by default
        /// none.
        Presence: presence {
            noun: "a presence capacitor",
            reads: Reads::Number(Unit::Farad, 1e-11, 1e-4),
            example: "100n",
            label: "Presence capacitor",
            empty: "none",
            asked: Asked::FeedbackTaken,
            place: (Fold::FeedbackTreble, 2),
        }
        /// Ohms of the presence control in series with that capacitor, as it is set: by default
        /// 0, all the way up.
        PresenceOhms: presence_ohms {
            noun: "the ohms of a presence control",
            reads: Reads::Number(Unit::Ohm, 0.0, 1e7),
            example: "5k",
            label: "Presence control, as set",
            empty: "0 Ω: all the way up",
            asked: Asked::FeedbackTaken,
            place: (Fold::FeedbackTreble, 2),
        }
        /// Decibels wanted, one value or two: the page answers with the resistor, or with the
        /// fixed part and the control.
        Wanted: feedback_wanted {
            noun: "decibels of feedback",
            reads: Reads::Numbers(Unit::Decibel, 0.1, 60.0),
            example: "8, or 4 to 14",
            label: "Or: decibels wanted",
            asked: Asked::FeedbackTaken,
            place: (Fold::Feedback, 4),
        }
    }
}
