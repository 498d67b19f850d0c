//! The commands that need a browser or a simulator. They live in the tests' crate, so
//! that building the page does not build what drives them.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, ensure};

use crate::{page, places};

/// `cargo xtask bench`: builds the page, then measures it.
pub fn bench(arguments: &[String]) -> Result<()> {
    let module = page::compile("tapwright-solve-wasm")?;
    let variables = [
        ("TAPWRIGHT_PAGE", page::build()?),
        ("TAPWRIGHT_SOLVE_WASM", module),
    ];
    tapwright_tests("bench", arguments, &variables)
}

/// `cargo xtask shots`: builds the page, then takes pictures of it.
pub fn shots(arguments: &[String]) -> Result<()> {
    tapwright_tests("shots", arguments, &[("TAPWRIGHT_PAGE", page::build()?)])
}

/// `cargo xtask study`: holds the stage against a circuit simulator over whole grids, or follows
/// transformers without marking to the end.
pub fn study(arguments: &[String]) -> Result<()> {
    match arguments.split_first() {
        Some((what, rest)) if what == "transformers" => tapwright_tests("transformers", rest, &[]),
        _ => tapwright_tests("study", arguments, &[]),
    }
}

fn tapwright_tests(
    program: &str,
    arguments: &[String],
    variables: &[(&str, PathBuf)],
) -> Result<()> {
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
        .env("TAPWRIGHT_TOOLS", places::tools())
        .envs(variables.iter().map(|(name, value)| (name, value)))
        .status()
        .context("cannot run cargo")?;
    ensure!(status.success(), "`{program}` did not finish.");
    Ok(())
}
