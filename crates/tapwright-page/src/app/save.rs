//! Keeps the address and the storage true.

use super::{App, recent, with};
use crate::browser::{self, recent::Kept};

/// Address and storage follow typing after this pause. Some engines refuse more than
/// about a hundred history calls in half a minute.
const PAUSE_MS: i32 = 400;

/// What is typed is kept this long after a letter. By then the frame is painted (storing can
/// take a tenth of a frame), and nobody closes the page sooner.
const KEEP_MS: i32 = 20;

impl App {
    /// The address follows after a pause.
    pub(super) fn save_soon(&mut self) {
        if let Some(timer) = self.saving.take() {
            browser::cancel(timer);
        }
        self.saving = browser::after(PAUSE_MS, || with(App::save));
    }

    /// The present entry of the history gets the present set-up.
    pub(super) fn save(&mut self) {
        self.write(false);
    }

    /// A new entry of the history for the present set-up.
    pub(super) fn enter(&mut self) {
        self.write(true);
    }

    fn write(&mut self, push: bool) {
        if let Some(timer) = self.saving.take() {
            browser::cancel(timer);
        }
        if self.claimed != self.desk.opened() {
            // Something else was opened: it may be among the recent set-ups.
            browser::after(0, recent::claim);
        }
        self.keep_recent();
        let link = self.desk.link();
        if link != self.address {
            browser::navigate(&link, &self.desk.title(), push);
            self.address = link;
            self.keep();
        } else if self.keeping.is_some() {
            self.keep();
        }
    }

    /// Keeps the set-up in a moment, or when the page closes if that is sooner. Further letters
    /// do not delay it.
    pub(super) fn keep_soon(&mut self) {
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
            if self.has_kept && browser::kept().is_none() {
                self.note_cleared();
            }
            let kept = browser::keep(&self.desk.link());
            self.has_kept |= kept == Kept::Yes;
            self.note(kept);
        }
    }
}
