//! What stands around the regions.

use maud::{Markup, html};

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
        div #notices role="status" {}
        div #progress role="status" {}
        nav #hookups aria-label="Hookups" {}
        section #answer aria-label="Answer" aria-live="polite" {}
        section #beware aria-label="What to beware of" {}
        div .spread {
            form #form aria-label="What is in the drawer" autocomplete="off" {}
            div .results {
                section #connections aria-label="Every connection" {}
                section #selector aria-label="What a selector would do" {}
                section #wiring aria-label="Where every lead goes" {}
                section #chosen aria-label="The chosen connection" {}
                section #stage aria-label="What the tube does" {}
                section #speakers aria-label="The speakers over frequency" {}
                section #iron aria-label="What the iron does" {}
                section #numbers aria-label="The numbers and their workings" {}
                section #cautions aria-label="Cautions" {}
            }
        }
        nav .spine aria-label="Along the page" {
            button type="button" data-go="form" { "Parts" }
            button type="button" data-go="connections" { "Connections" }
            button type="button" data-go="chosen" { "Chosen" }
        }
    }
}

/// How much of a file has been read, `part` from 0 to 1.
pub fn progress(name: &str, part: f64) -> Markup {
    let percent = (100.0 * part) as u32;
    html! {
        label .notice { "Reading " (name) " " progress max="100" value=(percent) { (percent) " %" } }
    }
}
