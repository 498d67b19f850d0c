//! What is typed about the iron besides its ratings.

use serde::{Deserialize, Serialize};

texts! {
    /// What the iron loses and where it ends, as typed; all but the primary's winding
    /// resistance, which is the stage's too.
    LossEntry,
    /// A text of a [`LossEntry`].
    LossText {
        /// Winding resistances of the secondary, from the common lead or between two taps.
        TapWinding: tap_winding,
        /// Core loss as a resistance across the primary.
        CoreOhms: core_ohms,
        /// Primary inductance: henries, a reading, or a stated −3 dB point.
        Inductance: inductance,
        /// Leakage inductance: henries, or a reading with the secondary shorted.
        Leakage: leakage,
        /// Capacitance across the primary.
        Capacitance: capacitance,
        /// Rated power.
        RatedWatts: rated_watts,
        /// Lowest frequency at the rated power.
        RatedHertz: rated_hertz,
        /// Steady current that magnetises the core, mA; empty for the stage's.
        DirectMa: direct_ma,
        /// Source resistance of the tubes over the whole primary; empty for the stage's.
        PlateOhms: plate_ohms,
    }
}
