//! A value with its uncertainty.

use serde::Serialize;

/// A value with its standard uncertainty, both in the same unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Uncertain {
    /// The value.
    pub value: f64,
    /// Standard uncertainty, above zero.
    pub uncertainty: f64,
}

/// Half the width of an interval that holds the true value in 95 of 100 cases, in standard
/// uncertainties, for a normal distribution (JCGM 100:2008, table G.1).
pub const COVERAGE_95: f64 = 1.96;
