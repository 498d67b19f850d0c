//! Follows a thousand transformers without marking by what the page asks for, and writes down how
//! they end.
//!
//! With a number it follows the one that the number draws, and prints all of it.

use std::fs;

use anyhow::{Context, Result, ensure};
use tapwright_tests::tools::{commit, root};
use tapwright_tests::transformers::{follow, studied, tally};

fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let [seed] = arguments.as_slice() {
        return one(seed
            .parse()
            .context("a transformer is drawn by a whole number")?);
    }
    ensure!(arguments.is_empty(), "one number, or nothing, is expected");
    let commit = commit()?;
    let tally = tally(studied())?;
    let text = format!(
        "# Transformers without marking\n\n\
         Written by `cargo xtask study transformers` at commit {commit}. The suite runs a tenth of it, \
         and one more transformer drawn by the date. Each is drawn at random and read as a person \
         reads it first: from a centre tap or from a common lead, half of the readings missing, some \
         on too high a range. From there on what the page asks for under Next is read, until it asks \
         no more. The meters err within what hand meters state; one in four errs anew at every \
         reading.\n\n{tally}"
    );
    let file = root().join("tests").join("TRANSFORMERS.md");
    fs::write(&file, text)?;
    println!("{tally}\n{}", file.display());
    let failures = tally.failures();
    ensure!(failures.is_empty(), "{}", failures.join("\n"));
    Ok(())
}

fn one(seed: u64) -> Result<()> {
    let followed = follow(seed)?;
    println!("{followed:#?}");
    ensure!(followed.lies.is_empty(), "{}", followed.lies.join("\n"));
    Ok(())
}
