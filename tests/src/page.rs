//! The finished page, as a file on disk.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::SystemTime;

use anyhow::{Context, Result, ensure};
use tempfile::TempDir;

use crate::tools::{root, target};

/// Where the finished page is, or why it cannot be tested.
///
/// `cargo xtask test` has just built it and says so in `TAPWRIGHT_PAGE`. In a
/// plain `cargo test` it may be missing, or older than what it was built from,
/// and then a test of it would prove nothing.
pub fn file() -> Result<PathBuf, String> {
    // Asked once: sources that change during a run make no difference to it.
    static FILE: OnceLock<Result<PathBuf, String>> = OnceLock::new();
    FILE.get_or_init(look).clone()
}

fn look() -> Result<PathBuf, String> {
    if let Some(file) = std::env::var_os("TAPWRIGHT_PAGE") {
        return Ok(PathBuf::from(file));
    }
    let file = target().join("tapwright").join("tapwright.html");
    match is_fresh(&file) {
        Some(true) => Ok(file),
        Some(false) => Err("the page is older than its sources: run `cargo xtask page`".into()),
        None => Err("the page is not built: run `cargo xtask page`".into()),
    }
}

/// Whether a built file is as new as what it was built from; `None` where there is none.
pub fn is_fresh(file: &Path) -> Option<bool> {
    let built = fs::metadata(file).and_then(|data| data.modified()).ok()?;
    let crates = fs::read_dir(root().join("crates")).ok()?;
    // Not their tests, which the page is not built from.
    let mut sources = crates.flatten().map(|folder| folder.path().join("src"));
    let is_older = |folder: PathBuf| newest(&folder) > Some(built);
    Some(!sources.any(is_older) && !is_older(root().join("web")))
}

fn newest(path: &Path) -> Option<SystemTime> {
    if path.is_dir() {
        let entries = fs::read_dir(path).ok()?;
        entries.flatten().filter_map(|e| newest(&e.path())).max()
    } else {
        fs::metadata(path).and_then(|data| data.modified()).ok()
    }
}

/// The address of a file, as a browser shows it when the file is opened.
pub fn url(file: &Path) -> String {
    let path = file.display().to_string().replace('\\', "/");
    let path = path
        .replace('%', "%25")
        .replace(' ', "%20")
        .replace('#', "%23");
    format!(
        "file://{}{path}",
        if path.starts_with('/') { "" } else { "/" }
    )
}

/// A copy of the page with its policy taken out: proof that what the policy
/// stops would have gone through.
pub fn without_policy(file: &Path) -> Result<(TempDir, PathBuf)> {
    copy(&open_page(file)?)
}

/// A copy of the page for a browser without `feature`, a property of the global object.
pub fn without_feature(file: &Path, feature: &str) -> Result<(TempDir, PathBuf)> {
    after_script(file, &format!("delete globalThis.{feature};"))
}

/// A copy of the page that runs a script first, for a browser that is to differ from this one.
pub fn after_script(file: &Path, script: &str) -> Result<(TempDir, PathBuf)> {
    // The policy would stop this script too.
    let page = open_page(file)?;
    let head = format!("<head><script>{script}</script>");
    let altered = page.replacen("<head>", &head, 1);
    ensure!(altered != page, "the page has no head");
    copy(&altered)
}

/// The text of the page less its policy.
fn open_page(file: &Path) -> Result<String> {
    let page = fs::read_to_string(file)?;
    let start = page
        .find("<meta http-equiv=\"Content-Security-Policy\"")
        .context("the page has no policy")?;
    let end = start + page[start..].find('>').context("the policy has no end")? + 1;
    let open = [&page[..start], &page[end..]].concat();
    ensure!(
        !open.contains("Content-Security-Policy"),
        "the page has two policies"
    );
    Ok(open)
}

fn copy(page: &str) -> Result<(TempDir, PathBuf)> {
    let folder = tempfile::tempdir()?;
    let copy = folder.path().join("altered.html");
    fs::write(&copy, page)?;
    Ok((folder, copy))
}
