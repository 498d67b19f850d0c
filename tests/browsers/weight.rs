//! What the file may weigh, and what must not be in it.

use std::fs;

use anyhow::ensure;
use tapwright_tests::page::{self, BUDGET};

use crate::Outcome;

/// The file keeps to its budget.
pub fn file() -> Outcome {
    let file = page::file().map_err(anyhow::Error::msg)?;
    let size = fs::metadata(&file)?.len();
    ensure!(size <= BUDGET, "{size} bytes are over {BUDGET}");
    Ok(())
}
