//! What is typed about the idle point as it is read, and as it is wanted.
//!
//! A reading takes the meter’s accuracy behind it: `252.3 ± 0.5 % + 2`.

use serde::{Deserialize, Serialize};
use tapwright_units::Unit;

use super::row::{Asked, Fold, Reads, Row};

texts! {
    /// What the meter shows at idle.
    ReadingsEntry ReadingText {
        /// Plate from ground as read, in volts; an accuracy may follow it.
        Plate: read_plate {
            noun: "a plate voltage",
            reads: Reads::Numbers(Unit::Volt, 1.0, 2_000.0),
            example: "252.3",
            label: "Plate, V",
            place: (Fold::Readings, 1),
        }
        /// Cathode from ground as read, in volts.
        Cathode: read_cathode {
            noun: "a cathode voltage",
            reads: Reads::Numbers(Unit::Volt, 1e-4, 500.0),
            example: "7.31",
            label: "Cathode, V",
            place: (Fold::Readings, 1),
        }
        /// Screen from ground as read, in volts.
        Screen: read_screen {
            noun: "a screen voltage",
            reads: Reads::Numbers(Unit::Volt, 1.0, 2_000.0),
            example: "249.8",
            label: "Screen, V",
            empty: "taken: as the model has it",
            asked: Asked::Screen,
            place: (Fold::Readings, 2),
        }
        /// Drop over the screen resistor as read, in volts: over a tube’s own, or else the one of all.
        ScreenDrop: read_screen_drop {
            noun: "a drop over a resistor",
            reads: Reads::Numbers(Unit::Volt, 1e-4, 500.0),
            example: "2.60",
            label: "Over the screen resistor, V",
            empty: "taken: the screen’s share as the model has it",
            asked: Asked::Screen,
            place: (Fold::Readings, 2),
        }
        /// Drop over the primary as read, in volts: in push-pull from B+ to this tube’s plate.
        PrimaryDrop: read_primary_drop {
            noun: "a drop over the primary",
            reads: Reads::Numbers(Unit::Volt, 1e-4, 500.0),
            example: "7.80",
            label: "Over the primary, V",
            empty: "read over its resistance, typed with the iron",
            place: (Fold::Readings, 3),
        }
        /// B+ at the primary as read together with the plate, in volts.
        Supply: read_supply {
            noun: "a supply voltage",
            reads: Reads::Numbers(Unit::Volt, 1.0, 2_000.0),
            example: "260.1",
            label: "B+ by the same meter, V",
            empty: "taken: B+ as typed with the stage",
            place: (Fold::Readings, 3),
        }
        /// Grid from ground as read, in volts.
        Grid: read_grid {
            noun: "a grid voltage",
            reads: Reads::Numbers(Unit::Volt, -500.0, 500.0),
            example: "-14.2",
            label: "Grid, V",
            empty: "taken: 0 V, or the fixed bias",
            place: (Fold::Readings, 4),
        }
        /// Resistor between each tube’s own cathode and ground, in ohms, where they have none in common.
        EachCathode: each_cathode {
            noun: "a cathode resistor",
            reads: Reads::Number(Unit::Ohm, 0.1, 1e5),
            example: "10",
            label: "Resistor per cathode",
            empty: "none: the cathode resistor of the stage",
            place: (Fold::Readings, 4),
        }
        /// Accuracy of the meter on DC volts: by default 0.5 % + 2.
        Meter: read_meter {
            example: "0.5 % + 2",
            label: "Meter, ±",
            empty: "taken: 0.5 % + 2 counts, 10 MΩ",
            place: (Fold::Readings, 5),
        }
        /// Tolerance of the resistors that readings are taken over, %: by default 10.
        Tolerance: read_tolerance {
            noun: "a tolerance",
            reads: Reads::Number(Unit::Percent, 0.01, 50.0),
            example: "1",
            label: "Resistors, ±",
            empty: "taken: 10; 1 where you measured them",
            place: (Fold::Readings, 5),
        }
        /// The second tube’s plate from ground as read, in volts.
        Plate2: read2_plate {
            noun: "a plate voltage",
            reads: Reads::Numbers(Unit::Volt, 1.0, 2_000.0),
            example: "252.9",
            label: "Its plate, V",
            asked: Asked::PushPull,
            place: (Fold::SecondTube, 1),
        }
        /// Its cathode from ground, in volts, where each tube has a resistor of its own.
        Cathode2: read2_cathode {
            noun: "a cathode voltage",
            reads: Reads::Numbers(Unit::Volt, 1e-4, 500.0),
            example: "0.352",
            label: "Its cathode, V",
            asked: Asked::PushPull,
            place: (Fold::SecondTube, 1),
        }
        /// Drop over its half of the primary, in volts.
        PrimaryDrop2: read2_primary_drop {
            noun: "a drop over the primary",
            reads: Reads::Numbers(Unit::Volt, 1e-4, 500.0),
            example: "4.10",
            label: "Over its half primary, V",
            asked: Asked::PushPull,
            place: (Fold::SecondTube, 2),
        }
        /// Its screen from ground, in volts.
        Screen2: read2_screen {
            noun: "a screen voltage",
            reads: Reads::Numbers(Unit::Volt, 1.0, 2_000.0),
            example: "249.5",
            label: "Its screen, V",
            asked: Asked::PushPull,
            place: (Fold::SecondTube, 3),
        }
        /// Drop over its own screen resistor, in volts.
        ScreenDrop2: read2_screen_drop {
            noun: "a drop over a resistor",
            reads: Reads::Numbers(Unit::Volt, 1e-4, 500.0),
            example: "2.40",
            label: "Over its screen resistor, V",
            asked: Asked::PushPull,
            place: (Fold::SecondTube, 3),
        }
        /// Its grid from ground, in volts.
        Grid2: read2_grid {
            noun: "a grid voltage",
            reads: Reads::Numbers(Unit::Volt, -500.0, 500.0),
            example: "-14.1",
            label: "Its grid, V",
            asked: Asked::PushPull,
            place: (Fold::SecondTube, 2),
        }
        /// The cathode resistor at another setting, in ohms: a second reading tells a shift of the tube from a factor.
        OtherOhms: read_other_ohms {
            noun: "a cathode resistor",
            reads: Reads::Number(Unit::Ohm, 1.0, 1e5),
            example: "180",
            label: "Another setting",
            empty: "none: one factor on all currents",
            place: (Fold::OtherSetting, 1),
        }
        /// Cathode from ground at that setting, in volts.
        OtherCathode: read_other_cathode {
            noun: "a cathode voltage",
            reads: Reads::Numbers(Unit::Volt, 1e-4, 500.0),
            example: "8.42",
            label: "Cathode there, V",
            place: (Fold::OtherSetting, 1),
        }
    }
}

texts! {
    /// The idle point that is wanted.
    WantedEntry WantedText {
        /// Plate dissipation wanted at idle for each tube: watts, or % of the limit.
        Dissipation: wanted_dissipation {
            example: "10 W, or 85 %",
            label: "Dissipation wanted",
            placeholder: "10 W or 85 %",
            place: (Fold::Wanted, 1),
        }
        /// Supply of a fixed bias, in volts below ground: the page answers with a divider.
        BiasSupply: bias_supply {
            noun: "a bias supply",
            reads: Reads::Number(Unit::Volt, -500.0, -1.0),
            example: "-60",
            label: "Bias supply",
            empty: "not known: no divider is proposed",
            asked: Asked::FixedBias,
            place: (Fold::Wanted, 1),
        }
    }
}
