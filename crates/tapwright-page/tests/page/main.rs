//! The page without a browser: what its views and charts show, and what scripts are told.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

mod charts;
mod declaration;
mod escaping;
mod form;
mod heaters;
mod idle;
mod measured;
mod paper;
mod pinned;
mod region;
mod setup_declaration;
mod supply;
mod views;
mod vocabulary;
