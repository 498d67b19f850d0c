//! What is said of a text that could not be read.

use serde::{Deserialize, Serialize};

/// Why a field could not be read, for the person who typed it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Complaint {
    /// What is wrong, in one sentence without a full stop.
    pub why: String,
    /// Something that would have been understood here.
    pub example: String,
}

impl Complaint {
    /// A complaint with a reason and an example of what would be understood.
    ///
    /// ```
    /// # use tapwright_units::entry::Complaint;
    /// let c = Complaint::new("nothing typed", "8k");
    /// assert_eq!(c.example, "8k");
    /// ```
    pub fn new(why: impl Into<String>, example: impl Into<String>) -> Self {
        Self {
            why: why.into(),
            example: example.into(),
        }
    }
}
