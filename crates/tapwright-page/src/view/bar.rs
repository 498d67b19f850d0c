//! The bar at the top: what can be done with the set-up, and what there is to tell.

use maud::{Markup, html};
use tapwright_core::examples::EXAMPLES;

use super::{Notice, Scene};
use crate::action::Action;

/// The key of the menu.
pub const MENU: &str = "menu";

/// Whether this is an example, and the way out of it.
pub(super) fn standing(scene: &Scene) -> Markup {
    html! {
        @if scene.is_example() {
            span .example { "example, invented values" }
            button type="button" .plain data-do=(Action::Blank) { "Start blank" }
        }
    }
}

/// What can be done with the set-up. On a narrow page all but undo is in one menu.
pub(super) fn acts(scene: &Scene) -> Markup {
    let (undo, redo) = scene.history;
    html! {
        button type="button" #undo data-do=(Action::Undo) disabled[!undo] aria-label="Undo" {
            @if scene.wide { "Undo" } @else { "↶" }
        }
        @if scene.wide {
            button type="button" #redo data-do=(Action::Redo) disabled[!redo] { "Redo" }
        }
        details .menu data-open=(MENU) {
            summary { @if scene.wide { "Open" } @else { "Menu" } }
            ul {
                @if !scene.wide {
                    li { button type="button" #redo data-do=(Action::Redo) disabled[!redo] { b { "Redo" } } }
                    li { (pin(scene)) }
                    li { (copy(scene)) }
                }
                li { button type="button" data-do=(Action::Blank) { b { "Start blank" } span { "nothing typed; undo brings this back" } } }
                li {
                    form #open-link data-link="open" {
                        label for="open-text" { "Open a link" }
                        input #open-text type="text" placeholder="address or copied text"
                            aria-describedby="echo-open" autocomplete="off" autocapitalize="off"
                            spellcheck="false" enterkeyhint="go";
                        button type="submit" { "Open" }
                        p .echo #echo-open role="status" {}
                    }
                }
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
        @if scene.wide {
            (pin(scene))
            (copy(scene))
        }
    }
}

/// What is wrong with the text that was to be opened as a link.
pub(super) fn no_link(scene: &Scene) -> Markup {
    html! {
        @if let Some(why) = scene.no_link { span .bad { (why) } }
    }
}

/// Copies the address; from a disk, where that works nowhere else, the set-up as text.
fn copy(scene: &Scene) -> Markup {
    html! {
        button type="button" .main[scene.wide] #copy-link data-do=(Action::CopyLink) {
            b { @if scene.from_disk { "Copy as text" } @else { "Copy link" } }
            @if !scene.wide { span { "it holds everything typed here" } }
        }
    }
}

/// Pins what is here, in place of what was pinned before.
fn pin(scene: &Scene) -> Markup {
    html! {
        button type="button" #pin data-do=(Action::Pin) {
            b { @if scene.pinned.is_some() { "Pin this as A instead" } @else { "Pin as A" } }
            @if !scene.wide { span { "to compare it with what you change next" } }
        }
    }
}

/// The line that comes before the first number, until it was understood.
pub(super) fn warning(scene: &Scene) -> Markup {
    html! {
        @if !scene.warned {
            p {
                b { "Several hundred volts are in there, enough to kill, with the power off too." } " "
                button type="button" .plain data-do=(Action::Cautions) { "Before you touch anything" }
            }
            button type="button" data-do=(Action::Understood) { "Understood" }
        }
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
                Notice::Refused(why) => {
                    div .notice {
                        p { (why) }
                        button type="button" data-do=(Action::Dismiss) { "Understood" }
                    }
                }
                Notice::Copied if scene.from_disk => p .notice.brief { "Copied as text: it holds everything typed here. Elsewhere, paste it under Open a link." },
                Notice::Copied => p .notice.brief { "Link copied: it holds everything typed here." },
                Notice::NotCopied if scene.from_disk => p .notice.brief { "This browser does not let a page copy: take what stands behind # in the address bar." },
                Notice::NotCopied => p .notice.brief { "This browser does not let a page copy: the link is in the address bar." },
            }
        }
    }
}
