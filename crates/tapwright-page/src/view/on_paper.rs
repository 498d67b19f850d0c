//! What only the printed page has: the caution, what was typed, and the link.

use maud::{Markup, html};
use tapwright_core::link;
use tapwright_core::setup::{Field, Reads, Setup};

use super::title;
use crate::words::say::say;

/// The end of a printed leaf.
pub fn on_paper(setup: &Setup) -> Markup {
    let typed: Vec<Line> = setup
        .fields()
        .into_iter()
        .filter_map(|field| line(setup, field))
        .collect();
    html! {
        p {
            b { "Several hundred volts are in there, enough to kill, with the power off too." }
            " " "Discharge the filter capacitors and measure them. One hand, and never alone. Fuse and mains wiring as the transformer’s maker and local codes say."
        }
        h2 { (title(setup)) }
        div {
            table .shares {
                caption .unseen { "What was typed" }
                tbody {
                    @for line in typed {
                        tr { th scope="row" { (line.label) } td translate=[line.is_typed.then_some("no")] { (line.text) } }
                    }
                }
            }
        }
        p {
            (say!(
                "The link that brings it back, behind the page’s address: {link}",
                link = html! { code translate="no" { "#" (link::encode(setup)) } },
            ))
        }
    }
}

/// A field that holds something of its own.
struct Line {
    label: String,
    text: String,
    /// Whether the text stands as it was typed, and is no word of the page.
    is_typed: bool,
}

/// The line of a field; nothing for one that is empty or as it always is.
fn line(setup: &Setup, field: Field) -> Option<Line> {
    let row = field.row();
    let text = setup.text(field)?;
    if !setup.is_typed(field) || row.label.is_empty() {
        return None;
    }
    let text = match row.reads {
        Reads::Words(words, _) => {
            let said = words.iter().find(|(word, _)| *word == text);
            said.map_or(text, |(_, said)| said)
        }
        _ => text,
    };
    let label = match field.in_list() {
        Some((list, at)) if field.label() == row.label => {
            format!("{} {}: {}", list.about().key, at + 1, row.label)
        }
        _ => field.label(),
    };
    Some(Line {
        label,
        text: text.to_owned(),
        is_typed: !matches!(row.reads, Reads::Words(..)),
    })
}
