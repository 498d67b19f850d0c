//! The accessibility checker axe-core, run inside the page.

use std::fs;

use anyhow::{Context, Result};
use serde_json::Value;

use crate::browser::Browser;
use crate::tools::tools;

/// Puts the checker into the page, runs it, and gives each violation in words.
pub fn violations(browser: &Browser) -> Result<Vec<String>> {
    let checker = fs::read_to_string(script()).context("cannot read axe-core")?;
    // A driver's script is not the page's: the policy does not stop it.
    browser.session().run(&checker, &[])?;
    let results = browser.session().run_async(
        "const done = arguments[arguments.length - 1];
         axe.run(document, { resultTypes: ['violations'] }).then(
           (results) => done({ violations: results.violations, passes: results.passes.length }),
           (error) => done({ error: String(error) }),
         );",
        &[],
    )?;
    anyhow::ensure!(results["error"].is_null(), "axe-core: {}", results["error"]);
    anyhow::ensure!(
        results["passes"].as_u64() > Some(0),
        "axe-core checked nothing"
    );
    let found = results["violations"]
        .as_array()
        .context("no results came")?;
    Ok(found.iter().map(words).collect())
}

/// Whether the checker is there, or why not.
pub fn available() -> Result<(), String> {
    if script().is_file() {
        Ok(())
    } else {
        Err("axe-core is not installed: `cargo xtask test` fetches it with npm".into())
    }
}

fn script() -> std::path::PathBuf {
    tools().join("node/node_modules/axe-core/axe.min.js")
}

fn words(violation: &Value) -> String {
    let nodes = violation["nodes"].as_array().map_or(&[][..], Vec::as_slice);
    let places: Vec<&str> = nodes
        .iter()
        .take(5)
        .filter_map(|node| node["html"].as_str())
        .collect();
    format!(
        "{} ({} places): {}: {}",
        violation["id"].as_str().unwrap_or("?"),
        nodes.len(),
        violation["help"].as_str().unwrap_or("?"),
        places.join(" | ")
    )
}
