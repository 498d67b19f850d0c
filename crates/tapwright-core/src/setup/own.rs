//! What is typed about a tube that is not in the data.

use serde::{Deserialize, Serialize};
use tapwright_units::Unit;

use super::choice::OwnKind;
use super::row::{Asked, Fold, Reads, Row};

/// What stands in the place of a tube type when the person types a tube of their own.
pub const OWN_TUBE: &str = "own";

texts! {
    /// The limits of the person's own tube.
    OwnLimits OwnText {
        /// Plate dissipation of your own tube, W.
        PlateWatts: own_plate_watts {
            noun: "a plate dissipation",
            reads: Reads::Number(Unit::Watt, 0.05, 5_000.0),
            example: "12",
            label: "Plate, W",
            asked: Asked::OwnTube,
            place: (Fold::OwnLimits, 1),
            column: 1,
        }
        /// Its screen dissipation, W.
        ScreenWatts: own_screen_watts {
            noun: "a screen dissipation",
            reads: Reads::Number(Unit::Watt, 0.01, 500.0),
            example: "2",
            label: "Screen, W",
            asked: Asked::OwnScreen,
            place: (Fold::OwnLimits, 1),
            column: 3,
        }
        /// The most on its plate, V.
        PlateVolts: own_plate_volts {
            noun: "a plate voltage",
            reads: Reads::Number(Unit::Volt, 10.0, 10_000.0),
            example: "300",
            label: "Plate, V",
            placeholder: "315",
            asked: Asked::OwnTube,
            place: (Fold::OwnLimits, 1),
            column: 2,
        }
        /// The most on its screen, V.
        ScreenVolts: own_screen_volts {
            noun: "a screen voltage",
            reads: Reads::Number(Unit::Volt, 10.0, 5_000.0),
            example: "285",
            label: "Screen, V",
            asked: Asked::OwnScreen,
            place: (Fold::OwnLimits, 1),
            column: 4,
        }
        /// The most its cathode gives, mA.
        CathodeMa: own_cathode_ma {
            noun: "a cathode current",
            reads: Reads::Number(Unit::Milliampere, 0.1, 10_000.0),
            example: "65",
            label: "Cathode, mA",
            asked: Asked::OwnTube,
            place: (Fold::OwnLimits, 1),
            column: 5,
        }
    }
}

texts! {
    /// One operating point of the person's own tube, from its datasheet.
    PointEntry PointText {
        /// Plate, V from the cathode.
        Plate: plate {
            noun: "a plate voltage",
            reads: Reads::Number(Unit::Volt, 1.0, 5_000.0),
            example: "250",
            label: "Plate, V",
            asked: Asked::OwnTube,
            place: (Fold::Point, 1),
        }
        /// Screen, V.
        Screen: screen {
            noun: "a screen voltage",
            reads: Reads::Number(Unit::Volt, 1.0, 5_000.0),
            example: "250",
            label: "Screen, V",
            asked: Asked::OwnScreen,
            place: (Fold::Point, 1),
        }
        /// Grid, V.
        Grid: grid {
            noun: "a grid voltage",
            reads: Reads::Number(Unit::Volt, -500.0, 0.0),
            example: "-15",
            label: "Grid, V",
            placeholder: "-12.5",
            asked: Asked::OwnTube,
            place: (Fold::Point, 1),
        }
        /// Plate current, mA.
        PlateMa: plate_ma {
            noun: "a plate current",
            reads: Reads::Number(Unit::Milliampere, 0.001, 5_000.0),
            example: "45",
            label: "Plate, mA",
            asked: Asked::OwnTube,
            place: (Fold::Point, 1),
        }
        /// Screen current, mA.
        ScreenMa: screen_ma {
            noun: "a screen current",
            reads: Reads::Number(Unit::Milliampere, 0.001, 1_000.0),
            example: "4.5",
            label: "Screen, mA",
            asked: Asked::OwnScreen,
            place: (Fold::Point, 1),
        }
        /// Transconductance, mS.
        Gm: gm {
            noun: "a transconductance",
            reads: Reads::Number(Unit::Millisiemens, 0.01, 200.0),
            example: "4.1",
            label: "Transcond., mS",
            asked: Asked::OwnTube,
            place: (Fold::Point, 1),
        }
        /// Plate resistance, Ω.
        Rp: rp {
            noun: "a plate resistance",
            reads: Reads::Number(Unit::Ohm, 50.0, 5e6),
            example: "52k",
            label: "Plate resistance",
            asked: Asked::OwnTube,
            place: (Fold::Point, 1),
        }
        /// µ; of a tube with a screen, from grid 1 to the screen.
        Mu: mu {
            noun: "an amplification factor",
            reads: Reads::Number(Unit::One, 1.0, 500.0),
            example: "9.8",
            label: "µ",
            asked: Asked::OwnTube,
            place: (Fold::Point, 1),
        }
    }
}

/// The tube that a person types from a datasheet.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct OwnTube {
    /// Whether it has a screen, and of which kind.
    pub kind: OwnKind,
    /// Its limits.
    pub limits: OwnLimits,
    /// Its operating points; one is the minimum.
    pub points: Vec<PointEntry>,
}
