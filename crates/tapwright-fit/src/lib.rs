//! Fits the tube models of [`tapwright_tube`] to published values, by least squares
//! with priors, and compares the result with the values that were held back.

pub mod accuracy;
pub mod compare;
pub mod fit;
pub mod leave_out;
pub mod misses;

/// Where the fitted models are, from this crate's folder.
pub const FITTED: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../tapwright-tube/data/fitted.toml"
);

/// Where the table of errors is.
pub const ACCURACY: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/ACCURACY.md");
