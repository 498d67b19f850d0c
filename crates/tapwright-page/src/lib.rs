//! The page: views of a report, and the thin layer that turns events into edits.
//!
//! Views are pure and run anywhere; only what touches the browser is confined to
//! the `wasm32` target.

pub mod chart;
pub mod number;
pub mod view;
pub mod words;

mod action;
mod charts;
mod desk;
#[cfg(any(test, target_arch = "wasm32"))]
mod patch;

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
#[cfg(any(test, target_arch = "wasm32"))]
mod within;

pub use action::{Action, Shape};
pub use charts::Charts;
pub use desk::Desk;
