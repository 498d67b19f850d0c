//! The supply: B+ from the mains transformer.

use maud::{Markup, html};

use crate::view::Scene;

pub(super) fn supply(_: &Scene) -> Markup {
    html! {
        h3 { "Supply" }
        p .reason { "Of the supply only B+ is asked yet, with the stage." }
    }
}
