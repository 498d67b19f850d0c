//! `cargo xtask fit`: fits the tube models, and writes down how near they come.

use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::places;

/// Runs the fitter, compiled for speed: it solves thousands of cycles.
pub fn run(arguments: &[String]) -> Result<()> {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let status = Command::new(program)
        .args([
            "run",
            "--release",
            "--quiet",
            "--package",
            "tapwright-fit",
            "--",
        ])
        .args(arguments)
        .current_dir(places::root())
        .env("CARGO_TARGET_DIR", places::target())
        .status()
        .context("cannot run cargo")?;
    if !status.success() {
        bail!("the fit did not succeed");
    }
    Ok(())
}
