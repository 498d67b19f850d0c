//! The TypeScript declaration of a set-up follows from the table of fields.

use std::fmt::Write;
use std::path::Path;

use serde_json::{Map, Value};
use strum::VariantArray;
use tapwright_core::setup::{Field, List, Reads, Setup, SortBy};

/// The keys in which there is no field of the table.
const POINTED_AT: [(&str, &str, &str); 3] = [
    (
        "pinned",
        "The set-up that is pinned as A, as a link.",
        "null | string",
    ),
    (
        "selected",
        "The hookup or the connection that is followed, by places from 0.",
        "null | { hookup: number } | { connection: Choice }",
    ),
    (
        "unknown",
        "Pieces of a link that no field takes, kept as they stood there.",
        "string[]",
    ),
];

/// A field, and the keys on the way to it. A row of a list counts as no key.
struct Leaf {
    field: Field,
    keys: Vec<String>,
}

/// A set-up with one row in each list, as JSON, and where its fields stand in that.
fn leaves() -> (Value, Vec<Leaf>) {
    let mut setup = Setup::default();
    for list in List::VARIANTS {
        if setup.rows(*list) == 0 {
            setup.add_row(*list);
        }
    }
    let json = |setup: &Setup| serde_json::to_value(setup).expect("JSON");
    let plain = json(&setup);
    let leaf = |field: Field| {
        let mut typed = setup.clone();
        let text = match field.row().reads {
            Reads::Words(words, _) => words.last().expect("a word").0,
            _ => "something",
        };
        assert!(typed.set(field, text), "{field}");
        let mut keys = Vec::new();
        way_to_difference(&plain, &json(&typed), &mut keys);
        Leaf { field, keys }
    };
    let leaves = setup.fields().into_iter().map(leaf).collect();
    (plain, leaves)
}

fn way_to_difference(one: &Value, other: &Value, keys: &mut Vec<String>) {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            let mut differ = one.iter().filter(|(key, value)| other[*key] != **value);
            let (key, value) = differ.next().expect("a difference");
            assert!(
                differ.next().is_none(),
                "a field changes more than its text"
            );
            keys.push(key.clone());
            way_to_difference(value, &other[key], keys);
        }
        (Value::Array(one), Value::Array(other)) => way_to_difference(&one[0], &other[0], keys),
        _ => {}
    }
}

fn declaration() -> String {
    let (json, leaves) = leaves();
    let mut text = String::from(
        "/** What is typed. Everything may be left out. This follows from the table of fields. */\n\
         export interface Setup {\n",
    );
    let Value::Object(keys) = &json else {
        panic!("{json}");
    };
    declare(&mut text, &leaves, keys, &mut Vec::new());
    text.push_str("}\n");
    text
}

/// Declares the keys of an object, in the order of the table, at the end of a way.
fn declare(text: &mut String, leaves: &[Leaf], object: &Map<String, Value>, way: &mut Vec<String>) {
    let place = |way: &[String], key: &str| {
        let here = |leaf: &Leaf| leaf.keys.starts_with(way) && leaf.keys[way.len()] == key;
        leaves.iter().position(here)
    };
    let mut keys: Vec<&String> = object.keys().collect();
    keys.sort_by_key(|key| place(way, key).unwrap_or(leaves.len()));
    for key in keys {
        let indent = "  ".repeat(way.len() + 1);
        let leaf = place(way, key).map(|place| &leaves[place]);
        way.push(key.clone());
        match (leaf, &object[key]) {
            (Some(leaf), Value::Object(inner)) => {
                let _ = writeln!(text, "{indent}{key}: {{");
                declare(text, leaves, inner, way);
                let _ = writeln!(text, "{indent}}};");
                assert!(leaf.keys.len() > way.len());
            }
            (Some(leaf), Value::Array(rows)) => {
                let (list, _) = leaf.field.in_list().expect("a list");
                say(text, &indent, list.about().what);
                let _ = writeln!(text, "{indent}{key}: {{");
                declare(text, leaves, rows[0].as_object().expect("a row"), way);
                let _ = writeln!(text, "{indent}}}[];");
            }
            (Some(leaf), _) => {
                say(text, &indent, leaf.field.row().what);
                let _ = writeln!(text, "{indent}{key}: {};", kind(leaf.field));
            }
            (None, _) if key == "shown" => {
                say(
                    text,
                    &indent,
                    "The leaf in sight, and how the connections are shown; one hookup only, by its place from 0.",
                );
                let sort = quoted(SortBy::VARIANTS.iter().map(<&str>::from));
                let leaf = quoted(
                    tapwright_core::setup::Leaf::VARIANTS
                        .iter()
                        .map(<&str>::from),
                );
                let _ = writeln!(
                    text,
                    "{indent}shown: {{ leaf: {leaf}; list: boolean; sort: {sort}; only: number | null }};"
                );
            }
            (None, _) => {
                let known = POINTED_AT.iter().find(|(name, ..)| name == key);
                let (_, what, kind) = known.unwrap_or_else(|| panic!("{key} is no field"));
                say(text, &indent, what);
                let _ = writeln!(text, "{indent}{key}: {kind};");
            }
        }
        way.pop();
    }
}

fn say(text: &mut String, indent: &str, what: &str) {
    let _ = writeln!(text, "{indent}/** {} */", what.trim());
}

fn kind(field: Field) -> String {
    match field.row().reads {
        Reads::Words(words, _) => quoted(words.iter().map(|(word, _)| *word)),
        _ => "string".into(),
    }
}

fn quoted<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<String> = words.into_iter().map(|word| format!("{word:?}")).collect();
    words.join(" | ")
}

/// With `WRITE_TABLE=1` the file is written instead.
#[test]
fn a_set_up_is_declared_as_the_table_has_it() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/setup.d.ts");
    let declaration = declaration();
    if std::env::var_os("WRITE_TABLE").is_some() {
        std::fs::write(&file, &declaration).expect("written");
    }
    let declared = std::fs::read_to_string(&file).unwrap_or_default();
    assert_eq!(
        declared, declaration,
        "the table of fields has changed: WRITE_TABLE=1 cargo test writes what follows from it"
    );
}
