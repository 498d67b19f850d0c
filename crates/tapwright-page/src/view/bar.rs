//! The bar at the top: what can be done with the set-up, and what there is to tell.

use maud::{Markup, html};
use tapwright_core::examples::EXAMPLES;

use super::{Notice, Scene};
use crate::action::Action;

/// Whether this is an example.
pub(super) fn standing(scene: &Scene) -> Markup {
    html! {
        @if scene.is_example() { span .example { "example, invented values" } }
    }
}

pub(super) fn acts(scene: &Scene) -> Markup {
    let (undo, redo) = scene.history;
    html! {
            button type="button" #undo data-do=(Action::Undo) disabled[!undo] { "Undo" }
            button type="button" #redo data-do=(Action::Redo) disabled[!redo] { "Redo" }
            details .menu data-open="examples" {
                summary { "Examples" }
                ul {
                    @for (index, example) in EXAMPLES.iter().enumerate() {
                        li {
                            button type="button" data-do=(Action::Example(index)) {
                                b { (example.name) }
                                span { (example.shows) }
                            }
                        }
                    }
                }
            }
            button type="button" data-do=(Action::Blank) { "Start blank" }
            button type="button" .main #copy-link data-do=(Action::CopyLink) { "Copy link" }
    }
}

pub(super) fn notices(scene: &Scene) -> Markup {
    html! {
        @for notice in scene.notices {
            @match notice {
                Notice::LinkTrouble(troubles) => {
                    div .notice {
                        p { "Parts of this link could not be read; everything else is here." }
                        ul { @for trouble in troubles { li { (trouble) } } }
                        button type="button" data-do=(Action::Dismiss) { "Understood" }
                    }
                }
                Notice::BringBack(title) => {
                    div .notice {
                        p {
                            "You were working on "
                            @if title.is_empty() { "something" } @else { "“" (title) "”" }
                            " when this page was last closed."
                        }
                        button type="button" data-do=(Action::BringBack) { "Bring it back" }
                        button type="button" data-do=(Action::Dismiss) { "Not now" }
                    }
                }
                Notice::File(_, name, what) => {
                    div .notice {
                        p { b { (name) } " " (what) }
                        button type="button" data-do=(Action::Dismiss) { "Understood" }
                    }
                }
                Notice::Copied => p .notice.brief { "Link copied: it holds everything typed here." },
                Notice::NotCopied => p .notice.brief { "This browser does not let a page copy: the link is in the address bar." },
            }
        }
    }
}
