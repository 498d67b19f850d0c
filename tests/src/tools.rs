//! Finds the programs that the tests need beside Rust.
//!
//! `cargo xtask test` installs them; a test whose tool is missing says so.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};

/// The workspace's folder.
pub fn root() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    own.parent().unwrap_or(own).to_path_buf()
}

/// Cargo's target folder.
pub fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(folder) => root().join(folder),
        None => root().join("target"),
    }
}

/// Where `cargo xtask test` puts tools that the system does not package.
pub fn tools() -> PathBuf {
    match std::env::var_os("TAPWRIGHT_TOOLS") {
        Some(folder) => PathBuf::from(folder),
        None => target().join("tools"),
    }
}

/// The first of `names` that is installed, or which one to install.
pub fn find(names: &[&str]) -> std::result::Result<PathBuf, String> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let folders: Vec<PathBuf> = std::iter::once(tools().join("bin"))
        .chain(std::env::split_paths(&path))
        .collect();
    names
        .iter()
        .flat_map(|name| {
            let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
            folders.iter().map(move |folder| folder.join(&file))
        })
        .find(|file| file.is_file())
        .ok_or_else(|| format!("{} is not installed", names.join(" or ")))
}

/// The commit that is checked out, which a table belongs to only while nothing is changed.
///
/// # Errors
/// When something is changed, or git does not run.
pub fn commit() -> Result<String> {
    let git = |arguments: &[&str]| -> Result<String> {
        let output = Command::new("git")
            .args(arguments)
            .current_dir(root())
            .output()
            .context("cannot run git")?;
        ensure!(output.status.success(), "git {} fails", arguments.join(" "));
        Ok(String::from_utf8(output.stdout)?.trim().to_owned())
    };
    let changed = git(&["status", "--porcelain", "--untracked-files=no"])?;
    ensure!(
        changed.is_empty(),
        "commit first: the table names the commit that it belongs to\n{changed}"
    );
    git(&["rev-parse", "--short=10", "HEAD"])
}
