//! Keeps what is typed among the recent set-ups of this device, and files of them.

use tapwright_core::link::saved::{self, NotSaved, Saved};

use super::{App, save_now, tell, with};
use crate::browser::{self, recent, recent::Kept, tab};
use crate::recent::Recent;
use crate::view::{self, Notice};
use crate::words::{count_in_words, sentence_case};

/// The recent set-up that this tab works on.
pub(super) struct Work {
    /// Which opening of the desk it belongs to.
    opened: u32,
    id: String,
    /// As it was kept last.
    kept: Recent,
}

const DENIED: &str = "This browser keeps nothing for this page: nothing is offered back, and there are no recent set-ups. Save a file, or copy the link.";
const FULL: &str = "This browser has no room left for this page: what you do now is not kept. Delete recent set-ups, save a file, or copy the link.";
const CLEARED: &str =
    "What this browser kept for this page was cleared. What you do from here on is kept again.";

impl App {
    /// Keeps what is typed among the recent set-ups. No other tab writes to the same one: who
    /// does is written there, and looked up first.
    pub(super) fn keep_recent(&mut self) {
        if !self.desk.is_worth_keeping() {
            return;
        }
        let opened = self.desk.opened();
        let known = self.work.take().filter(|work| work.opened == opened);
        if let Some(work) = &known
            && self.desk.is_this(&work.kept)
        {
            self.work = known;
            return;
        }
        let known = known.filter(|work| match recent::get(&work.id) {
            Some(there) => recent::is_ours(&there),
            // Deleted in another tab, or cleared.
            None => true,
        });
        if known.is_none() && recent::list().iter().any(|one| self.desk.is_this(one)) {
            // It is there already; whose it is then is being asked.
            return;
        }
        let id = known.map_or_else(recent::new_id, |work| work.id);
        let one = (self.desk).to_recent(id.clone(), tab::name(), recent::now());
        let kept = recent::put(&one);
        self.note(kept);
        if kept == Kept::Yes {
            let kept = one;
            self.work = Some(Work { opened, id, kept });
        }
    }

    /// Says once that nothing is kept.
    pub(super) fn note(&mut self, kept: Kept) {
        let why = match kept {
            Kept::Yes => return,
            Kept::Denied => DENIED,
            Kept::Full => FULL,
        };
        self.say_once(why);
    }

    /// Says once that what was kept is gone.
    pub(super) fn note_cleared(&mut self) {
        self.say_once(CLEARED);
    }

    fn say_once(&mut self, why: &'static str) {
        if !self.told.contains(&why) {
            self.told.push(why);
            browser::after(0, move || tell(Notice::NotKept(why)));
        }
    }
}

/// Goes on with the recent set-up that is open, unless another tab works on it.
pub(super) fn claim() {
    let mut found = None;
    with(|app| {
        app.claimed = app.desk.opened();
        let all = recent::list();
        found = all.into_iter().find(|one| app.desk.is_this(one));
    });
    let Some(one) = found else { return };
    let mut opened = 0;
    with(|app| opened = app.desk.opened());
    let take = move |mut one: Recent| {
        with(|app| {
            let works = app.work.as_ref().is_some_and(|work| work.opened == opened);
            if app.desk.opened() == opened && !works {
                one.tab = tab::name();
                if recent::put(&one) == Kept::Yes {
                    let id = one.id.clone();
                    app.work = Some(Work {
                        opened,
                        id,
                        kept: one,
                    });
                }
            }
        });
    };
    if recent::is_ours(&one) {
        return take(one);
    }
    tab::when_closed(one.tab.clone(), move || take(one));
}

/// Shows the recent set-ups, or puts them away.
pub(super) fn toggle() {
    save_now();
    with(|app| {
        let open = app.desk.recent().is_none().then(recent::list);
        let is_open = open.is_some();
        app.desk.show_recent(open);
        app.desk.set_open(view::MENU, false);
        app.paint_and_fill();
        if is_open {
            browser::scroll_to("recent");
            if let Some(first) = browser::by_id("recent-close") {
                browser::focus(&first);
            }
        }
    });
}

/// Recent set-ups as one file.
fn all(recent: &[Recent]) -> String {
    saved::write(
        recent
            .iter()
            .map(|one| (&*one.when, &*one.answer, &one.setup)),
    )
}

fn at(place: usize) -> Option<Recent> {
    let mut found = None;
    with(|app| found = app.desk.recent().and_then(|all| all.get(place)).cloned());
    found
}

/// The link of the recent set-up at a place.
pub(super) fn link(place: usize) -> Option<String> {
    at(place).map(|one| tapwright_core::link::encode(&one.setup))
}

/// Deletes the recent set-up at a place.
pub(super) fn delete(place: usize) {
    let Some(one) = at(place) else { return };
    recent::remove(&one.id);
    let name = view::name(&one.setup);
    with(|app| {
        app.deleted = Some(one);
        app.desk.show_recent(Some(recent::list()));
    });
    tell(Notice::Deleted(name));
    if let Some(close) = browser::by_id("recent-close") {
        browser::focus(&close);
    }
}

/// Brings back what was deleted last.
pub(super) fn restore() {
    with(|app| {
        if let Some(one) = app.deleted.take() {
            let kept = recent::put(&one);
            app.note(kept);
        }
        if app.desk.recent().is_some() {
            app.desk.show_recent(Some(recent::list()));
        }
        app.desk.act(crate::action::Action::Dismiss);
        app.paint_and_fill();
    });
}

/// Saves the set-up as a file.
pub(super) fn save_file() {
    with(|app| {
        let now = recent::now();
        let (name, text) = app.desk.to_file(now.get(..16).unwrap_or(&now));
        app.desk.set_open(view::MENU, false);
        browser::save_file(&name, &text);
        app.paint_and_fill();
    });
}

/// Saves all recent set-ups as one file.
pub(super) fn save_all() {
    with(|app| {
        let listed = app.desk.recent().map(all);
        browser::save_file(
            "set-ups.tapwright.txt",
            &listed.unwrap_or_else(|| all(&recent::list())),
        );
    });
}

/// A file of set-ups was read, or could not be.
pub fn take_saved(name: &str, read: Result<Vec<Saved>, NotSaved>) {
    save_now();
    let mut saved = match read {
        Ok(saved) => saved,
        Err(why) => {
            return with(|app| {
                app.desk.tell_file(None, not_saved(name, &why));
                app.paint_and_fill();
            });
        }
    };
    if saved.len() > 1 {
        return take_many(name, saved);
    }
    let Some(saved) = saved.pop() else { return };
    with(|app| {
        app.desk.open_saved(name, saved);
        app.paint_and_fill();
        app.enter();
    });
    super::end_brief_soon();
}

/// Why nothing was taken of a file.
fn not_saved(file: &str, why: &NotSaved) -> String {
    match why {
        NotSaved::Bytes => format!("“{file}” is no text, and so no set-up. Nothing was changed."),
        NotSaved::Empty => format!("“{file}” is empty. Nothing was changed.",),
        NotSaved::Other(line) => format!(
            "“{file}” is no set-up: it begins with “{line}”, where “v=1” would stand. Nothing was changed.",
        ),
        NotSaved::TooMany => format!(
            "“{file}” holds more than {most} set-ups. Nothing was changed.",
            most = saved::MOST,
        ),
    }
}

/// Puts the set-ups of a file among the recent ones.
fn take_many(file: &str, saved: Vec<Saved>) {
    let mut there = recent::list();
    let (count, mut same, mut taken, mut unread) = (saved.len(), 0, 0, 0);
    let mut outcome = Kept::Yes;
    for saved in saved {
        unread += usize::from(!saved.parsed.troubles.is_empty());
        let one = Recent {
            id: recent::new_id(),
            tab: String::new(),
            when: saved.when,
            answer: saved.answer,
            setup: saved.parsed.setup,
        };
        if there.iter().any(|other| other.is_of(&one.setup)) {
            same += 1;
            continue;
        }
        let name = view::name(&one.setup);
        taken += usize::from(
            !name.is_empty() && there.iter().any(|other| view::name(&other.setup) == name),
        );
        let kept = recent::put(&one);
        if kept != Kept::Yes {
            outcome = kept;
        }
        there.push(one);
    }
    there.sort_by(|a, b| b.when.cmp(&a.when));
    let told = many_told(file, count, same, taken, unread);
    with(|app| {
        app.note(outcome);
        app.desk.show_recent(Some(there));
        app.desk.tell_file(None, told);
        app.paint_and_fill();
    });
}

/// What became of a file of several set-ups: how many it holds, and how many of them were there
/// already, have the name of another, or have parts that could not be read.
fn many_told(file: &str, count: usize, same: usize, taken: usize, unread: usize) -> String {
    let mut told = vec![format!(
        "“{file}” holds {count} set-ups: they are among the recent ones."
    )];
    let in_words = |many| sentence_case(&count_in_words(many));
    if same > 0 {
        told.push(format!("{} there already.", in_words(same)));
    }
    if taken > 0 {
        told.push(format!(
            "{} with a name that another has, and another date or answer.",
            in_words(taken)
        ));
    }
    if unread > 0 {
        told.push(format!(
            "{} with parts that could not be read, as opening it says.",
            in_words(unread)
        ));
    }
    told.join(" ")
}
