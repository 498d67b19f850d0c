//! The physics of matching speakers to tubes through an output transformer.
//!
//! Pure functions, no browser, no clock, no I/O. The way through is
//! [`link::parse`] → [`setup::Setup`] → [`solve`] → [`report::Report`].
#![forbid(unsafe_code)]

pub mod amplifier;
pub mod answer;
pub mod assumed;
pub mod caution;
pub mod connection;
pub mod described;
pub mod examples;
pub mod feedback;
pub mod health;
pub mod heaters;
pub mod hookup;
pub mod idle;
pub mod iron;
pub mod judged;
pub mod link;
pub mod matching;
pub mod output;
pub mod published;
pub mod remedy;
pub mod report;
pub mod selector;
pub mod setup;
pub mod solved;
pub mod spice;
pub mod supply;
pub mod taken;
pub mod target;
pub mod tube_in_use;
pub mod values;
pub mod wiring;
pub mod working;
mod workings;

pub use report::{Report, solve};
pub use tapwright_stage as stage;
