//! The physics of matching speakers to tubes through an output transformer.
//!
//! Pure functions, no browser, no clock, no I/O. The way through is
//! [`link::parse`] → [`setup::Setup`] → [`solve`] → [`report::Report`].
#![forbid(unsafe_code)]

pub mod answer;
pub mod assumed;
pub mod connection;
pub mod examples;
pub mod link;
pub mod losses;
pub mod matching;
pub mod output;
pub mod published;
pub mod report;
pub mod setup;
pub mod spice;
pub mod tube_in_use;
pub mod values;
pub mod working;
mod workings;

pub use report::{solve, solve_with};
pub use tapwright_stage as stage;
