//! Set-ups from files, and the recent ones of this device.

use tapwright_core::link::saved::{self, Saved};

use super::Desk;
use crate::recent::{Recent, file_name};
use crate::view::{self, Notice};

impl Desk {
    /// What was opened last in place of something else, by a number.
    pub fn opened(&self) -> u32 {
        self.opened
    }

    /// The browser hands links to other programs of the device.
    pub fn set_can_share(&mut self) {
        self.can_share = true;
    }

    /// What is typed, as one of the recent set-ups.
    pub fn to_recent(&self, id: String, tab: String, when: String) -> Recent {
        Recent {
            id,
            tab,
            when,
            answer: view::in_brief(&self.scene()),
            setup: self.typed.clone(),
        }
    }

    /// Whether a recent set-up is the one that is typed.
    pub fn is_this(&self, recent: &Recent) -> bool {
        recent.is_of(&self.typed)
    }

    /// What is typed as a file: its name and its text.
    pub fn to_file(&self, when: &str) -> (String, String) {
        let answer = view::in_brief(&self.scene());
        let text = saved::write([(when, &*answer, &self.typed)]);
        (file_name(&view::name(&self.typed)), text)
    }

    /// Shows a list of recent set-ups, or puts it away.
    pub fn show_recent(&mut self, recent: Option<Vec<Recent>>) {
        self.recent = recent;
    }

    /// The recent set-ups, while their list is open.
    pub fn recent(&self) -> Option<&[Recent]> {
        self.recent.as_deref()
    }

    /// Opens a recent set-up; what was there is one undo away.
    pub(super) fn open_recent(&mut self, place: usize) {
        let found = self.recent.as_ref().and_then(|recent| recent.get(place));
        if let Some(setup) = found.map(|one| one.setup.clone()) {
            self.recent = None;
            self.replace(self.in_this_leaf(setup));
            self.tell_of_link(&[]);
        }
    }

    /// Opens the set-up of a file; what was there is one undo away.
    pub fn open_saved(&mut self, file: &str, saved: Saved) {
        self.notices
            .retain(|told| !matches!(told, Notice::File(..)));
        self.recent = None;
        self.replace(self.in_this_leaf(saved.parsed.setup));
        self.tell_of_link(&saved.parsed.troubles);
        let told = match saved.when.get(..16).unwrap_or(&saved.when) {
            "" => format!("“{file}” is open."),
            when => format!("“{file}” is open, as it was saved on {when}.",),
        };
        self.tell(Notice::Opened(told));
    }

    /// Says why something was not taken.
    pub fn refuse(&mut self, why: &str) {
        self.tell_refused(why.into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::action::Action;

    const PORCH: &str = "#v=1&name=Porch%20amp&primary=8k&taps=4,%208&hookup=8";

    #[test]
    fn a_file_brings_back_what_was_saved() {
        let desk = Desk::open(PORCH);
        let (name, text) = desk.to_file("2026-11-29 14:03");
        assert_eq!(name, "Porch-amp.tapwright.txt");
        assert!(text.contains("\nanswer: 8 kΩ + 8 Ω: "), "{text}");
        let mut other = Desk::open("#v=1&primary=5k");
        let mut saved = saved::read(text.as_bytes()).expect("set-ups");
        other.open_saved(&name, saved.remove(0));
        assert_eq!(other.typed, desk.typed);
        assert!(other.notices.contains(&Notice::Opened(
            "“Porch-amp.tapwright.txt” is open, as it was saved on 2026-11-29 14:03.".into()
        )));
        other.act(Action::Undo);
        assert_eq!(other.value("primary").as_deref(), Some("5k"));
    }

    #[test]
    fn a_recent_one_opens_and_the_list_goes() {
        let one = Desk::open(PORCH).to_recent("1".into(), "tab".into(), "2026".into());
        assert!(one.answer.contains("kΩ"), "{}", one.answer);
        let mut desk = Desk::open("#v=1&primary=5k");
        let before = desk.opened();
        desk.show_recent(Some(vec![one.clone()]));
        desk.act(Action::OpenRecent(7));
        assert!(desk.recent().is_some() && desk.opened() == before);
        desk.act(Action::OpenRecent(0));
        assert!(desk.recent().is_none() && desk.opened() > before);
        assert!(desk.is_this(&one));
        assert!(!desk.is_worth_keeping(), "looked at, and not changed");
    }
}
