//! Everything that the views show.

use maud::Markup;
use tapwright_core::caution::heaters::Told;
use tapwright_core::examples::EXAMPLES;
use tapwright_core::feedback::{LoopReport, ThroughTime};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::idle::IdleReport;
use tapwright_core::report::Report;
use tapwright_core::setup::{Field, Leaf, Setup};
use tapwright_core::supply::SupplyReport;
use tapwright_core::values::{Problem, Values};

use super::{connections, feedback, heat, tube};
use crate::answers::Answers;
use crate::chart::{self, Chart};
use crate::charts::Charts;
use crate::pinned::Pinned;
use crate::recent::Recent;
use crate::words::Vocabulary;

/// Everything that the views show.
pub struct Scene<'a> {
    /// What is typed.
    pub typed: &'a Setup,
    /// The same with every field at fault at its last good text.
    pub good: &'a Setup,
    /// The report on `good`.
    pub report: &'a Report,
    /// What of `typed` could be read, and what is wrong with the rest.
    pub values: &'a Values,
    /// The charts of the leaf in sight.
    pub charts: &'a Charts,
    /// What the costly leaves answer to the report.
    pub answers: &'a Answers,
    /// What is pinned as A.
    pub pinned: Option<&'a Pinned>,
    /// Folds that stand open, by their key.
    pub open: &'a [String],
    /// The recent set-ups, while their list is open.
    pub recent: Option<&'a [Recent]>,
    /// Whether the browser hands a link to other programs of the device.
    pub can_share: bool,
    /// Which words the page uses.
    pub vocabulary: Vocabulary,
    /// What the page has to say about opening or saving, besides the results.
    pub notices: &'a [Notice],
    /// Whether there is something to undo, and to redo.
    pub history: (bool, bool),
    /// Whether the person was warned of the voltages before, and understood.
    pub warned: bool,
    /// What is wrong with the text that was to be opened as a link.
    pub no_link: Option<&'a str>,
    /// Whether the page was opened from a disk, so that its address works nowhere else.
    pub from_disk: bool,
    /// Whether the page is so wide that the parts stand beside the other leaves.
    pub wide: bool,
}

/// Something to tell that is no result: a damaged link, a set-up to bring back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// Parts of a link that could not be read.
    LinkTrouble(Vec<String>),
    /// The last set-up, by its title, can be brought back.
    BringBack(String),
    /// What there is to say of a file whose set-up is open now.
    Opened(String),
    /// The link was copied.
    Copied,
    /// The link could not be copied; it stands in the address bar.
    NotCopied,
    /// The page is on the device now.
    Kept,
    /// A newer version of the page is there.
    Newer,
    /// This is a newer version than last time.
    Changed,
    /// A text that was not taken, and why.
    Refused(String),
    /// What is typed is not kept, and why; or what was kept is gone.
    NotKept(&'static str),
    /// A recent set-up that was deleted, by its name.
    Deleted(String),
    /// What became of a file: the place of the speaker that it was for, and what was made of it
    /// or what is wrong with it.
    File(Option<usize>, String),
}

impl Notice {
    /// Whether it goes away by itself.
    pub fn is_brief(&self) -> bool {
        matches!(
            self,
            Self::Copied | Self::NotCopied | Self::Opened(..) | Self::Kept | Self::Changed
        )
    }
}

impl Scene<'_> {
    /// The leaf in sight; on a wide page the one beside the parts.
    pub fn leaf(&self) -> Leaf {
        match self.typed.shown.leaf {
            Leaf::Parts if self.wide => Leaf::Connections,
            leaf => leaf,
        }
    }

    /// Whether a fold stands open.
    pub(super) fn is_open(&self, key: &str) -> bool {
        self.open.iter().any(|open| open == key)
    }

    /// The charts, made when first asked for.
    pub(super) fn charts(&self) -> &[Chart] {
        self.charts.all(|| {
            let mut charts = self.charts_of(self.report, self.good, self.answers);
            if let Some(pinned) = self.pinned {
                let of_a = self.charts_of(&pinned.report, &pinned.setup, &pinned.answers);
                for chart in &mut charts {
                    if let Some(of_a) = of_a.iter().find(|of_a| of_a.id == chart.id) {
                        chart.overlay(of_a, "A");
                    }
                }
            }
            charts
        })
    }

    /// The charts of a report, in the leaf in sight.
    fn charts_of(&self, report: &Report, setup: &Setup, answers: &Answers) -> Vec<Chart> {
        let mut charts = tube::charts(report, setup);
        charts.extend(connections::charts(report));
        match self.leaf() {
            Leaf::Feedback => {
                if let Some(Ok(looped)) = answers.feedback(&report.solved) {
                    charts.extend(feedback::charts(report, looped));
                }
            }
            Leaf::Heat => {
                if let Some(Ok(idle)) = answers.idle(&report.solved) {
                    charts.extend(heat::charts(idle));
                }
                if let Some(Ok(supply)) = answers.supply(&report.solved) {
                    charts.extend(heat::supply_charts(supply));
                }
            }
            _ => {}
        }
        charts
    }

    /// What the feedback does; `None` until all that it needs is known.
    pub(super) fn feedback(&self) -> Option<&Result<LoopReport, String>> {
        self.answers.feedback(&self.report.solved)
    }

    /// What the feedback does in what is pinned.
    pub(super) fn pinned_feedback(&self) -> Option<&Result<LoopReport, String>> {
        let pinned = self.pinned?;
        pinned.answers.feedback(&pinned.report.solved)
    }

    /// Distortion at the outputs of which the feedback tells, through time.
    pub(super) fn through_time(&self) -> Option<&Result<Vec<ThroughTime>, String>> {
        self.answers.through_time(&self.report.solved)
    }

    /// The idle point as read and as wanted; `None` without a tube.
    pub(super) fn idle(&self) -> Option<&Result<IdleReport, String>> {
        self.answers.idle(&self.report.solved)
    }

    /// The heaters.
    pub(super) fn heaters(&self) -> &Told {
        self.answers.heaters(&self.report.solved)
    }

    /// What the power supply does; `None` until enough of it is described.
    pub(super) fn supply(&self) -> Option<&Result<SupplyReport, String>> {
        self.answers.supply(&self.report.solved)
    }

    /// What the power supply does in what is pinned.
    pub(super) fn pinned_supply(&self) -> Option<&Result<SupplyReport, String>> {
        let pinned = self.pinned?;
        pinned.answers.supply(&pinned.report.solved)
    }

    /// A chart, where there is something to draw.
    pub(super) fn chart(&self, id: &str) -> Option<&Chart> {
        self.charts().iter().find(|chart| chart.id == id)
    }

    /// A chart as it is drawn; nothing where there is none.
    pub(super) fn drawn(&self, id: &str) -> Markup {
        let drawn = |chart: &Chart| chart::draw(chart, self.is_open(&format!("table.{id}")));
        self.chart(id).map(drawn).unwrap_or_default()
    }

    /// The hookups that the filter lets through; on a narrow page the one that is followed.
    pub(super) fn hookups_shown(&self) -> impl Iterator<Item = &SolvedHookup> {
        let followed = self.report.solved.followed();
        let only = match self.wide {
            true => self.typed.shown.only,
            false => followed.map(|judged| judged.connection.choice.hookup),
        };
        let only = only.filter(|at| self.report.solved.hookup(*at).is_some());
        let hookups = self.report.solved.hookups.iter();
        hookups.filter(move |hookup| only.is_none_or(|at| hookup.place == at))
    }

    /// The complaint at a field.
    pub fn problem(&self, field: Field) -> Option<&Problem> {
        self.values
            .problems
            .iter()
            .find(|problem| problem.field == field)
    }

    /// Whether nothing is typed.
    pub(super) fn is_blank(&self) -> bool {
        let shown = self.typed.shown;
        *self.typed
            == Setup {
                shown,
                ..Setup::default()
            }
    }

    /// Whether what is shown is one of the examples, untouched.
    pub(super) fn is_example(&self) -> bool {
        EXAMPLES.iter().any(|example| {
            let shipped = example.setup();
            Setup {
                selected: None,
                shown: shipped.shown,
                ..self.typed.clone()
            } == shipped
        })
    }
}
