//! The README's table of keys follows from the table of fields.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use std::fmt::Write;
use std::path::Path;

use strum::VariantArray;
use tapwright_core::link;
use tapwright_core::setup::{Leaf, List, Place, Row, Setup, SortBy, Written};

const HEADING: &str = "| key | holds | example |\n|---|---|---|\n";

/// What a text looks like in a link.
fn escaped(text: &str) -> String {
    let setup = Setup {
        name: text.into(),
        ..Setup::default()
    };
    link::encode(&setup).replace("v=1&name=", "")
}

/// The first of the examples that a row has.
fn example(row: &Row) -> String {
    let examples = row.example.replace("; or", ", or");
    escaped(examples.split(", or").next().expect("an example"))
}

fn what(text: &str) -> &str {
    text.trim().trim_end_matches('.')
}

/// What a row of a list holds, field by field.
fn parts(list: List) -> String {
    let fields = list.fields(0).into_iter();
    let parts: Vec<&str> = fields.map(|field| what(field.row().what)).collect();
    parts.join(". ")
}

fn examples(list: List) -> Vec<String> {
    let fields = list.fields(0).into_iter();
    fields.map(|field| example(field.row())).collect()
}

fn table() -> String {
    let mut table = String::from(HEADING);
    let mut line = |key: &str, what: &str, example: &str| {
        let _ = writeln!(table, "| `{key}` | {what} | `{example}` |");
    };
    line("v", "Version of the link, always 1", "v=1");
    for place in Place::all() {
        match *place {
            Place::Field(field) => {
                let (row, key) = (field.row(), field.row().link_key());
                line(key, what(row.what), &format!("{key}={}", example(row)));
            }
            Place::List(list) => {
                let about = list.about();
                let (key, is) = (about.key, what(about.what));
                let each = format!("{is}, once for each");
                match about.written {
                    Written::Values => {
                        let what = format!("{each}; its values behind commas. {}", parts(list));
                        line(key, &what, &format!("{key}={}", examples(list).join(",")));
                    }
                    Written::Hookup => {
                        let what = format!("{each}, as `name:speakers@rating`. {}", parts(list));
                        let written = examples(list);
                        let [name, speakers, rating] = written.as_slice() else {
                            panic!("{written:?}");
                        };
                        line(key, &what, &format!("{key}={name}:{speakers}@{rating}"));
                    }
                    Written::Keys => {
                        for (place, field) in list.fields(0).into_iter().enumerate() {
                            let (key, row) = (field.to_string(), field.row());
                            let what = match place {
                                0 => format!("{is}, numbered from 1. {}", what(row.what)),
                                _ => what(row.what).to_owned(),
                            };
                            line(&key, &what, &format!("{key}={}", example(row)));
                        }
                    }
                }
            }
        }
    }
    let sorts: Vec<&str> = SortBy::VARIANTS.iter().map(Into::into).collect();
    let sorts = format!("Order of the list: `{}`", sorts.join("`, `"));
    line(
        "selected",
        "A hookup by its place, or a connection: lead, tap or tap-tap, hookup",
        "selected=1,1-3,2",
    );
    let leaves: Vec<&str> = Leaf::VARIANTS.iter().map(Into::into).collect();
    let leaves = format!(
        "The leaf in sight: `{}`; by default connections",
        leaves.join("`, `")
    );
    line("leaf", &leaves, "leaf=tube");
    line("view", "`grids` (default) or `list`", "view=list");
    line("sort", &sorts, "sort=load");
    line("only", "Show only the hookup at this place", "only=2");
    line(
        "pinned",
        "What is pinned as A: a link of its own, escaped once more",
        "pinned=v%3D1%26primary%3D8k",
    );
    table
}

/// With `WRITE_TABLE=1` the table is written instead.
#[test]
fn the_readme_has_the_table_of_keys() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../README.md");
    let readme = std::fs::read_to_string(&file).expect("a README");
    let (before, rest) = readme.split_once(HEADING).expect("a table of keys");
    let (_, after) = rest.split_once("\n\n").expect("text after the table");
    let right = format!("{before}{}\n{after}", table());
    if std::env::var_os("WRITE_TABLE").is_some() {
        std::fs::write(&file, right).expect("written");
    } else {
        assert!(
            readme == right,
            "the table of fields has changed: WRITE_TABLE=1 cargo test writes what follows from it"
        );
    }
}

/// What the README shows of each key is read as that field, and nothing else.
#[test]
fn every_example_of_the_readme_is_understood() {
    for row in table().lines().skip(2) {
        let example = row.rsplit('`').nth(1).expect("an example");
        let parsed = link::parse(example);
        assert!(
            parsed.troubles.is_empty(),
            "{example}: {:?}",
            parsed.troubles
        );
        assert_eq!(parsed.understood, 1, "{example}");
        if example != "v=1" {
            let again = link::encode(&parsed.setup);
            assert!(
                again.ends_with(&format!("&{example}")),
                "{example}: {again}"
            );
        }
    }
}
