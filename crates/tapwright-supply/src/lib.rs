//! The power supply: mains transformer, rectifier, first capacitor, and the line behind it.
//!
//! A [`MainsTransformer`] becomes a [`Feed`]: an electromotive force behind a resistance. With a
//! rectifier's [`Law`], a first capacitor and sections behind it that makes a [`Supply`], which
//! [`Steady`] solves through a cycle of the mains: a periodic state, not an average. What the
//! tubes draw are steady currents at the capacitors.
//!
//! All quantities are in volts, amperes, ohms, farads and seconds; volts of a winding are rms.
#![forbid(unsafe_code)]

mod cold_start;
mod data;
mod deck;
mod discharge;
mod law;
mod limits;
mod line;
mod steady;
mod supply;
mod transformer;

pub use cold_start::cold_start;
pub use data::{Heater, Heating, Operation, Rectifier, find, rectifiers};
pub use deck::deck;
pub use discharge::{SAFE_VOLTS, bleeder, seconds_until_safe};
pub use law::{Flow, Law};
pub use limits::{Passed, plate_ohms_wanted};
pub use steady::{Node, PartCurrent, Steady, Wave};
pub use supply::{Capacitor, Circuit, Feed, Section, Series, Supply, Unsolved};
pub use transformer::MainsTransformer;
