//! Which crate uses which, as cargo knows it.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// The product's crates, the lowest first. Each may use those before it.
const ORDER: [&str; 13] = [
    "tapwright-circuit",
    "tapwright-units",
    "tapwright-squares",
    "tapwright-tube",
    "tapwright-speaker",
    "tapwright-iron",
    "tapwright-stage",
    "tapwright-supply",
    "tapwright-amplifier",
    "tapwright-idle",
    "tapwright-core",
    "tapwright-page",
    "tapwright-fit",
];

/// Each crate of the product with each that it uses, for its tests and its build script too.
pub fn dependencies(root: &Path) -> Vec<(String, String)> {
    let output = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--no-deps",
            "--offline",
            "--format-version",
            "1",
        ])
        .current_dir(root)
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let found: Value = serde_json::from_slice(&output.stdout).expect("cargo writes JSON");
    let all = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    // Tools and tests of the whole product use what they like, and nothing uses them.
    let crates = all(&found["packages"]).into_iter();
    let crates = crates.filter(|package| !is_tool(package));
    crates
        .flat_map(|package| {
            let used = all(&package["dependencies"]).into_iter();
            // What has a path is of the workspace.
            let used = used.filter(|used| used["path"].is_string());
            let user = text(&package["name"]);
            used.map(move |used| (user.clone(), text(&used["name"])))
                .collect::<Vec<_>>()
        })
        .collect()
}

fn is_tool(package: &Value) -> bool {
    let manifest = package["manifest_path"].as_str().unwrap_or_default();
    manifest.contains("/tests/") || manifest.contains("/xtask/")
}

/// What is wrong with who uses whom, one sentence for each.
pub fn against_the_order(uses: &[(String, String)]) -> Vec<String> {
    let place = |name: &str| ORDER.iter().position(|crate_name| *crate_name == name);
    let wrong = uses
        .iter()
        .filter_map(|(user, used)| match (place(user), place(used)) {
            (Some(user), Some(used)) if used < user => None,
            (Some(_), Some(_)) => Some(format!("{user} uses {used}, which is not below it")),
            _ => Some(format!(
                "{user} uses {used}: one of them has no place in the order"
            )),
        });
    wrong.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arrow_that_points_up_is_found() {
        let uses = |pairs: &[(&str, &str)]| -> Vec<(String, String)> {
            let owned = pairs.iter();
            owned.map(|(a, b)| ((*a).into(), (*b).into())).collect()
        };
        assert!(against_the_order(&uses(&[("tapwright-core", "tapwright-tube")])).is_empty());
        assert_eq!(
            against_the_order(&uses(&[
                ("tapwright-tube", "tapwright-core"),
                ("tapwright-new", "tapwright-core"),
            ])),
            [
                "tapwright-tube uses tapwright-core, which is not below it",
                "tapwright-new uses tapwright-core: one of them has no place in the order",
            ]
        );
    }
}
