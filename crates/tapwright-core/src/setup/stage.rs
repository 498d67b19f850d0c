//! What is typed about the output stage, all but the kind of stage, the tube and B+.

use serde::{Deserialize, Serialize};
use tapwright_units::Unit;

use super::row::{Asked, Fold, Reads, Row};

texts! {
    /// The output stage, all but the kind of stage, the tube and B+.
    StageEntry StageText {
        /// How many tubes in all: by default 2 in push-pull, 1 single-ended.
        Tubes: tubes {
            noun: "a number of tubes",
            reads: Reads::Number(Unit::One, 1.0, 16.0),
            example: "2",
            label: "Tubes in all",
            place: (Fold::MoreOfStage, 1),
        }
        /// Supply of the screens in volts, where it is steady: by default B+.
        Screen: screen {
            noun: "a screen voltage",
            reads: Reads::Number(Unit::Volt, 10.0, 2_000.0),
            example: "250",
            label: "Screen supply",
            asked: Asked::SteadyScreen,
            place: (Fold::MoreOfStage, 2),
        }
        /// Resistor common to all screens, with a capacitor after it unless `no cap` follows.
        ScreenOhms: screen_ohms {
            noun: "a screen resistor",
            reads: Reads::Numbers(Unit::Ohm, 0.0, 1e6),
            example: "470, or 470 no cap",
            label: "Resistor, all screens",
            placeholder: "470",
            empty: "none",
            asked: Asked::SteadyScreen,
            place: (Fold::MoreOfStage, 4),
        }
        /// Resistor at each screen, without a capacitor.
        Stopper: stopper {
            noun: "a screen resistor",
            reads: Reads::Number(Unit::Ohm, 0.0, 1e6),
            example: "1k",
            label: "Resistor per screen",
            empty: "none",
            asked: Asked::Screen,
            place: (Fold::MoreOfStage, 4),
        }
        /// Screen taps, % of the turns from B+ to the plate: by default 43.
        ScreenTap: screen_tap {
            noun: "a screen tap",
            reads: Reads::Number(Unit::Percent, 1.0, 99.0),
            example: "43",
            label: "Screen tap, of the turns",
            asked: Asked::TappedScreen,
            place: (Fold::MoreOfStage, 3),
        }
        /// Fixed grid volts from the cathode.
        Grid: grid {
            noun: "a grid voltage",
            reads: Reads::Number(Unit::Volt, -500.0, 0.0),
            example: "-15",
            label: "Grid, from the cathode",
            place: (Fold::Bias, 1),
        }
        /// Cathode resistor common to all tubes, in place of grid volts.
        Cathode: cathode {
            noun: "a cathode resistor",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e5),
            example: "250, or 470//470",
            label: "or cathode resistor",
            placeholder: "270",
            empty: "none: fixed bias",
            place: (Fold::Bias, 1),
        }
        /// Resistance of the primary winding as measured: one for the whole winding, one for
        /// each lead in order, or by name or rating.
        Winding: winding {
            noun: "a winding’s resistance",
            reads: Reads::Numbers(Unit::Ohm, 1e-3, 2e4),
            example: "300, or brown 270, blue 300",
            label: "Primary winding",
            placeholder: "300",
            place: (Fold::Losses, 1),
            column: 1,
        }
        /// Resistance of the supply behind B+.
        Source: source {
            noun: "a supply’s resistance",
            reads: Reads::Number(Unit::Ohm, 0.0, 2e4),
            example: "100",
            label: "Supply resistance",
            empty: "not counted: B+ does not sag",
            place: (Fold::MoreOfStage, 6),
        }
        /// How far the currents of the two sides of a pair differ, % of their mean.
        UnlikeCurrent: unlike_current {
            noun: "a difference of two sides",
            reads: Reads::Number(Unit::Percent, -150.0, 150.0),
            example: "10",
            label: "Difference of their currents",
            empty: "alike",
            asked: Asked::PushPull,
            place: (Fold::Unlike, 1),
        }
        /// How far the drive of the two sides differs, % of its mean.
        UnlikeDrive: unlike_drive {
            noun: "a difference of two sides",
            reads: Reads::Number(Unit::Percent, -150.0, 150.0),
            example: "10",
            label: "Of their drive",
            placeholder: "5",
            empty: "alike",
            asked: Asked::PushPull,
            place: (Fold::Unlike, 2),
        }
        /// How far the turns of the two half windings differ, % of their mean.
        UnlikeTurns: unlike_turns {
            noun: "a difference of two sides",
            reads: Reads::Number(Unit::Percent, -150.0, 150.0),
            example: "10",
            label: "Of the half windings’ turns",
            placeholder: "2",
            empty: "alike",
            asked: Asked::PushPull,
            place: (Fold::Unlike, 2),
        }
        /// Drive for the charts, % of the drive at which grid current starts: by default 100.
        Drive: drive {
            noun: "a drive",
            reads: Reads::Number(Unit::Percent, 1.0, 1_000.0),
            example: "100",
            label: "Drive, of full drive",
            place: (Fold::MoreOfStage, 7),
        }
        /// Frequency in hertz at which the speakers' reactance is counted: by default none.
        Frequency: frequency {
            noun: "a frequency",
            reads: Reads::Number(Unit::Hertz, 5.0, 50_000.0),
            example: "80",
            label: "Frequency, for reactance",
            empty: "none: the speakers count as resistances",
            place: (Fold::MoreOfStage, 7),
        }
    }
}
