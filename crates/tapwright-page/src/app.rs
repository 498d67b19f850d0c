//! The desk in the browser: repaints what changed, keeps the address true.

use std::cell::RefCell;
use std::ops::Range;

use tapwright_speaker::{FileProblem, ImpedanceCurve};
use web_sys::Element;

use crate::action::Action;
use crate::browser::{self, Focus};
use crate::chart::Step;
use crate::crosshair;
use crate::desk::Desk;
use crate::patch::{self, Patch};
use crate::view::{self, Notice, Region};
use crate::within;

/// Address and storage follow typing after this pause. Some engines refuse more than
/// about a hundred history calls in half a minute.
const PAUSE_MS: i32 = 400;

/// What is off the screen is repainted this long after the last edit.
const LATER_MS: i32 = 60;

/// What is typed is kept this long after a letter: once the frame is painted, as
/// storing can take a tenth of one, and too soon to close the page before.
const KEEP_MS: i32 = 20;

/// How long a brief notice stands.
const BRIEF_MS: i32 = 4_000;

struct App {
    desk: Desk,
    /// The markup of each region as it stands on the page, by its id.
    painted: Vec<(String, String)>,
    /// The ids of regions off the screen that are still to be painted.
    later: Vec<String>,
    /// The fields that are marked as being at fault.
    faults: Vec<String>,
    /// The fragment in the address, without its `#`.
    address: String,
    saving: Option<i32>,
    /// The timer for keeping what is typed.
    keeping: Option<i32>,
    /// The timer for what is off the screen.
    painting: Option<i32>,
}

thread_local! {
    static APP: RefCell<Option<App>> = const { RefCell::new(None) };
}

/// Opens the set-up in the address, or the first example without one.
pub fn open() {
    let address = browser::fragment();
    let desk = Desk::open(&format!("#{address}"), browser::kept());
    let app = App {
        desk,
        painted: Vec::new(),
        later: Vec::new(),
        faults: Vec::new(),
        address,
        saving: None,
        keeping: None,
        painting: None,
    };
    APP.with(|place| *place.borrow_mut() = Some(app));
    with(|app| {
        app.paint_and_fill();
        browser::set_title(&app.desk.title());
    });
}

/// Runs `then` on the app. An event that arrives while another is at work is dropped:
/// only the browser's own echo of our changes can do that.
fn with(then: impl FnOnce(&mut App)) {
    APP.with(|place| {
        if let Ok(mut place) = place.try_borrow_mut()
            && let Some(app) = place.as_mut()
        {
            then(app);
        }
    });
}

/// A field changed. The address follows after a pause.
pub fn edit(key: &str, text: &str) {
    with(|app| {
        app.desk.edit(key, text);
        app.paint();
        app.keep_soon();
        app.save_soon();
    });
}

/// The person left a field.
pub fn settle() {
    with(|app| app.desk.settle());
}

/// A button was pressed.
pub fn act(action: Action) {
    if action == Action::CopyLink {
        return copy_link();
    }
    with(|app| {
        app.save();
        let enters_history = action.enters_history();
        app.desk.act(action);
        app.paint_and_fill();
        if enters_history {
            app.enter();
        } else {
            app.save();
        }
    });
}

/// A file was read for the speaker at a place, if that was said; or it could not be.
pub fn take_curve(place: Option<usize>, name: &str, read: Result<ImpedanceCurve, FileProblem>) {
    with(|app| {
        app.save();
        app.desk.take_curve(place, name, read);
        app.paint_and_fill();
        app.save();
    });
}

/// A file could not be opened at all.
pub fn no_file(name: &str) {
    with(|app| {
        app.desk
            .tell_file(None, name, "could not be opened; is it a folder?");
        app.paint_and_fill();
    });
}

/// A fold was opened or closed by the person; it stands as it should already.
pub fn fold(key: &str, open: bool) {
    with(|app| app.desk.set_open(key, open));
}

/// The address changed under the page: Back, Forward, or by hand.
pub fn follow() {
    with(|app| {
        let address = browser::fragment();
        if address == app.address {
            return;
        }
        app.desk.follow(&format!("#{address}"));
        app.address = address;
        app.paint_and_fill();
        browser::set_title(&app.desk.title());
    });
}

/// The cell next to a cell, for the arrow keys.
pub fn neighbour(from: &str, leads: isize, taps: isize) -> Option<String> {
    let mut found = None;
    with(|app| found = app.desk.neighbour(from, leads, taps));
    found
}

/// The cross-hair of a chart goes to a pointer.
pub fn point(chart: &str, across: f64, down: f64) {
    with(|app| {
        if let Some(reading) = app.desk.charts_mut().point(chart, across, down) {
            crosshair::show(chart, &reading, false);
        }
    });
}

/// The cross-hair of a chart goes a step.
pub fn step(chart: &str, step: Step) {
    with(|app| {
        if let Some(reading) = app.desk.charts_mut().step(chart, step) {
            crosshair::show(chart, &reading, true);
        }
    });
}

/// Writes the address and the storage now: the page may be about to go.
pub fn save_now() {
    with(App::save);
}

fn copy_link() {
    with(App::save);
    browser::copy(&browser::address(), |went| {
        with(|app| {
            app.desk.tell(if went {
                Notice::Copied
            } else {
                Notice::NotCopied
            });
            app.paint_and_fill();
        });
        browser::after(BRIEF_MS, || {
            with(|app| {
                app.desk.end_brief();
                app.paint_and_fill();
            });
        });
    });
}

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
    fn paint(&mut self) {
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
        // Taken from the end: the topmost comes first.
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

    /// Paints when more was changed than the field that the person is in.
    fn paint_and_fill(&mut self) {
        self.paint();
        if let Some(page) = browser::by_id("page") {
            self.fill(&page);
        }
    }

    /// Says of the fields at fault, to those who do not see the complaints, that they are.
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

    /// Puts texts into the fields inside an element, folds as they stood and cross-hairs
    /// where they were.
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
            if let Some(reading) = self.desk.charts().moved(&chart) {
                crosshair::show(&chart, &reading, true);
            }
        }
    }

    fn save_soon(&mut self) {
        if let Some(timer) = self.saving.take() {
            browser::cancel(timer);
        }
        self.saving = browser::after(PAUSE_MS, || with(App::save));
    }

    /// The present entry of the history gets the present set-up.
    fn save(&mut self) {
        self.write(false);
    }

    /// A new entry of the history for the present set-up.
    fn enter(&mut self) {
        self.write(true);
    }

    fn write(&mut self, push: bool) {
        if let Some(timer) = self.saving.take() {
            browser::cancel(timer);
        }
        let link = self.desk.link();
        if link != self.address {
            browser::navigate(&link, &self.desk.title(), push);
            self.address = link;
            self.keep();
        } else if self.keeping.is_some() {
            self.keep();
        }
    }

    /// Keeps the set-up in a moment, at the latest as the page goes. Further letters do
    /// not put it off.
    fn keep_soon(&mut self) {
        if self.keeping.is_none() {
            self.keeping = browser::after(KEEP_MS, || with(App::keep));
        }
    }

    /// Keeps the set-up for next time.
    fn keep(&mut self) {
        if let Some(timer) = self.keeping.take() {
            browser::cancel(timer);
        }
        if self.desk.is_worth_keeping() {
            browser::keep(&self.desk.link());
        }
    }
}
