//! What stands around the regions.

use maud::{Markup, html};

use crate::words::say::say;

/// The frame that the regions stand in, drawn once.
pub fn frame() -> Markup {
    html! {
        header .bar {
            h1 { "Tapwright" }
            label .name {
                span .unseen { "Name of this amplifier" }
                input #field-name data-field="name" type="text" placeholder="Name this amplifier"
                    autocomplete="off" spellcheck="false" enterkeyhint="done";
            }
            span #standing {}
            div #acts {}
        }
        section #warning aria-label="Danger" {}
        div #notices role="status" {}
        div #progress role="status" {}
        div .pinned {
            section #answer aria-label="Answer" aria-live="polite" {}
            section #status aria-label="How hard it runs" {}
        }
        section #recent aria-label="Recent set-ups" {}
        section #against aria-label="A against now" {}
        div .spread {
            nav #leaves aria-label="Leaves" {}
            form #parts aria-label="What is on the bench" autocomplete="off" {}
            div #leaf {}
        }
        section #on-paper aria-label="What was typed" {}
    }
}

/// How much of a file has been read, `part` from 0 to 1.
pub fn progress(name: &str, part: f64) -> Markup {
    let percent = (100.0 * part) as u32;
    html! {
        label .notice {
            (say!("Reading {name}", name = name)) " "
            progress max="100" value=(percent) { (say!("{percent} %", percent = percent)) }
        }
    }
}
