//! The regions of a desk, and what they say.

use maud::Markup;
use tapwright_page::Desk;

/// A markup with one element a line, so that a change shows where it is.
pub fn lines(markup: Markup) -> String {
    markup.into_string().replace("><", ">\n<")
}

/// A region of the page, one element a line.
pub fn region(desk: &Desk, id: &str) -> String {
    let found = desk.regions_where(&|wanted| wanted == id).pop();
    lines(found.unwrap_or_else(|| panic!("no region {id}")).markup)
}

/// The part of the form under a heading.
pub fn fieldset(desk: &Desk, legend: &str) -> String {
    let form = region(desk, "form");
    let heading = format!("<legend>{legend}</legend>");
    let part = form
        .split("<fieldset>")
        .find(|part| part.contains(&heading));
    part.unwrap_or_else(|| panic!("no part {legend}")).into()
}

pub fn says(desk: &Desk, id: &str, words: &str) {
    let markup = region(desk, id).replace('\n', "");
    assert!(markup.contains(words), "{id} without “{words}”: {markup}");
}

pub fn never_says(desk: &Desk, words: &str) {
    for region in desk.regions() {
        let markup = region.markup.into_string();
        assert!(
            !markup.contains(words),
            "{} with “{words}”: {markup}",
            region.id
        );
    }
}
