//! What the page has to say besides the results.

use tapwright_core::link::{self, Trouble};
use tapwright_core::setup::Setup;

use super::Desk;
use crate::view::{self, Notice};

impl Desk {
    /// Offers the set-up of a link that was kept, when it is another one.
    pub fn offer(&mut self, kept: String) {
        let setup = link::parse(&kept).setup;
        // However it is shown.
        let as_here = Setup {
            shown: self.typed.shown,
            selected: self.typed.selected,
            ..setup.clone()
        };
        if as_here != self.typed && setup != Setup::default() {
            self.notices.push(Notice::BringBack(view::name(&setup)));
            self.kept = Some(kept);
        }
    }

    /// Says what of a link that was opened could not be read: keys and fields, which may be
    /// folded away.
    pub(super) fn tell_of_link(&mut self, troubles: &[Trouble]) {
        let problems = self.values.problems.iter();
        let at_fields =
            problems.map(|problem| format!("{}: {}", problem.field.label(), problem.complaint.why));
        let told = said_of(troubles).chain(at_fields).collect();
        self.tell_once(told);
    }

    /// Says what of a link could not be read.
    pub(super) fn tell_troubles(&mut self, troubles: &[Trouble]) {
        self.tell_once(said_of(troubles).collect());
    }

    /// Says something of a link in place of what was said before, unless it is the same.
    fn tell_once(&mut self, told: Vec<String>) {
        if told == self.told {
            return;
        }
        self.notices
            .retain(|notice| !matches!(notice, Notice::LinkTrouble(_)));
        if !told.is_empty() {
            self.notices.push(Notice::LinkTrouble(told.clone()));
        }
        self.told = told;
    }

    /// Says why a text was not taken.
    pub(super) fn tell_refused(&mut self, why: String) {
        self.notices
            .retain(|notice| !matches!(notice, Notice::Refused(_)));
        self.notices.push(Notice::Refused(why));
    }

    /// Says what became of a file, for the speaker at a place if one was meant.
    pub fn tell_file(&mut self, place: Option<usize>, what: String) {
        self.notices
            .retain(|told| !matches!(told, Notice::File(..)));
        self.notices.push(Notice::File(place, what));
    }

    /// Says in brief what just happened, in place of what was said so before.
    pub fn tell(&mut self, notice: Notice) {
        self.end_brief();
        if !self.notices.contains(&notice) {
            self.notices.push(notice);
        }
    }

    /// Takes brief notices away again.
    pub fn end_brief(&mut self) {
        self.notices.retain(|told| !told.is_brief());
    }
}

fn said_of(troubles: &[Trouble]) -> impl Iterator<Item = String> + '_ {
    troubles.iter().map(|t| format!("“{}” {}", t.key, t.why))
}
