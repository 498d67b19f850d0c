//! The amplifier from input jack to speaker as one circuit, and the first questions to it.
//!
//! [`Amplifier`] says what parts there are; [`Amplifier::circuit`] joins them, with named nodes,
//! as a [`tapwright_circuit::Circuit`]. [`feedback`] asks that circuit about its loop.
#![forbid(unsafe_code)]

mod build;
mod driver;
pub mod feedback;
mod output;
mod speaker;
mod taper;
mod transformer;
mod tube_law;

pub use build::{Built, TAKE_OFF};
pub use driver::{Bypass, Capacitance, Driver, LongTailed, SplitLoad, Splitter, Triode, Volume};
pub use feedback::Feedback;
pub use output::Output;
pub use speaker::Load;
pub use taper::Taper;
pub use transformer::{SecondaryTap, TakeOff, Transformer};
pub use tube_law::TubeLaw;

/// The amplifier's parts, from the input to the speaker.
#[derive(Debug, Clone)]
pub struct Amplifier {
    /// Resistance of what feeds the input, Ω.
    pub source_ohms: f64,
    /// Common-cathode triodes, the first at the input. None: the input is the splitter or the
    /// output stage itself.
    pub drivers: Vec<Driver>,
    /// What turns the phase for a push-pull pair.
    pub splitter: Option<Splitter>,
    /// The output stage.
    pub output: Output,
    /// The output transformer.
    pub transformer: Transformer,
    /// What hangs on the tap in use; `None` for nothing.
    pub load: Option<Load>,
    /// The feedback.
    pub feedback: Option<Feedback>,
}
