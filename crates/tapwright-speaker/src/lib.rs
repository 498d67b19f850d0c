//! Speakers and how they are wired together: `8`, `8//8`, `(8+8)//(8+8)`.
#![forbid(unsafe_code)]

mod curve;
mod driver;
mod expression;
mod file;
mod hookup;
mod mixed_hookup;
mod motor;
mod nominal;
mod ratings;
mod size;
pub mod sweep;
mod thin;

pub use curve::{ImpedanceCurve, ImpedancePoint};
pub use driver::{Driver, ImpedanceModel};
pub use expression::{NamedDriver, Places, read_name};
pub use file::{CurveFile, FileProblem, MOST_POINTS, read_points};
pub use hookup::{DriverShare, Hookup, MOST_DRIVERS};
pub use mixed_hookup::{MixedHookup, SafePower, ShareAt};
pub use motor::Motor;
pub use nominal::{
    InferredRating, LOWEST_SHARE_OF_RATED, highest_rating_allowed, rating_from_coil,
};
pub use ratings::{largest_power, read_ratings};
pub use size::Size;
pub use thin::{THINNED_WITHIN, Thinned, thin};
