//! Finds the programs that the tests need beside Rust.
//!
//! `cargo xtask test` installs them; a test whose tool is missing says so.

use std::path::{Path, PathBuf};

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
pub fn find(names: &[&str]) -> Result<PathBuf, String> {
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
