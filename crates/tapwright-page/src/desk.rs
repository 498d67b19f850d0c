//! The state of the page between events: what is typed, which earlier texts are still in
//! use, what can be undone. No browser in here.

use tapwright_core::examples::EXAMPLES;
use tapwright_core::link;
use tapwright_core::report::{Report, solve};
use tapwright_core::setup::{Field, Selection, Setup};
use tapwright_core::values::{Values, backed_by};
use tapwright_iron::transformer::Choice;

mod curve;
mod history;
mod notices;
mod rows;

use crate::action::{Action, Shape};
use crate::charts::Charts;
use crate::view::{self, Notice, Region, Scene};
use history::History;

/// The workbench: one set-up being edited.
pub struct Desk {
    typed: Setup,
    good: Setup,
    /// The good texts when the present field was entered: what a field at fault falls
    /// back to, rather than to a half-typed value that happened to read well.
    settled: Setup,
    values: Values,
    report: Report,
    charts: Charts,
    history: History,
    /// The field whose last edits make one step.
    editing: Option<String>,
    open: Vec<String>,
    notices: Vec<Notice>,
    kept: Option<String>,
}

impl Desk {
    /// Opens the page on a fragment, with or without its `#`. An empty one opens the
    /// first example. `kept` is the link of the last set-up, which is offered back when
    /// it is another one.
    pub fn open(fragment: &str, kept: Option<String>) -> Self {
        let parsed = link::parse(or_first_example(fragment));
        let settled = Setup::default();
        let values = Values::read(&parsed.setup);
        let good = backed_by(&parsed.setup, &values.problems, &settled);
        let mut desk = Self {
            report: solve(&good),
            charts: Charts::default(),
            typed: parsed.setup,
            good,
            settled,
            values,
            history: History::default(),
            editing: None,
            open: Vec::new(),
            notices: Vec::new(),
            kept: None,
        };
        desk.tell_troubles(&parsed.troubles);
        desk.offer(kept);
        desk
    }

    /// The fragment that brings everything back.
    pub fn link(&self) -> String {
        link::encode(&self.typed)
    }

    /// The title of the page.
    pub fn title(&self) -> String {
        view::title(&self.typed)
    }

    /// Whether anything of the person's own would be lost in a crash.
    pub fn is_worth_keeping(&self) -> bool {
        self.typed != Setup::default()
            && !EXAMPLES.iter().any(|example| example.setup() == self.typed)
    }

    /// Whether a fold stands open.
    pub fn is_open(&self, fold: &str) -> bool {
        self.open.iter().any(|key| key == fold) || view::opens_itself(&self.typed, fold)
    }

    /// Opens or closes a fold.
    pub fn set_open(&mut self, fold: &str, open: bool) {
        self.open.retain(|key| key != fold);
        if open {
            self.open.push(fold.into());
        }
    }

    /// What a field of the form shows, by its key: the text as typed, or the value of a
    /// choice.
    pub fn value(&self, key: &str) -> Option<String> {
        match key {
            "only" => {
                let only = self.typed.shown.only;
                Some(only.map_or(String::new(), |at| (at + 1).to_string()))
            }
            _ => Some(self.typed.text(Field::from_key(key)?)?.into()),
        }
    }

    /// The keys of the fields that hold what cannot be read.
    pub fn faults(&self) -> Vec<String> {
        let problems = self.values.problems.iter();
        problems.map(|problem| problem.field.to_string()).collect()
    }

    /// Takes what was typed in a field. Edits of one field make one step to undo until
    /// [`Self::settle`].
    pub fn edit(&mut self, key: &str, text: &str) {
        let mut typed = self.typed.clone();
        match (key, Field::from_key(key)) {
            ("only", _) => {
                typed.shown.only = match Selection::read(text) {
                    Some(Selection::Hookup(at)) => Some(at),
                    _ => None,
                };
            }
            (_, Some(field)) if typed.set(field, text) => {}
            _ => return,
        }
        typed.offer_rows();
        let going_on = self.editing.as_deref() == Some(key);
        if !going_on {
            self.settle();
        }
        self.change(typed, !going_on);
        self.editing = Some(key.into());
    }

    /// The person left the field: the next edit is a step of its own.
    pub fn settle(&mut self) {
        self.editing = None;
        self.settled = self.good.clone();
    }

    /// The selection one step from the selected cell: along the leads, along the taps.
    pub fn neighbour(&self, from: &str, leads: isize, taps: isize) -> Option<String> {
        let choice = Choice::read(from)?;
        let transformer = self.report.solved.transformer.as_ref()?;
        let secondaries: Vec<_> = transformer.secondaries().collect();
        let row = secondaries
            .iter()
            .position(|secondary| *secondary == choice.secondary)?;
        let lead = choice.lead.checked_add_signed(leads)?;
        let secondary = *secondaries.get(row.checked_add_signed(taps)?)?;
        (lead < transformer.leads.len()).then(|| {
            Choice {
                lead,
                secondary,
                ..choice
            }
            .to_string()
        })
    }

    /// Replaces everything by what a fragment holds, or by the first example when it is
    /// empty; what was there is one undo away.
    pub fn follow(&mut self, fragment: &str) {
        let parsed = link::parse(or_first_example(fragment));
        if parsed.setup != self.typed {
            self.replace(parsed.setup);
        }
        self.tell_troubles(&parsed.troubles);
    }

    fn replace(&mut self, setup: Setup) {
        self.settled = Setup::default();
        self.change(setup, true);
    }

    /// Does what a button says, except for what needs the browser.
    pub fn act(&mut self, action: Action) {
        match action {
            Action::Undo => self.go(History::back),
            Action::Redo => self.go(History::forward),
            Action::Blank => self.replace(Setup::default()),
            Action::Example(place) => {
                if let Some(example) = EXAMPLES.get(place) {
                    self.set_open("examples", false);
                    self.replace(example.setup());
                }
            }
            Action::BringBack => {
                if let Some(kept) = self.kept.take() {
                    self.notices.clear();
                    self.follow(&kept);
                }
            }
            Action::Dismiss => self.notices.clear(),
            Action::Select(selection) => self.show(|typed| typed.selected = Some(selection)),
            Action::Fold(key) => self.set_open(&key, !self.is_open(&key)),
            Action::Add(list) => self.add_row(list),
            Action::Remove(list, place) => self.remove_row(list, place),
            Action::Show(shape) => self.show(|typed| typed.shown.list = shape == Shape::List),
            Action::Sort(by) => self.show(|typed| typed.shown.sort = by),
            Action::CopyLink => {}
        }
    }

    /// A step that changes what is shown, and nothing that is typed.
    fn show(&mut self, change: impl FnOnce(&mut Setup)) {
        let mut typed = self.typed.clone();
        change(&mut typed);
        self.settle();
        self.change(typed, true);
    }

    fn change(&mut self, typed: Setup, step: bool) {
        if typed == self.typed {
            return;
        }
        let before = std::mem::replace(&mut self.typed, typed);
        if step {
            self.history.step(before);
        }
        self.editing = None;
        self.history.forget_future();
        self.recompute();
    }

    /// Goes a step back or forward.
    fn go(&mut self, step: fn(&mut History, &mut Setup) -> bool) {
        if !step(&mut self.history, &mut self.typed) {
            return;
        }
        self.settle();
        // Rows may have come or gone: their places in the last good set-up mean nothing.
        if rows::counts(&self.settled) != rows::counts(&self.typed) {
            self.settled = Setup::default();
        }
        self.recompute();
    }

    fn recompute(&mut self) {
        self.values = Values::read(&self.typed);
        let good = backed_by(&self.typed, &self.values.problems, &self.settled);
        let before = std::mem::replace(&mut self.good, good);
        if !is_one_report(before, &self.good) {
            self.report = solve(&self.good);
            self.charts.forget();
        }
    }

    /// The charts, to be read.
    pub fn charts(&self) -> &Charts {
        &self.charts
    }

    /// The charts, to move their cross-hairs.
    pub fn charts_mut(&mut self) -> &mut Charts {
        &mut self.charts
    }

    /// Every region of the page as it should now be.
    pub fn regions(&self) -> Vec<Region> {
        self.regions_where(&|_| true)
    }

    /// The same, but only those whose id is `wanted`.
    pub fn regions_where(&self, wanted: &dyn Fn(&str) -> bool) -> Vec<Region> {
        view::regions(&self.scene(), wanted)
    }

    /// The ids of the regions that can wait while they are off the screen.
    pub fn waiting(&self) -> Vec<String> {
        view::waiting(&self.scene())
    }

    fn scene(&self) -> Scene<'_> {
        Scene {
            typed: &self.typed,
            good: &self.good,
            report: &self.report,
            charts: &self.charts,
            values: &self.values,
            open: &self.open,
            notices: &self.notices,
            history: self.history.has(),
        }
    }
}

/// Whether two set-ups have the same report. The name of the amplifier and the way the
/// connections are shown change nothing in it.
fn is_one_report(before: Setup, after: &Setup) -> bool {
    *after
        == Setup {
            name: after.name.clone(),
            shown: after.shown,
            ..before
        }
}

fn or_first_example(fragment: &str) -> &str {
    match fragment.trim_start_matches('#') {
        "" => EXAMPLES[0].link,
        // With its first `#`, behind which others belong to the link.
        _ => fragment,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tapwright_core::setup::{List, SortBy};

    fn text(desk: &Desk, id: &str) -> String {
        let regions = desk.regions();
        let region = regions.into_iter().find(|region| region.id == id);
        region
            .unwrap_or_else(|| panic!("no region {id}"))
            .markup
            .into_string()
    }

    #[test]
    fn the_first_visit_opens_the_first_example_and_says_so() {
        let desk = Desk::open("", None);
        assert!(text(&desk, "standing").contains("example, invented values"));
        assert!(text(&desk, "answer").contains("Use "));
    }

    #[test]
    fn a_bad_field_keeps_the_last_good_result_and_marks_it() {
        let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8&target=8k", None);
        let good = text(&desk, "answer");
        desk.edit("taps", "8 ohn");
        assert!(
            !text(&desk, "echo-taps").contains("bad"),
            "a word beside a value is a name"
        );
        desk.edit("taps", "8, 0");
        assert!(text(&desk, "echo-taps").contains("is zero"));
        assert!(text(&desk, "echo-taps").contains("Still using 8."));
        let stale = text(&desk, "answer");
        assert!(
            stale.contains("stale") && stale.contains("8.00\u{a0}kΩ"),
            "{stale}"
        );
        assert!(!good.contains("stale"));
        assert_eq!(desk.value("taps").as_deref(), Some("8, 0"));
    }

    /// The report is computed again whenever it may differ.
    #[test]
    fn the_report_is_always_that_of_the_good_texts() {
        let mut desk = Desk::open(EXAMPLES[0].link, None);
        for (key, text) in [
            ("name", "Another"),
            ("supply", "260"),
            ("taps", "8, 0"),
            ("taps", "8, 16"),
            ("only", "1"),
            ("hookup.1.name", "Stage left"),
            ("hookup.1.rating", "5"),
            ("core", "ungapped"),
            ("name", ""),
        ] {
            desk.edit(key, text);
            let fresh = solve(&desk.good);
            assert_eq!(desk.report, fresh, "{key} {text}");
        }
        for action in [
            Action::Show(Shape::List),
            Action::Sort(SortBy::Loss),
            Action::Select(Selection::Hookup(0)),
            Action::Undo,
            Action::Undo,
            Action::Redo,
        ] {
            desk.act(action.clone());
            let fresh = solve(&desk.good);
            assert_eq!(desk.report, fresh, "{action}");
        }
    }

    #[test]
    fn undo_takes_back_a_whole_field_and_redo_brings_it_again() {
        let mut desk = Desk::open("#v=1&primary=8k", None);
        for text in ["4", "4,", "4, 8"] {
            desk.edit("taps", text);
        }
        desk.settle();
        desk.edit("taps", "4, 8, 16");
        desk.act(Action::Undo);
        assert_eq!(desk.value("taps").as_deref(), Some("4, 8"));
        desk.act(Action::Undo);
        assert_eq!(desk.value("taps").as_deref(), Some(""));
        desk.act(Action::Redo);
        desk.act(Action::Redo);
        assert_eq!(desk.value("taps").as_deref(), Some("4, 8, 16"));
    }

    #[test]
    fn an_example_does_not_destroy_what_was_there() {
        let mut desk = Desk::open("#v=1&primary=6k6", None);
        desk.act(Action::Example(1));
        assert_eq!(desk.value("marking").as_deref(), Some("line"));
        desk.act(Action::Undo);
        assert_eq!(desk.value("primary").as_deref(), Some("6k6"));
    }

    #[test]
    fn the_last_set_up_is_offered_and_not_forced() {
        let kept = "v=1&name=Mine&primary=6k6".to_owned();
        let mut desk = Desk::open("", Some(kept.clone()));
        assert!(text(&desk, "notices").contains("“Mine”"));
        assert_ne!(desk.link(), kept);
        desk.act(Action::BringBack);
        assert_eq!(desk.link(), kept);
        assert!(Desk::open(&kept, Some(kept.clone())).notices.is_empty());
    }

    #[test]
    fn removing_a_hookup_keeps_the_good_text_of_the_others() {
        let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=4&hookup=8", None);
        desk.edit("hookup.2.speakers", "8//");
        desk.act(Action::Remove(List::Hookup, 0));
        assert!(text(&desk, "echo-hookup-1-speakers").contains("Still using 8."));
    }

    #[test]
    fn a_selected_hookup_follows_its_recommendation() {
        let mut desk = Desk::open("#v=1&primary=8k&taps=4,%208&hookup=4&hookup=8", None);
        desk.act(Action::Select(Selection::Hookup(1)));
        assert!(desk.link().ends_with("&selected=2"));
        let other = Selection::read("1,1,2").map(Action::Select);
        desk.act(other.expect("a connection"));
        assert!(text(&desk, "chosen").contains("Your choice, number"));
        assert_eq!(desk.neighbour("1,1,2", 0, 1).as_deref(), Some("1,2,2"));
        assert_eq!(desk.neighbour("1,1,2", 1, 0), None);
    }
}
