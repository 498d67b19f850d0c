//! The published values that the models are known to miss, each with the reason.

use crate::compare::Quantity;

/// A value that misses its target: the row, the quantity, and why.
pub type Miss = (&'static str, Quantity, &'static str);

/// Every miss that there is. The test fails on one that is not here, and on one here that
/// the models meet.
pub const KNOWN: &[Miss] = &[];
