//! The heaters: their balance, and the load on their winding.

use maud::{Markup, html};

use crate::view::Scene;

pub(super) fn heaters(_: &Scene) -> Markup {
    html! {
        h3 { "Heaters" }
        p .reason { "Nothing is asked of the heaters yet." }
    }
}
