//! The regions of a desk, for tests.

use tapwright_page::Desk;

pub fn region(desk: &Desk, id: &str) -> String {
    let found = desk.regions().into_iter().find(|region| region.id == id);
    let markup = found
        .unwrap_or_else(|| panic!("no region {id}"))
        .markup
        .into_string();
    // One element a line, so that a change shows where it is.
    markup.replace("><", ">\n<")
}
