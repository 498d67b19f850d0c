//! The commands that need a browser. They live in the tests' crate, so that
//! building the page does not build a browser client.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, ensure};

use crate::{page, places};

/// `cargo xtask bench`: builds the page, then measures it.
pub fn bench(arguments: &[String]) -> Result<()> {
    let module = page::compile("tapwright-solve-wasm")?;
    tapwright_tests("bench", arguments, &[("TAPWRIGHT_SOLVE_WASM", module)])
}

/// `cargo xtask shots`: builds the page, then takes pictures of it.
pub fn shots(arguments: &[String]) -> Result<()> {
    tapwright_tests("shots", arguments, &[])
}

fn tapwright_tests(
    program: &str,
    arguments: &[String],
    variables: &[(&str, PathBuf)],
) -> Result<()> {
    let page = page::build()?;
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let status = Command::new(cargo)
        .args([
            "run",
            "--quiet",
            "--release",
            "--package",
            "tapwright-tests",
        ])
        .args(["--bin", program, "--"])
        .args(arguments)
        .current_dir(places::root())
        .env("CARGO_TARGET_DIR", places::target())
        .env("TAPWRIGHT_PAGE", page)
        .env("TAPWRIGHT_TOOLS", places::tools())
        .envs(variables.iter().map(|(name, value)| (name, value)))
        .status()
        .context("cannot run cargo")?;
    ensure!(status.success(), "`{program}` did not finish.");
    Ok(())
}
