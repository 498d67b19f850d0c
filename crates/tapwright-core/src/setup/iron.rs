//! What is typed about the iron besides its ratings.

use serde::{Deserialize, Serialize};
use tapwright_units::Unit;

use super::row::{Fold, Reads, Row};

texts! {
    /// What is known of the iron besides its ratings; all but the primary's winding resistance,
    /// which the stage has.
    IronEntry IronText {
        /// Resistance of the secondary winding as measured: from the common lead, by tap, or
        /// between two taps as `4-8`.
        TapWinding: tap_winding {
            noun: "a winding’s resistance",
            reads: Reads::Numbers(Unit::Ohm, 1e-3, 500.0),
            example: "0.6, or 4: 0.3, 8: 0.45, 4-8: 0.15",
            label: "Secondary winding",
            placeholder: "0.6, or 4: 0.3, 8: 0.45",
            empty: "None: its copper loses nothing. From the common lead; between two taps as 4-8: 0.2.",
            place: (Fold::Losses, 1),
            column: 2,
        }
        /// Core loss as a resistance across the primary: on one lead, named before a colon, or
        /// else on the one with the most turns.
        CoreOhms: core_ohms {
            noun: "a core’s loss resistance",
            reads: Reads::Numbers(Unit::Ohm, 100.0, 1e8),
            example: "60k",
            label: "Core loss, as ohms",
            empty: "none: the core loses nothing",
            place: (Fold::Losses, 4),
        }
        /// Primary inductance: henries; volts, amperes and hertz as read with the secondary
        /// open; or a stated −3 dB point. On one lead, like the core loss.
        // Less than the least is a slip of unit, not the primary of an audio transformer. Own
        // estimate.
        Inductance: inductance {
            noun: "a primary inductance",
            reads: Reads::Numbers(Unit::Henry, 5e-2, 1e4),
            example: "12 H; or as read, 6.3 V, 1.7 mA, 50 Hz; or a stated −3 dB point, 40 Hz",
            label: "Primary inductance",
            placeholder: "12 H, or 6.3 V, 1.7 mA, 50 Hz",
            empty: "None: no limit in the bass. As henries; as volts, amperes and hertz, read with the secondary open at low AC voltage, off the amplifier; or as a stated −3 dB point, 40 Hz.",
            place: (Fold::Losses, 2),
        }
        /// Leakage inductance: henries on the primary; or volts, amperes and hertz as read with
        /// the secondary shorted. On one lead, like the core loss.
        Leakage: leakage {
            noun: "a leakage inductance",
            reads: Reads::Numbers(Unit::Henry, 1e-6, 100.0),
            example: "40 mH; or as read with the secondary shorted, 5 V, 12 mA, 1 kHz",
            label: "Leakage inductance",
            placeholder: "40 mH, or 5 V, 12 mA, 1 kHz",
            empty: "None: no limit in the treble. As henries, or as read with the secondary shorted, at low voltage too.",
            place: (Fold::Losses, 3),
        }
        /// Capacitance across the primary: on one lead, like the core loss.
        Capacitance: capacitance {
            noun: "a winding’s capacitance",
            reads: Reads::Numbers(Unit::Farad, 1e-12, 1e-5),
            example: "500p",
            label: "Shunt capacitance",
            empty: "none",
            place: (Fold::Losses, 4),
        }
        /// Power in watts that the transformer is rated for.
        RatedWatts: rated_watts {
            noun: "a rated power",
            reads: Reads::Number(Unit::Watt, 0.01, 5_000.0),
            example: "10",
            label: "Rated power",
            empty: "none: it never saturates",
            place: (Fold::Losses, 5),
        }
        /// Lowest frequency in hertz at the rated power.
        RatedHertz: rated_hertz {
            noun: "a lowest frequency",
            reads: Reads::Number(Unit::Hertz, 5.0, 2_000.0),
            example: "50",
            label: "down to",
            empty: "the lowest at that power",
            place: (Fold::Losses, 5),
        }
        /// Steady current that magnetises the core, in mA: by default the stage's.
        DirectMa: direct_ma {
            noun: "a direct current",
            reads: Reads::Number(Unit::Milliampere, 0.0, 2_000.0),
            example: "45",
            label: "Direct current in it",
            placeholder: "as computed",
            empty: "not known without a tube",
            place: (Fold::Losses, 6),
        }
        /// Source resistance of the tubes over the whole primary, for the band: by default the
        /// stage's.
        PlateOhms: plate_ohms {
            noun: "a source resistance",
            reads: Reads::Number(Unit::Ohm, 10.0, 1e7),
            example: "40k",
            label: "The tubes’ source resistance",
            placeholder: "as computed",
            empty: "none known: matched to the lead’s rating",
            place: (Fold::Losses, 7),
        }
    }
}
