//! The state of the page between events: what is typed, which earlier texts are still in
//! use, what can be undone. No browser in here.

use maud::Markup;
use tapwright_core::examples::EXAMPLES;
use tapwright_core::report::{Report, solve};
use tapwright_core::setup::{Field, HookupText, Leaf, Selection, Setup, Shown, VoltsText};
use tapwright_core::values::{Values, backed_by};
use tapwright_iron::transformer::Choice;

mod curve;
mod history;
mod links;
mod notices;
mod pinned;
mod recent;
mod rows;
#[cfg(test)]
mod tests;
mod words;

use crate::action::{Action, Shape};
use crate::answers::Answers;
use crate::charts::Charts;
use crate::pinned::Pinned;
use crate::recent::Recent;
use crate::view::{self, Notice, Region, Regions, Scene};
use crate::words::Vocabulary;
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
    /// What the costly leaves answer to the report.
    answers: Answers,
    /// What is pinned as A.
    pinned: Option<Pinned>,
    history: History,
    /// The field whose last edits make one step.
    editing: Option<String>,
    open: Vec<String>,
    notices: Vec<Notice>,
    /// What was said of links, so that it is said once.
    told: Vec<String>,
    kept: Option<String>,
    /// The field that is being typed in, while what is wrong with it is not said yet.
    untold: Option<Field>,
    /// Whether what is typed is the person's own work, and not a link that was only looked at.
    theirs: bool,
    /// What is wrong with the text that was to be opened as a link.
    no_link: Option<String>,
    /// The recent set-ups, while their list is open.
    recent: Option<Vec<Recent>>,
    /// Counts what was opened in place of something else.
    opened: u32,
    /// Whether the browser hands a link to other programs of the device.
    can_share: bool,
    /// Which words the page uses.
    vocabulary: Vocabulary,
    /// Whether the page was opened from a disk, so that its address works nowhere else.
    from_disk: bool,
    /// Whether the person was warned of the voltages before.
    warned: bool,
    /// Whether the page has room for the parts beside another leaf.
    wide: bool,
}

impl Desk {
    /// Opens the page on a fragment, with or without its `#`. An empty one opens the
    /// first example.
    pub fn open(fragment: &str) -> Self {
        let parsed = links::parse(fragment);
        let settled = Setup::default();
        let values = Values::read(&parsed.setup);
        let good = backed_by(&parsed.setup, &values.problems, &settled);
        let mut desk = Self {
            report: solve(&good),
            charts: Charts::default(),
            answers: Answers::default(),
            typed: parsed.setup,
            pinned: None,
            good,
            settled,
            values,
            history: History::default(),
            editing: None,
            open: Vec::new(),
            notices: Vec::new(),
            told: Vec::new(),
            kept: None,
            untold: None,
            theirs: false,
            no_link: None,
            recent: None,
            opened: 0,
            can_share: false,
            vocabulary: Vocabulary::default(),
            from_disk: false,
            warned: false,
            wide: true,
        };
        desk.follow_pinned();
        desk.tell_of_link(&parsed.troubles);
        desk.open_incomplete();
        desk
    }

    /// The title of the page.
    pub fn title(&self) -> String {
        view::title(&self.typed)
    }

    /// Whether anything of the person's own would be lost in a crash.
    pub fn is_worth_keeping(&self) -> bool {
        let is_this = |setup| self.in_this_leaf(setup) == self.typed;
        let is_example = || EXAMPLES.iter().any(|example| is_this(example.setup()));
        self.theirs && !is_this(Setup::default()) && !is_example()
    }

    /// Tells how wide the page is. On a narrow one, where nothing can be connected yet, the
    /// parts come first.
    pub fn set_wide(&mut self, wide: bool) {
        self.wide = wide;
        let nothing = self.report.solved.connections.is_empty();
        if !wide && nothing && self.typed.shown.leaf == Leaf::default() {
            self.typed.shown.leaf = Leaf::Parts;
        }
    }

    /// The person was warned of the voltages in an earlier visit.
    pub fn set_warned(&mut self) {
        self.warned = true;
    }

    /// The leaf in sight; on a wide page the one beside the parts.
    pub fn leaf(&self) -> Leaf {
        self.scene().leaf()
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
    /// [`Self::settle`]. What is wrong with it is said by [`Self::complain`], or here, where the
    /// text ends with a comma or something was wrong already. `false` for a text that is too
    /// long to be meant: then nothing changed.
    pub fn edit(&mut self, key: &str, text: &str) -> bool {
        let field = Field::from_key(key);
        if let Some(why) = field.and_then(|field| too_long(field, text)) {
            self.tell_refused(why);
            return false;
        }
        let mut typed = self.typed.clone();
        match (key, field) {
            ("only", _) => {
                typed.shown.only = match Selection::read(text) {
                    Some(Selection::Hookup(at)) => Some(at),
                    _ => None,
                };
            }
            (_, Some(field)) if typed.set(field, text) => {}
            _ => return true,
        }
        typed.offer_rows();
        let going_on = self.editing.as_deref() == Some(key);
        if !going_on {
            self.settle();
        }
        if typed != self.typed {
            let told = |field: &Field| self.scene().problem(*field).is_some();
            // Too many volts for a transformer on the bench are said at once.
            let is_danger = matches!(field, Some(Field::Volts(_, VoltsText::FedVolts)));
            let at_once = is_danger || text.trim_end().ends_with(',');
            self.untold = field.filter(|field| !at_once && !told(field));
            self.theirs = true;
        }
        self.change(typed, !going_on);
        self.editing = Some(key.into());
        true
    }

    /// The person left the field: the next edit is a step of its own.
    pub fn settle(&mut self) {
        self.complain();
        self.editing = None;
        self.settled = self.good.clone();
    }

    /// Says what is wrong with the field that is being typed in.
    pub fn complain(&mut self) {
        if self.untold.take().is_some() {
            self.recompute();
        }
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

    fn replace(&mut self, setup: Setup) {
        self.theirs = false;
        self.opened += 1;
        self.settled = Setup::default();
        self.change(setup, true);
        self.open_incomplete();
    }

    /// Opens the parts that the first answer still needs something of, and folds the others.
    fn open_incomplete(&mut self) {
        self.open.retain(|key| !key.starts_with("part."));
        (self.open).extend(view::incomplete(&self.typed, &self.values));
    }

    /// Does what a button says, except for what needs the browser.
    pub fn act(&mut self, action: Action) {
        self.complain();
        // What was chosen in it is done.
        self.set_open(view::MENU, false);
        match action {
            Action::Undo => self.go(History::back),
            Action::Redo => self.go(History::forward),
            Action::Blank => {
                if !self.wide {
                    self.typed.shown.leaf = Leaf::Parts;
                }
                self.replace(self.in_this_leaf(Setup::default()));
            }
            Action::Example(place) => {
                if let Some(example) = EXAMPLES.get(place) {
                    self.replace(self.in_this_leaf(example.setup()));
                }
            }
            Action::BringBack => {
                if let Some(kept) = self.kept.take() {
                    self.notices.clear();
                    self.follow(&kept);
                    self.theirs = true;
                }
            }
            Action::Dismiss => self.notices.clear(),
            Action::Select(selection) => self.show(|typed| typed.selected = Some(selection)),
            Action::Turn(leaf) => {
                self.typed.shown.leaf = leaf;
                self.charts.forget();
            }
            Action::Understood => self.warned = true,
            Action::Cautions => {
                self.typed.shown.leaf = Leaf::Connections;
                self.charts.forget();
                self.set_open("cautions", true);
            }
            Action::Fold(key) => self.set_open(&key, !self.is_open(&key)),
            Action::Add(list) => self.add_row(list),
            Action::Remove(list, place) => self.remove_row(list, place),
            Action::Show(shape) => self.show(|typed| typed.shown.list = shape == Shape::List),
            Action::Sort(by) => self.show(|typed| typed.shown.sort = by),
            Action::Pin => self.pin(),
            Action::Unpin => self.unpin(),
            Action::TakeBack => self.take_back(false),
            Action::Swap => self.take_back(true),
            Action::OpenRecent(place) => self.open_recent(place),
            Action::Use(vocabulary) => self.vocabulary = vocabulary,
            // What these do is the browser's matter.
            Action::CopyLink
            | Action::Share
            | Action::SaveFile
            | Action::Recent
            | Action::CopyRecent(_)
            | Action::DeleteRecent(_)
            | Action::RestoreRecent
            | Action::SaveAll
            | Action::Update => {}
        }
    }

    /// A set-up shown in the leaf that is in sight.
    fn in_this_leaf(&self, setup: Setup) -> Setup {
        let leaf = self.typed.shown.leaf;
        let shown = Shown {
            leaf,
            ..setup.shown
        };
        Setup { shown, ..setup }
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
        let leaf = self.typed.shown.leaf;
        if !step(&mut self.history, &mut self.typed) {
            return;
        }
        // To turn a leaf is no step.
        self.typed.shown.leaf = leaf;
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
        let mut untold = self.values.problems.clone();
        untold.retain(|problem| Some(problem.field) == self.untold);
        if !untold.is_empty() {
            // Until that is said, the page is as if the field still held its last good text.
            self.values = Values::read(&backed_by(&self.typed, &untold, &self.settled));
        }
        let before = std::mem::replace(&mut self.good, good);
        if before.shown.leaf != self.good.shown.leaf {
            self.charts.forget();
        }
        if !is_one_report(before, &self.good) {
            self.report = solve(&self.good);
            self.answers = Answers::default();
            self.charts.forget();
        }
        self.follow_pinned();
    }

    /// The charts, to be read.
    pub fn charts(&self) -> &Charts {
        &self.charts
    }

    /// The charts, to move their cross-hairs.
    pub fn charts_mut(&mut self) -> &mut Charts {
        &mut self.charts
    }

    /// Every region in sight, as it should now be.
    pub fn regions(&self) -> Regions {
        let Regions { first, leaf } = view::regions(&self.scene());
        Regions {
            first: self.in_words(first),
            leaf: self.in_words(leaf),
        }
    }

    /// Every region of a leaf, in sight or not.
    pub fn leaf_regions(&self, leaf: Leaf) -> Vec<Region> {
        self.in_words(view::leaf(&self.scene(), leaf))
    }

    /// What only the printed page has.
    pub fn on_paper(&self) -> Markup {
        self.markup_in_words(view::on_paper(&self.typed))
    }

    fn scene(&self) -> Scene<'_> {
        Scene {
            typed: &self.typed,
            good: &self.good,
            report: &self.report,
            charts: &self.charts,
            answers: &self.answers,
            pinned: self.pinned.as_ref(),
            values: &self.values,
            open: &self.open,
            recent: self.recent.as_deref(),
            can_share: self.can_share,
            vocabulary: self.vocabulary,
            notices: &self.notices,
            history: self.history.has(),
            warned: self.warned,
            no_link: self.no_link.as_deref(),
            from_disk: self.from_disk,
            wide: self.wide,
        }
    }
}

/// Why a text is too long to be meant for a field: every step to undo holds it, and the link.
fn too_long(field: Field, text: &str) -> Option<String> {
    let (what, most) = match field {
        Field::Name | Field::Hookup(_, HookupText::Name) => ("a name", 200),
        _ => ("a field", 100_000),
    };
    let length = text.chars().count();
    (length > most)
        .then(|| format!("{length} characters are too many for {what}: {most} are the most."))
}

/// Whether two set-ups have the same report. The name of the amplifier and the way the
/// connections are shown change nothing in it.
fn is_one_report(before: Setup, after: &Setup) -> bool {
    *after
        == Setup {
            name: after.name.clone(),
            shown: after.shown,
            pinned: after.pinned.clone(),
            ..before
        }
}
