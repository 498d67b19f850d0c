//! Where things are: the workspace and what is built under it.

use std::path::{Path, PathBuf};

/// The folder that holds the workspace's `Cargo.toml`.
pub fn root() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    own.ancestors().nth(2).unwrap_or(own).to_path_buf()
}

/// Cargo's target folder: what `CARGO_TARGET_DIR` says, else `target/`.
pub fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(folder) => root().join(folder),
        None => root().join("target"),
    }
}

/// The folder that the finished page is written to.
pub fn output() -> PathBuf {
    target().join("tapwright")
}

/// The folder for tools that Debian does not package.
pub fn tools() -> PathBuf {
    target().join("tools")
}
