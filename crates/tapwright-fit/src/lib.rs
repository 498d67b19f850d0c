//! Fits the tube models of [`tapwright_core::tube`] to published values, by least squares
//! with priors, and compares the result with the values that were held back.

pub mod compare;
pub mod fit;
