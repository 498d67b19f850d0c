//! The regions of a desk, and what they say.

use maud::Markup;
use strum::VariantArray;
use tapwright_core::setup::Leaf;
use tapwright_page::Desk;
use tapwright_page::view::Region;

/// A markup with one element a line, so that a change shows where it is.
pub fn lines(markup: Markup) -> String {
    markup.into_string().replace("><", ">\n<")
}

/// Every region of the page, those of leaves out of sight as well.
pub fn regions(desk: &Desk) -> Vec<Region> {
    let mut regions = desk.regions().first;
    for leaf in Leaf::VARIANTS {
        regions.extend(desk.leaf_regions(*leaf));
    }
    regions
}

/// A region of the page, one element a line.
pub fn region(desk: &Desk, id: &str) -> String {
    let found = regions(desk).into_iter().find(|region| region.id == id);
    lines(found.unwrap_or_else(|| panic!("no region {id}")).markup)
}

/// The part of the form under a heading.
pub fn fieldset(desk: &Desk, legend: &str) -> String {
    let form = region(desk, "parts");
    let heading = format!("<span class=\"what\">{legend}</span>");
    let part = form
        .split("<details class=\"part\"")
        .find(|part| part.contains(&heading));
    part.unwrap_or_else(|| panic!("no part {legend}")).into()
}

pub fn says(desk: &Desk, id: &str, words: &str) {
    let markup = region(desk, id).replace('\n', "");
    assert!(markup.contains(words), "{id} without “{words}”: {markup}");
}

pub fn never_says(desk: &Desk, words: &str) {
    for region in regions(desk) {
        let markup = region.markup.into_string();
        assert!(
            !markup.contains(words),
            "{} with “{words}”: {markup}",
            region.id
        );
    }
}
