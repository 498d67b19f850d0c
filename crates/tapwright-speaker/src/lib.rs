//! Speakers and how they are wired together: `8`, `8//8`, `(8+8)//(8+8)`.
#![forbid(unsafe_code)]

mod curve;
mod driver;
mod expression;
mod file;
mod hookup;
mod mixed;
mod motor;
mod nominal;
mod ratings;
mod size;
pub mod sweep;
mod thin;

pub use curve::{Curve, Measured};
pub use driver::{Driver, Known};
pub use expression::{NamedDriver, Places, read_name};
pub use file::{CurveFile, FileProblem, MOST_POINTS, read_points};
pub use hookup::{DriverShare, Hookup, MOST_DRIVERS};
pub use mixed::{Mixed, SafePower, ShareAt};
pub use motor::Motor;
pub use nominal::{Inferred, LOWEST_SHARE_OF_RATED, inferred, rating_allowed};
pub use ratings::{largest_power, read_ratings};
pub use size::Size;
pub use thin::{THINNED_WITHIN, Thinned, thin};
