//! The bar at the top: what can be done with the set-up, and what there is to tell.

use maud::{Markup, html};
use tapwright_core::examples::EXAMPLES;

use super::{Notice, Scene};
use crate::action::Action;
use crate::words::say::say;

/// The key of the menu.
pub const MENU: &str = "menu";

/// Whether this is an example, and the way out of it; on an empty page, the ways to what was
/// kept.
pub(super) fn standing(scene: &Scene) -> Markup {
    html! {
        @if scene.is_example() {
            span .example { "example, invented values" }
            button type="button" .plain data-do=(Action::Blank) { "Start blank" }
        } @else if scene.is_blank() {
            (super::recent::open_file())
            button type="button" .plain data-do=(Action::Recent) { "Recent set-ups" }
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
            summary { "Menu" }
            ul {
                @if !scene.wide {
                    li { button type="button" #redo data-do=(Action::Redo) disabled[!redo] { b { "Redo" } } }
                    li { (pin(scene)) }
                    li { (copy(scene)) }
                }
                @if scene.can_share {
                    li { button type="button" #share data-do=(Action::Share) { b { "Share" } span { "the link, with another program of this device" } } }
                }
                li { button type="button" #save-file data-do=(Action::SaveFile) { b { "Save as a file" } span { "a small text; this page opens it again" } } }
                li { button type="button" #recent-open data-do=(Action::Recent) { b { "Recent set-ups" } span { "what this device keeps" } } }
                li { (super::recent::open_file()) }
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
                @let other = scene.vocabulary.other();
                li {
                    button type="button" #use-words data-do=(Action::Use(other)) {
                        b { "Other words" }
                        // In its own words, whichever the page uses.
                        span translate="no" { (other.name()) }
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
                            @if title.is_empty() { "You were working on something when this page was last closed." }
                            @else { (say!("You were working on “{title}” when this page was last closed.", title = title)) }
                        }
                        button type="button" data-do=(Action::BringBack) { "Bring it back" }
                        button type="button" data-do=(Action::Dismiss) { "Not now" }
                    }
                }
                Notice::File(_, what) => {
                    div .notice {
                        p { (what) }
                        button type="button" data-do=(Action::Dismiss) { "Understood" }
                    }
                }
                Notice::Refused(why) => {
                    div .notice {
                        p { (why) }
                        button type="button" data-do=(Action::Dismiss) { "Understood" }
                    }
                }
                Notice::Newer => {
                    div .notice {
                        p { "A newer version of this page is there. What is typed stays; what could be undone does not." }
                        button type="button" data-do=(Action::Update) { "Open it" }
                        button type="button" data-do=(Action::Dismiss) { "Later" }
                    }
                }
                Notice::NotKept(why) => {
                    div .notice {
                        p { (why) }
                        button type="button" data-do=(Action::Dismiss) { "Understood" }
                    }
                }
                Notice::Deleted(name) => {
                    div .notice {
                        p {
                            @if name.is_empty() { "It was deleted from this device." }
                            @else { (say!("“{name}” was deleted from this device.", name = name)) }
                        }
                        button type="button" data-do=(Action::RestoreRecent) { "Bring it back" }
                        button type="button" data-do=(Action::Dismiss) { "Understood" }
                    }
                }
                Notice::Opened(what) => p .notice.brief { (what) },
                Notice::Kept => p .notice.brief { "From now on this page opens without a network." },
                Notice::Changed => p .notice.brief { "This is another version of the page than last time." },
                Notice::Copied if scene.from_disk => p .notice.brief { "Copied as text: it holds everything typed here. Elsewhere, paste it under Open a link." },
                Notice::Copied => p .notice.brief { "Link copied: it holds everything typed here." },
                Notice::NotCopied if scene.from_disk => p .notice.brief { "This browser does not let a page copy: take what stands behind # in the address bar." },
                Notice::NotCopied => p .notice.brief { "This browser does not let a page copy: the link is in the address bar." },
            }
        }
    }
}
