//! A value that was taken because its field is empty.

use serde::Serialize;

use crate::setup::Field;

/// A value that was taken because its field is empty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Taken {
    /// The field that would settle it.
    pub field: Field,
    /// The value, in the unit of its row.
    pub value: f64,
}
