//! What runs when the module is loaded: draws the frame, opens the set-up, listens.

use wasm_bindgen::prelude::wasm_bindgen;

use crate::{app, browser, events, view};

/// Starts the page.
#[wasm_bindgen(start)]
pub fn start() {
    let Some(page) = browser::by_id("page") else {
        return;
    };
    page.set_inner_html(&view::frame().into_string());
    app::open();
    events::listen();
}
