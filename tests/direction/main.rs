//! Crates use only those below them, and no module uses one that uses it.
//!
//! The compiler refuses crates that use each other. Within a crate nothing refuses modules that
//! do, so this reads the source.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod crates;
mod graph;
mod source;

use std::path::{Path, PathBuf};

/// The crates whose modules go in one direction.
const CRATES: [&str; 9] = [
    "tapwright-circuit",
    "tapwright-amplifier",
    "tapwright-idle",
    "tapwright-units",
    "tapwright-tube",
    "tapwright-speaker",
    "tapwright-iron",
    "tapwright-core",
    "tapwright-page",
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

#[test]
fn no_module_uses_one_that_uses_it() {
    for name in CRATES {
        let graph = source::modules(&root().join("crates").join(name).join("src"));
        assert!(graph.edges() > 0, "{name}: no module uses another");
        if let Some(circle) = graph.circle() {
            panic!("modules of {name} use each other: {circle}");
        }
    }
}

#[test]
fn crates_use_only_those_below_them() {
    let found = crates::dependencies(&root());
    assert!(found.len() > 20, "hardly any crate uses another: {found:?}");
    let wrong = crates::against_the_order(&found);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
