//! Circuits of named nodes and real parts, and the questions that one asks them.
//!
//! A [`Circuit`] is a list of parts between nodes. Modified nodal analysis (C. W. Ho, A. E.
//! Ruehli, P. A. Brennan, IEEE Trans. Circuits and Systems 22, 1975) makes it one system
//!
//! `C dx/dt + G x + f(x) = s(t)`
//!
//! whose unknowns `x` are the volts of the nodes and the currents of the parts that need one.
//! The analyses are four readings of that system: [`DirectPoint`] solves it at rest,
//! [`SmallSignal`] at one frequency about that point, [`Stability`] counts how its loop turns
//! about −1, and [`Transient`] steps it through time. [`deck()`] prints the same parts for
//! ngspice.
//!
//! Nothing in here knows a tube or an amplifier: what is not linear is a [`Law`].
#![forbid(unsafe_code)]

mod circuit;
mod deck;
mod direct;
mod law;
mod node;
mod part;
mod small_signal;
mod stability;
mod system;
mod transient;

pub use circuit::Circuit;
pub use deck::deck;
pub use direct::{DirectPoint, NoPoint};
pub use law::{Law, Slopes};
pub use node::{GROUND, Node};
pub use part::{Part, Source, Winding};
pub use small_signal::{LoopGain, Singular, SmallSignal};
pub use stability::{Crossing, Stability};
pub use transient::{Transient, Unsettled};
