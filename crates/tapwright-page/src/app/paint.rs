//! Repaints what changed.

use std::ops::Range;

use web_sys::Element;

use super::{App, with};
use crate::browser::{self, Focus};
use crate::patch::{self, Patch};
use crate::view::{self, Region};
use crate::{crosshair, within};

/// What is off the screen is repainted this long after the last edit.
const LATER_MS: i32 = 60;

/// A region of which only parts are replaced.
struct Patched {
    id: String,
    /// The elements that change, each with its markup before and after.
    parts: Vec<(Element, [String; 2])>,
    /// What the region holds then.
    markup: String,
}

impl App {
    /// Repaints the regions that changed, and soon what is off the screen.
    /// Texts, folds, caret and scroll stay.
    pub(super) fn paint(&mut self) {
        let mut regions = self.desk.regions_where(&|id| !view::can_wait(id));
        // Asked before anything is written, while the layout is still true.
        let frame_stays = self.frame_stays(&regions);
        let (now, mut later): (Vec<_>, Vec<_>) =
            (self.desk.waiting().into_iter()).partition(|id| {
                !frame_stays || browser::by_id(id).is_some_and(|element| browser::is_near(&element))
            });
        regions.extend((self.desk).regions_where(&|id| now.iter().any(|now| now == id)));
        // What stands inside a region that is replaced goes with it.
        let changed = regions.iter().filter(|region| !self.is_painted(region));
        let inside: Vec<&str> = (changed.flat_map(|region| view::inside(&region.id)))
            .copied()
            .collect();
        regions.retain(|region| {
            let lost = inside.iter().any(|start| region.id.starts_with(start));
            !frame_stays || lost || !self.is_painted(region)
        });
        let mut patches = Vec::new();
        let mut left = Vec::new();
        if frame_stays {
            regions.retain(|region| {
                let Some(patched) = self.patch(region, browser::near) else {
                    return true;
                };
                if patched.markup != region.markup.0 {
                    left.push(region.id.clone());
                }
                patches.push(patched);
                false
            });
        }
        self.put(regions, patches);
        if let Some(timer) = self.painting.take() {
            browser::cancel(timer);
        }
        // They are taken from the end, so that the topmost comes first.
        later.reverse();
        later.extend(left.into_iter().rev());
        self.later = later;
        if !self.later.is_empty() {
            self.painting = browser::after(LATER_MS, || with(App::paint_rest));
        }
    }

    /// Whether the grids stay where they are. If not, they are all drawn at once, so
    /// that nothing above the screen changes its height later.
    fn frame_stays(&self, regions: &[Region]) -> bool {
        let frame = regions.iter().find(|region| region.id == "connections");
        frame.is_some_and(|frame| self.is_painted(frame))
    }

    /// Whether a region stands on the page as it should be.
    fn is_painted(&self, region: &Region) -> bool {
        let painted = self.painted(&region.id);
        painted.is_some_and(|markup| *markup == region.markup.0)
    }

    fn painted(&self, id: &str) -> Option<&str> {
        let (_, markup) = self.painted.iter().find(|(painted, _)| painted == id)?;
        Some(markup)
    }

    fn note_painted(&mut self, id: String, markup: String) {
        self.painted.retain(|(painted, _)| *painted != id);
        self.painted.push((id, markup));
    }

    /// Paints the next region that was left for later, and comes back for the others.
    fn paint_rest(&mut self) {
        self.painting = None;
        while let Some(id) = self.later.pop() {
            let mut regions = self.desk.regions_where(&|wanted| wanted == id);
            regions.retain(|region| !self.is_painted(region));
            if let Some(region) = regions.pop() {
                match self.patch(&region, |parts| 0..parts.len()) {
                    Some(patched) => self.put(Vec::new(), vec![patched]),
                    None => self.put(vec![region], Vec::new()),
                }
                break;
            }
        }
        if !self.later.is_empty() {
            self.painting = browser::after(0, || with(App::paint_rest));
        }
    }

    /// The patch of a region that needs no more than that. Parts that are not `wanted` now
    /// stay as they are.
    fn patch(&self, region: &Region, wanted: fn(&[Element]) -> Range<usize>) -> Option<Patched> {
        let before = self.painted(&region.id)?;
        if !view::comes_in_parts(&region.id) {
            return None;
        }
        let patch = Patch::between(before, &region.markup.0)?;
        let elements = browser::all(&browser::by_id(&region.id)?, patch::PARTS);
        let wanted = wanted(&elements);
        let mut parts = Vec::new();
        let mut left = Vec::new();
        for (place, markups) in patch.changes() {
            if wanted.contains(&place) {
                parts.push((elements.get(place)?.clone(), markups.map(String::from)));
            } else {
                left.push(place);
            }
        }
        Some(Patched {
            id: region.id.clone(),
            parts,
            markup: patch.leaving(&left),
        })
    }

    /// Puts regions and parts of regions on the page.
    fn put(&mut self, regions: Vec<Region>, patches: Vec<Patched>) {
        let focus = Focus::now();
        for region in regions {
            if self.is_painted(&region) {
                continue;
            }
            let Some(element) = browser::by_id(&region.id) else {
                continue;
            };
            let markup = region.markup.into_string();
            element.set_inner_html(&markup);
            self.fill(&element);
            // What stood inside went with it.
            let inside = view::inside(&region.id);
            self.painted
                .retain(|(id, _)| !inside.iter().any(|start| id.starts_with(start)));
            self.note_painted(region.id, markup);
        }
        for patched in patches {
            for (element, [before, after]) in patched.parts {
                match within::changes(&before, &after) {
                    Some(changes) => browser::change(&element, &changes),
                    None => element.set_outer_html(&after),
                }
            }
            self.note_painted(patched.id, patched.markup);
        }
        self.mark_faults();
        if let Some(focus) = focus {
            focus.restore();
        }
    }

    /// Repaints after a change of more than the field that the person is in.
    pub(super) fn paint_and_fill(&mut self) {
        self.paint();
        if let Some(page) = browser::by_id("page") {
            self.fill(&page);
        }
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
                crosshair::show(&chart, &readout, true);
            }
        }
    }
}
