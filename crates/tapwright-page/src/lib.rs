//! The page: views of a report, and the thin layer that turns events into edits.
//!
//! Views are pure and run anywhere. What touches the browser is compiled for `wasm32` only.

pub mod chart;
pub mod view;

mod action;
mod answers;
mod charts;
mod desk;
mod number;
mod pinned;
mod recent;
mod words;

#[cfg(target_arch = "wasm32")]
mod app;
#[cfg(target_arch = "wasm32")]
mod browser;
#[cfg(target_arch = "wasm32")]
mod crosshair;
#[cfg(target_arch = "wasm32")]
mod events;
#[cfg(target_arch = "wasm32")]
mod file;
#[cfg(target_arch = "wasm32")]
pub mod script;
#[cfg(target_arch = "wasm32")]
mod start;

pub use action::{Action, Shape};
pub use charts::Charts;
pub use desk::Desk;
pub use recent::Recent;
pub use words::vocabulary::{Vocabulary, stray};
