//! The idle point of an output stage as readings tell it, and how to set another.
//!
//! [`currents`](currents::find) fits every reading together and gives currents and dissipation
//! with their uncertainty. [`Scaled`] is the stage whose model passes through them: it answers
//! which resistor or which grid voltage gives the dissipation that is wanted ([`wanted`]), from
//! which parts to make it ([`trimmer`], [`divider`], [`bypass`]), and what happens when a
//! trimmer's wiper loses contact.
//!
//! All quantities are in volts, amperes, ohms and watts.
#![forbid(unsafe_code)]

pub mod bypass;
pub mod currents;
pub mod divider;
mod doubt;
mod enough;
mod fit;
pub mod leak;
mod reading;
pub mod scaled;
mod sheet;
pub mod trimmer;
pub mod wanted;
mod wiring;

pub use currents::{Currents, SideFound, Stands, Way};
pub use doubt::Doubt;
pub use enough::{NotEnough, Wanting};
pub use reading::{METER_OHMS, Reading, Readings, Resistor, SideReadings, Which};
pub use scaled::Scaled;
pub use wiring::{CathodePath, ScreenPath, ScreenResistor, Taken, Wiring};
