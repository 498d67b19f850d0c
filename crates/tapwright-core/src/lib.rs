//! The physics of matching speakers to tubes through an output transformer.
#![forbid(unsafe_code)]

pub mod stage;
pub mod tube;
