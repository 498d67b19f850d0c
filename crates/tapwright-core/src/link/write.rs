//! A set-up as a link.

use std::fmt::Write;

use super::VERSION;
use super::percent::{escaped, escaped_in_row};
use crate::setup::{DriverText, Field, HookupText, Leaf, List, Place, Setup, SortBy, Written};

/// Whether one of these pieces has this key.
fn stands_in(pieces: &[String], key: &str) -> bool {
    let mut keys = pieces.iter().map(|piece| piece.split('=').next());
    keys.any(|found| found == Some(key))
}

/// Writes the fragment, without its `#`.
///
/// ```
/// use tapwright_core::{link, setup::Setup};
/// let setup = Setup { taps: "4, 8".into(), ..Setup::default() };
/// assert_eq!(link::encode(&setup), "v=1&taps=4,%208");
/// assert_eq!(link::parse(&link::encode(&setup)).setup, setup);
/// ```
pub fn encode(setup: &Setup) -> String {
    let default = Setup::default();
    let mut link = format!("v={VERSION}");
    for place in Place::all() {
        match *place {
            Place::Field(field) => {
                let (typed, key) = (setup.text(field), field.row().link_key());
                // A second value that was not taken would be, if the first did not stand there.
                if typed != default.text(field) || stands_in(&setup.unknown, key) {
                    push(&mut link, key, typed);
                }
            }
            // One hookup with nothing in it is what every set-up begins with.
            Place::List(List::Hookup) if setup.hookups == default.hookups => {}
            Place::List(list) => {
                for at in 0..setup.rows(list) {
                    push_row(&mut link, setup, list, at);
                }
            }
        }
    }
    if let Some(selection) = setup.selected {
        let _ = write!(link, "&selected={selection}");
    }
    if setup.shown.leaf != Leaf::default() {
        push(&mut link, "leaf", Some(setup.shown.leaf.into()));
    }
    if setup.shown.list {
        link.push_str("&view=list");
    }
    if setup.shown.sort != SortBy::default() {
        push(&mut link, "sort", Some(setup.shown.sort.into()));
    }
    if let Some(at) = setup.shown.only {
        let _ = write!(link, "&only={}", at + 1);
    }
    if let Some(pinned) = &setup.pinned {
        push(&mut link, "pinned", Some(pinned));
    }
    for piece in &setup.unknown {
        link.push('&');
        link.push_str(piece);
    }
    link
}

fn push(link: &mut String, key: &str, text: Option<&str>) {
    let _ = write!(link, "&{key}={}", escaped(text.unwrap_or_default()));
}

fn push_row(link: &mut String, setup: &Setup, list: List, at: usize) {
    let about = list.about();
    match about.written {
        Written::Values => {
            let _ = write!(link, "&{}={}", about.key, values(setup, list, at));
        }
        Written::Hookup => {
            let _ = write!(link, "&{}={}", about.key, hookup(setup, at));
        }
        Written::Keys => {
            for field in list.fields(at) {
                let typed = setup.text(field).filter(|text| !text.is_empty());
                // Its name always, so that a speaker of which nothing is typed yet is one.
                if typed.is_some() || field == Field::Driver(at, DriverText::Called) {
                    push(link, &field.to_string(), typed);
                }
            }
        }
    }
}

/// The values of a row behind commas; empty ones at the end are left out.
fn values(setup: &Setup, list: List, at: usize) -> String {
    let fields = list.fields(at).into_iter();
    let mut values: Vec<String> = fields
        .map(|field| escaped_in_row(setup.text(field).unwrap_or_default()))
        .collect();
    while values.last().is_some_and(String::is_empty) {
        values.pop();
    }
    values.join(",")
}

/// `name:speakers@rating`.
fn hookup(setup: &Setup, at: usize) -> String {
    let part = |text| escaped(setup.text(Field::Hookup(at, text)).unwrap_or_default());
    let mut written = part(HookupText::Name);
    if !written.is_empty() {
        written.push(':');
    }
    written.push_str(&part(HookupText::Speakers));
    let rating = part(HookupText::Rating);
    if !rating.is_empty() {
        written.push('@');
        written.push_str(&rating);
    }
    written
}
