//! The folder for a static host, and further versions of it.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use sha2::{Digest, Sha256};
use tempfile::TempDir;

use crate::page;
use crate::tools::target;

/// Where the folder is, or why it cannot be tested.
pub fn folder() -> Result<PathBuf, String> {
    if let Some(folder) = std::env::var_os("TAPWRIGHT_SITE") {
        return Ok(PathBuf::from(folder));
    }
    let folder = target().join("tapwright").join("site");
    match page::is_fresh(&folder.join("worker.js")) {
        Some(true) => Ok(folder),
        Some(false) => Err("the site is older than its sources: run `cargo xtask site`".into()),
        None => Err("the site is not built: run `cargo xtask site`".into()),
    }
}

/// A copy of the folder.
pub fn copy(folder: &Path) -> Result<TempDir> {
    let copy = tempfile::tempdir()?;
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        fs::copy(entry.path(), copy.path().join(entry.file_name()))?;
    }
    Ok(copy)
}

/// A copy of the folder as another version, whose page says so in the root of its document:
/// `data-edition` is `name`.
pub fn another(folder: &Path, name: &str) -> Result<TempDir> {
    let copy = copy(folder)?;
    let [page, worker] = ["index.html", "worker.js"].map(|file| copy.path().join(file));
    let old = fs::read_to_string(&page)?;
    let kept = fs::read_to_string(&worker)?;
    let version = (kept.split_once("const version = \""))
        .and_then(|(_, rest)| Some(rest.split_once('"')?.0))
        .context("the worker has no version")?;
    let new = old
        .replacen("<html ", &format!("<html data-edition=\"{name}\" "), 1)
        .replacen(version, name, 1);
    let [before, after] = [&old, &new].map(|page| hash(page));
    ensure!(kept.contains(&before), "the worker does not know the page");
    let changed = kept.replace(version, name).replace(&before, &after);
    fs::write(&page, new)?;
    fs::write(&worker, changed)?;
    Ok(copy)
}

fn hash(text: &str) -> String {
    let digest = Sha256::digest(text);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}
