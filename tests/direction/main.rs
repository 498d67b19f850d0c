//! Crates use only those below them, no module uses one that uses it, and the page's sentences
//! stand whole.
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
mod sentences;
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

/// Fewer sentences with holes than the page has; with less found, this reads it wrong.
const SENTENCES: usize = 100;

#[test]
fn sentences_of_the_page_stand_whole() {
    let found = sentences::sentences(&root().join("crates/tapwright-page/src"));
    assert!(
        found.whole > SENTENCES,
        "only {} whole sentences",
        found.whole
    );
    assert!(
        found.fragments.is_empty(),
        "fragments of sentences, to be said whole by `say!`:\n{}",
        found.fragments.join("\n")
    );
}
