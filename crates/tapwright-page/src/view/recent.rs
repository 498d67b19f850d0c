//! The recent set-ups of this device, by name and date with their answer in brief.

use maud::{Markup, html};

use super::Scene;
use crate::action::Action;
use crate::words::say::say;

/// The list, where it is open.
pub(super) fn recent(scene: &Scene) -> Markup {
    let Some(recent) = scene.recent else {
        return html! {};
    };
    html! {
        div .titled {
            h2 { "Recent set-ups" }
            span .acts {
                @if !recent.is_empty() {
                    button type="button" #save-all data-do=(Action::SaveAll) { "Save all as one file" }
                }
                (open_file())
                button type="button" #recent-close data-do=(Action::Recent) { "Close" }
            }
        }
        @if recent.is_empty() {
            p .hint { "Nothing is kept here yet: what you type is, and what a file of several set-ups brings." }
        } @else {
            p .hint {
                (say!(
                    "They are kept by this browser on this device, and go nowhere. The last {most} stay.",
                    most = crate::recent::MOST,
                ))
            }
        }
        ul {
            @for (place, one) in recent.iter().enumerate() {
                @let name = super::name(&one.setup);
                @let name = if name.is_empty() { "Without a name" } else { &*name };
                li {
                    button type="button" .what data-do=(Action::OpenRecent(place)) {
                        b { (name) }
                        @if !one.answer.is_empty() { span { (one.answer) } }
                    }
                    span .when { (one.when.get(..16).unwrap_or(&one.when)) }
                    span .acts {
                        button type="button" data-do=(Action::CopyRecent(place)) aria-label=(say!("Copy the link of {name}", name = name)) { "Copy" }
                        button type="button" data-do=(Action::DeleteRecent(place)) aria-label=(say!("Delete {name}", name = name)) { "Delete" }
                    }
                }
            }
        }
    }
}

/// The way to a file of set-ups.
pub(super) fn open_file() -> Markup {
    html! {
        label .file { "Open a file" " " input type="file" data-file="set-up" accept=".txt,text/plain"; }
    }
}
