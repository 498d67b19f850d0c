//! The output transformer: what is stamped on it, what is known of its iron and copper, and
//! what readings of an unmarked one tell.
//!
//! | to find | look in |
//! |---|---|
//! | turns ratio | [`transformer`] |
//! | rated impedance of a tap pair | `transformer/tap_pair.rs` |
//! | load that a speaker reflects | [`reflected_load`] |
//! | load with copper and core, power lost | [`network`] |
//! | −3 dB points | [`band`] |
//! | power before the core saturates | [`flux`] |
//! | inductance from a meter's reading | [`inductance`] |
//! | turns from voltages | [`measured::turns`] |
#![forbid(unsafe_code)]

pub mod band;
pub mod flux;
pub mod inductance;
pub mod iron;
pub mod measured;
pub mod network;
pub mod place;
pub mod reflected_load;
pub mod transformer;
pub mod winding_resistance;
