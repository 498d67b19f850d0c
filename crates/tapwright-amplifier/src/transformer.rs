//! The output transformer with every tap.
//!
//! All windings share the core's flux. Leakage counts all in series with the primary, and the
//! secondary's sections are perfectly coupled: the phase of a tap that carries nothing depends
//! on that.

use serde::Serialize;

/// A tap of the secondary, from the common lead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondaryTap {
    /// Turns, in the unit of the primary's.
    pub turns: f64,
    /// Resistance of the wire from the common lead, Ω.
    pub ohms: f64,
}

/// The part of the secondary that the speakers are on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TakeOff {
    /// The tap that the speakers are on, whichever that is.
    Selected,
    /// The tap at this place, always.
    Tap(usize),
}

/// The transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct Transformer {
    /// Turns of the primary in use, end to end.
    pub primary_turns: f64,
    /// Resistance of that wire, Ω.
    pub primary_ohms: f64,
    /// Inductance of the primary in use, H; `None` where nothing is known: then it is so large
    /// that nothing notices.
    pub inductance: Option<f64>,
    /// Leakage inductance referred to it, H.
    pub leakage: f64,
    /// Capacitance across it, F.
    pub capacitance: f64,
    /// Core loss across it, Ω; infinite for none.
    pub core_ohms: f64,
    /// Turns of the two halves, as a difference over the mean.
    pub unlike_turns: f64,
    /// Every tap.
    pub taps: Vec<SecondaryTap>,
    /// The tap that the speakers are on, by its place.
    pub selected: usize,
    /// The tap that is grounded: with a tap pair the speakers hang between two. `None` for the
    /// common lead.
    pub grounded: Option<usize>,
    /// Whether the primary's leads are the wrong way round for feedback.
    pub reversed: bool,
}

/// Inductance of a primary of which nothing is known, H.
pub(crate) const ENDLESS: f64 = 1e7;
