//! Checks that need more than one file of the crate.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

mod bench_noise;
mod network;
mod turns;
mod windings;
