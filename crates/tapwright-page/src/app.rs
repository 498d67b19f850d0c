//! The desk in the browser: each event changes it, then the page and the address follow.

use std::cell::RefCell;

use tapwright_core::link::saved;
use tapwright_core::setup::Leaf;
use tapwright_speaker::{FileProblem, ImpedanceCurve};

use crate::action::Action;
use crate::browser::{self, version::News};
use crate::chart::Step;
use crate::desk::Desk;
use crate::recent::Recent;
use crate::view::Notice;

mod paint;
mod recent;
mod save;

pub use recent::take_saved;

/// What is wrong with a field is said after such a pause, or so soon after it was left: not at
/// once, or a line that comes would move the button that was being pressed.
const PAUSE_MS: i32 = 800;
const LEFT_MS: i32 = 200;

/// The set-up of last time is offered so long after the page opened.
const OFFER_MS: i32 = 300;

/// How long a brief notice stands.
const BRIEF_MS: i32 = 4_000;

struct App {
    desk: Desk,
    /// The markup of each region as it stands on the page, by its id.
    painted: Vec<(String, String)>,
    /// How far down the page was when a leaf was last in sight.
    scrolled: Vec<(Leaf, f64)>,
    /// The fields that are marked as being at fault.
    faults: Vec<String>,
    /// The fragment in the address, without its `#`.
    address: String,
    /// The recent set-up that this tab works on.
    work: Option<recent::Work>,
    /// Of which opening it was asked whose recent set-up that is.
    claimed: u32,
    /// The recent set-up that was deleted last.
    deleted: Option<Recent>,
    /// Whether the browser kept something of this page.
    has_kept: bool,
    /// What was said of keeping, once each.
    told: Vec<&'static str>,
    /// The timer for writing the address.
    saving: Option<i32>,
    /// The timer for keeping what is typed.
    keeping: Option<i32>,
    /// The timer for painting the leaf beside the parts.
    painting: Option<i32>,
    /// The timer for saying what is wrong with the field that is being typed in.
    complaining: Option<i32>,
}

thread_local! {
    static APP: RefCell<Option<App>> = const { RefCell::new(None) };
}

/// Opens the set-up in the address, or the first example without one.
pub fn open() {
    let address = browser::fragment();
    let mut desk = Desk::open(&format!("#{address}"));
    if browser::is_from_disk() {
        desk.set_from_disk();
    }
    desk.set_wide(browser::is_wide());
    if browser::was_warned() {
        desk.set_warned();
    }
    if browser::can_share() {
        desk.set_can_share();
    }
    if let Some(words) = browser::kept_words().and_then(|words| words.parse().ok()) {
        desk.act(Action::Use(words));
    }
    let app = App {
        desk,
        painted: Vec::new(),
        scrolled: Vec::new(),
        faults: Vec::new(),
        address,
        work: None,
        claimed: 0,
        deleted: None,
        has_kept: false,
        told: Vec::new(),
        saving: None,
        keeping: None,
        painting: None,
        complaining: None,
    };
    APP.with(|place| *place.borrow_mut() = Some(app));
    with(|app| {
        app.paint_and_fill();
        browser::set_title(&app.desk.title());
    });
    offer();
    browser::version::watch(hear);
    browser::on_width(|wide| {
        with(|app| {
            app.desk.set_wide(wide);
            app.paint_and_fill();
        });
    });
}

impl App {
    /// Lets the desk say what is wrong with a field, in so long.
    fn soon(&mut self, milliseconds: i32, then: fn(&mut Desk)) {
        if let Some(timer) = self.complaining.take() {
            browser::cancel(timer);
        }
        self.complaining = browser::after(milliseconds, move || {
            with(|app| {
                app.complaining = None;
                then(&mut app.desk);
                app.paint();
            });
        });
    }
}

/// Offers the set-up of last time back, unless a tab that is still open has it.
fn offer() {
    // A tab that is just being left writes and holds its lock for a moment still.
    browser::after(OFFER_MS, || {
        recent::claim();
        let Some(tab) = browser::kept().map(|kept| kept.tab) else {
            return;
        };
        browser::tab::when_closed(tab.clone(), move || {
            // Read once it is closed: it writes what was typed last when it goes.
            let Some(kept) = browser::kept().filter(|kept| kept.tab == tab) else {
                return;
            };
            with(|app| {
                app.desk.offer(kept.link);
                app.paint();
            });
        });
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
        if !app.desk.edit(key, text) {
            return app.paint_and_fill();
        }
        app.paint_soon();
        app.keep_soon();
        app.save_soon();
        app.soon(PAUSE_MS, Desk::complain);
    });
}

/// The person left a field.
pub fn settle() {
    with(|app| app.soon(LEFT_MS, Desk::settle));
}

/// Opens what the person has as a link. `false` where it is none.
pub fn open_link(text: &str) -> bool {
    let mut opened = false;
    with(|app| {
        app.save();
        opened = app.desk.open_link(text);
        app.paint_and_fill();
        if opened {
            app.enter();
        }
    });
    opened
}

/// A text was dropped on the page: a link.
pub fn drop_text(text: &str) {
    if !open_link(text) {
        refuse("What was dropped is neither a file nor a link of this page. Nothing was changed.");
    }
}

/// A button was pressed.
pub fn act(action: Action) {
    match action {
        Action::CopyLink => return copy_link(),
        Action::Share => return share(),
        Action::SaveFile => return recent::save_file(),
        Action::Recent => return recent::toggle(),
        Action::CopyRecent(place) => return copy_recent(place),
        Action::DeleteRecent(place) => return recent::delete(place),
        Action::RestoreRecent => return recent::restore(),
        Action::SaveAll => return recent::save_all(),
        Action::Update => {
            save_now();
            return browser::version::take();
        }
        _ => {}
    }
    with(|app| {
        app.save();
        let enters_history = action.enters_history();
        let before = app.place();
        match action {
            Action::Understood => browser::keep_warned(),
            Action::Use(vocabulary) => browser::keep_words(vocabulary.into()),
            _ => {}
        }
        let shows_cautions = action == Action::Cautions;
        app.desk.act(action);
        app.paint_and_fill();
        app.scroll(before);
        if shows_cautions {
            browser::scroll_to("fold-cautions");
        }
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

/// A file is larger than one of set-ups can be.
pub fn too_large(name: &str, bytes: f64) {
    let (mega, most) = (bytes / 1e6, saved::LARGEST as f64 / 1e6);
    let why = format!(
        "“{name}” has {mega:.0} MB, and set-ups {most:.0} MB at most. Nothing was changed."
    );
    with(|app| {
        app.desk.tell_file(None, why);
        app.paint_and_fill();
    });
}

/// A file could not be opened at all.
pub fn no_file(name: &str) {
    let why = format!("“{name}” could not be opened; is it a folder?");
    with(|app| {
        app.desk.tell_file(None, why);
        app.paint_and_fill();
    });
}

/// The page is about to be printed: what was typed goes on it.
pub fn write_on_paper() {
    with(|app| {
        if let Some(place) = browser::by_id("on-paper") {
            place.set_inner_html(&app.desk.on_paper().0);
        }
    });
}

/// A fold was opened or closed by the person; it stands as it should already.
pub fn fold(key: &str, open: bool) {
    with(|app| {
        if app.desk.is_open(key) != open {
            app.desk.set_open(key, open);
            app.paint();
        }
    });
}

/// The address changed under the page: Back, Forward, or by hand.
pub fn follow() {
    with(|app| {
        let address = browser::fragment();
        if address == app.address {
            return;
        }
        let before = app.place();
        app.desk.follow(&format!("#{address}"));
        app.address = address;
        app.paint_and_fill();
        app.scroll(before);
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
        if let Some(readout) = app.desk.charts_mut().point(chart, across, down) {
            app.show(chart, readout, false);
        }
    });
}

/// The cross-hair of a chart goes a step.
pub fn step(chart: &str, step: Step) {
    with(|app| {
        if let Some(readout) = app.desk.charts_mut().step(chart, step) {
            app.show(chart, readout, true);
        }
    });
}

/// Writes the address and the storage now: the page may be about to go.
pub fn save_now() {
    with(App::save);
}

/// What a person takes elsewhere.
fn to_take() -> String {
    with(App::save);
    let mut text = browser::address();
    with(|app| text = app.desk.to_copy(std::mem::take(&mut text)));
    text
}

fn copy_link() {
    copy(&to_take());
}

/// Copies the link of a recent set-up: from a disk, where an address works nowhere else, as
/// text.
fn copy_recent(place: usize) {
    let Some(link) = recent::link(place) else {
        return;
    };
    let address = browser::address();
    let page = address.split('#').next().unwrap_or_default();
    copy(&match browser::is_from_disk() {
        true => link,
        false => format!("{page}#{link}"),
    });
}

/// Hands the link to the system's share sheet: from a disk as text.
fn share() {
    let text = to_take();
    let mut title = String::new();
    with(|app| title = app.desk.title());
    let is_address = !browser::is_from_disk();
    let copied = text.clone();
    browser::share(&title, &text, is_address, move || copy(&copied));
}

fn copy(text: &str) {
    browser::copy(text, |went| {
        tell(if went {
            Notice::Copied
        } else {
            Notice::NotCopied
        });
    });
}

/// Says something, and takes it away again where it is brief.
fn tell(notice: Notice) {
    let is_brief = notice.is_brief();
    with(|app| {
        app.desk.tell(notice);
        app.paint_and_fill();
    });
    if is_brief {
        end_brief_soon();
    }
}

fn end_brief_soon() {
    browser::after(BRIEF_MS, || {
        with(|app| {
            app.desk.end_brief();
            app.paint_and_fill();
        });
    });
}

/// Something was dropped or chosen that cannot be taken.
pub fn refuse(why: &str) {
    with(|app| {
        app.desk.refuse(why);
        app.paint_and_fill();
    });
}

/// Something happened to the page's own files.
fn hear(news: News) {
    tell(match news {
        News::Kept => Notice::Kept,
        News::Newer => Notice::Newer,
        News::Changed => Notice::Changed,
    });
}
