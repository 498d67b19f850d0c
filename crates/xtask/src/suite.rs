//! `cargo xtask test`: every check, one after the other, and one line at the
//! end that says how many passed, failed and were skipped.

use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::tally::Tally;
use crate::{page, places, site, tools};

const WASM: [&str; 4] = [
    "--package",
    "tapwright-page",
    "--target",
    "wasm32-unknown-unknown",
];

/// Runs everything. Fails when anything did.
pub fn run(arguments: &[String]) -> Result<()> {
    if let Some(argument) = arguments.first() {
        bail!("`cargo xtask test` knows no `{argument}`; for one test use `cargo test`");
    }
    tools::ensure();
    let mut tally = Tally::default();

    heading("format");
    let formatted = cargo(&["fmt", "--all", "--check"]).status();
    tally.check("cargo fmt", formatted.is_ok_and(|s| s.success()));

    heading("lints");
    let strict = ["--", "--deny", "warnings"];
    let native = cargo(&["clippy", "--workspace", "--all-targets"])
        .args(strict)
        .status();
    tally.check("cargo clippy", native.is_ok_and(|s| s.success()));
    let wasm = cargo(&["clippy"]).args(WASM).args(strict).status();
    tally.check("cargo clippy for wasm", wasm.is_ok_and(|s| s.success()));

    heading("the page");
    match pages() {
        Ok(built) => {
            tally.check("cargo xtask page, and site", true);
            native_tests(&mut tally, &built)?;
        }
        Err(error) => {
            println!("{error:#}");
            tally.check("cargo xtask page, and site", false);
        }
    }
    close(&tally)
}

/// The page for a disk, and the folder for a host.
struct Built {
    page: PathBuf,
    site: PathBuf,
}

fn pages() -> Result<Built> {
    let parts = page::parts()?;
    let folder = site::folder();
    site::write(&parts, &folder)?;
    Ok(Built {
        page: page::write(&parts)?,
        site: folder,
    })
}

/// Unit, doc and property tests, and the tests of the finished page.
fn native_tests(tally: &mut Tally, built: &Built) -> Result<()> {
    heading("tests");
    let mut command = cargo(&["test", "--workspace", "--no-fail-fast"]);
    command
        .env("TAPWRIGHT_PAGE", &built.page)
        .env("TAPWRIGHT_SITE", &built.site)
        .env("TAPWRIGHT_TOOLS", places::tools());
    let (output, succeeded) = watch(&mut command)?;
    tally.step("cargo test", &output, succeeded);
    Ok(())
}

fn close(tally: &Tally) -> Result<()> {
    println!();
    for skipped in &tally.skipped {
        println!("skipped: {skipped}");
    }
    for failed in &tally.failed {
        println!("failed: {failed}");
    }
    println!("{}", tally.line());
    std::io::stdout().flush()?;
    if tally.failed.is_empty() {
        Ok(())
    } else {
        // The line above is the last one: nothing more is said.
        std::process::exit(1)
    }
}

fn heading(words: &str) {
    println!("\n== {words}");
}

fn cargo(arguments: &[&str]) -> Command {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(program);
    command
        .args(arguments)
        .current_dir(places::root())
        .env("CARGO_TARGET_DIR", places::target())
        .stdin(Stdio::null());
    command
}

/// Runs a command, shows what it prints as it comes, and gives it back.
fn watch(command: &mut Command) -> Result<(String, bool)> {
    let mut child = command
        .stdout(Stdio::piped())
        .spawn()
        .context("cannot run cargo")?;
    let mut seen = String::new();
    if let Some(output) = child.stdout.take() {
        for line in BufReader::new(output).split(b'\n') {
            let line = String::from_utf8_lossy(&line?).into_owned();
            println!("{line}");
            seen.push_str(&line);
            seen.push('\n');
        }
    }
    Ok((seen, child.wait()?.success()))
}
