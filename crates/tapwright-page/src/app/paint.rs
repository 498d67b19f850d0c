//! Repaints what changed.

use web_sys::Element;

use super::{App, with};
use crate::browser::{self, Focus};
use crate::chart::Readout;
use crate::crosshair;
use crate::view::Region;
use tapwright_core::setup::Leaf;

/// The leaf beside the parts is repainted this long after the last letter.
const LATER_MS: i32 = 25;

impl App {
    /// Repaints at once what is read while typing, and the leaf beside it in a moment: then
    /// a letter never waits for a table of a thousand cells.
    pub(super) fn paint_soon(&mut self) {
        let regions = self.desk.regions();
        self.put(regions.first);
        self.stop_painting();
        if regions.leaf.iter().any(|region| !self.is_painted(region)) {
            self.painting = browser::after(LATER_MS, || with(App::paint));
            browser::set_busy("leaf", self.painting.is_some());
        }
    }

    /// Repaints the regions that changed. Texts, folds, caret and scroll stay.
    pub(super) fn paint(&mut self) {
        self.stop_painting();
        let regions = self.desk.regions();
        self.put(regions.first.into_iter().chain(regions.leaf));
    }

    fn stop_painting(&mut self) {
        if let Some(timer) = self.painting.take() {
            browser::cancel(timer);
            browser::set_busy("leaf", false);
        }
    }

    /// Whether a region stands on the page as it should be.
    fn is_painted(&self, region: &Region) -> bool {
        let mut painted = self.painted.iter();
        painted.any(|(id, markup)| *id == region.id && *markup == region.markup.0)
    }

    /// Puts regions on the page, outer ones before those inside them.
    fn put(&mut self, regions: impl IntoIterator<Item = Region>) {
        let focus = Focus::now();
        let place = focus.as_ref().and_then(Focus::top);
        for region in regions {
            if self.is_painted(&region) {
                continue;
            }
            let Some(element) = browser::by_id(&region.id) else {
                continue;
            };
            // What stood inside goes with it.
            let inside = browser::all(&element, "[id]");
            let inside: Vec<String> = inside.iter().map(Element::id).collect();
            (self.painted).retain(|(id, _)| *id != region.id && !inside.contains(id));
            let markup = region.markup.into_string();
            element.set_inner_html(&markup);
            self.fill(&element);
            self.painted.push((region.id, markup));
        }
        self.mark_faults();
        if let Some(focus) = focus {
            focus.restore();
            focus.stay(place);
        }
    }

    /// Repaints after a change of more than the field that the person is in.
    pub(super) fn paint_and_fill(&mut self) {
        self.paint();
        if let Some(page) = browser::by_id("page") {
            self.fill(&page);
        }
    }

    /// The leaf in sight, and how far down the page it is.
    pub(super) fn place(&self) -> (Leaf, f64) {
        (self.desk.leaf(), browser::scrolled())
    }

    /// After another leaf came in sight: to where it was left, or to its top.
    pub(super) fn scroll(&mut self, before: (Leaf, f64)) {
        let now = self.desk.leaf();
        if now == before.0 {
            return;
        }
        self.scrolled.retain(|(leaf, _)| *leaf != before.0);
        self.scrolled.push(before);
        let left = self.scrolled.iter().find(|(leaf, _)| *leaf == now);
        browser::scroll_down_to(left.map_or(0.0, |(_, down)| *down));
    }

    /// Marks the fields at fault for those who cannot see the complaints.
    fn mark_faults(&mut self) {
        let faults = self.desk.faults();
        for key in self.faults.iter().filter(|key| !faults.contains(key)) {
            browser::set_invalid(key, false);
        }
        for key in &faults {
            browser::set_invalid(key, true);
        }
        self.faults = faults;
    }

    /// Restores the texts of the fields inside an element, its open folds and its
    /// cross-hairs.
    fn fill(&self, root: &Element) {
        for element in browser::all(root, "[data-field], details[data-open]") {
            if let Some(key) = element.get_attribute("data-field") {
                if let Some(value) = self.desk.value(&key) {
                    browser::set_value(&element, &value);
                }
            } else if let Some(key) = element.get_attribute("data-open") {
                browser::set_open(&element, self.desk.is_open(&key));
            }
        }
        for reader in browser::all(root, "[data-plot]") {
            let chart = reader.get_attribute("data-plot").unwrap_or_default();
            if let Some(readout) = self.desk.charts().moved(&chart) {
                self.show(&chart, readout, true);
            }
        }
    }

    /// Shows the readout of a chart, in the words that the page uses.
    pub(super) fn show(&self, chart: &str, readout: Readout, spoken: bool) {
        let text = self.desk.text_in_words(&readout.text);
        crosshair::show(chart, &Readout { text, ..readout }, spoken);
    }
}
