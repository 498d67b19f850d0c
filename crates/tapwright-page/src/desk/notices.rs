//! What the page has to say besides the results.

use tapwright_core::link::{self, Trouble};
use tapwright_core::setup::Setup;

use super::Desk;
use crate::view::{self, Notice};

impl Desk {
    /// Offers the last set-up back, when it is another one.
    pub(super) fn offer(&mut self, kept: Option<String>) {
        let Some(kept) = kept else { return };
        let setup = link::parse(&kept).setup;
        if setup != self.typed && setup != Setup::default() {
            self.notices.push(Notice::BringBack(view::name(&setup)));
            self.kept = Some(kept);
        }
    }

    /// Says what of a link could not be read, in place of what was said of the link before.
    pub(super) fn tell_troubles(&mut self, troubles: &[Trouble]) {
        self.notices
            .retain(|notice| !matches!(notice, Notice::LinkTrouble(_)));
        if !troubles.is_empty() {
            let told = troubles.iter().map(|t| format!("“{}” {}", t.key, t.why));
            self.notices.push(Notice::LinkTrouble(told.collect()));
        }
    }

    /// Says what became of a file, for the speaker at a place if one was meant.
    pub fn tell_file(&mut self, place: Option<usize>, file: &str, what: &str) {
        self.notices
            .retain(|told| !matches!(told, Notice::File(..)));
        self.notices
            .push(Notice::File(place, file.into(), what.into()));
    }

    /// Says in brief what just happened, in place of what was said so before.
    pub fn tell(&mut self, notice: Notice) {
        self.end_brief();
        self.notices.push(notice);
    }

    /// Takes brief notices away again.
    pub fn end_brief(&mut self) {
        self.notices
            .retain(|told| !matches!(told, Notice::Copied | Notice::NotCopied));
    }
}
