//! How a published number is known.

use serde::{Deserialize, Serialize};

/// How a published number is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Provenance {
    /// Read in a copy of the source.
    Read,
    /// Recalled, not looked up: to be corrected when the source is at hand.
    #[serde(rename(deserialize = "from memory"))]
    FromMemory,
}
