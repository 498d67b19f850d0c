//! What the costly leaves answer to one report, each computed when it is first asked for and
//! kept as long as the report stands.

use std::cell::OnceCell;

use tapwright_core::caution::heaters::{Told, told};
use tapwright_core::feedback::{self, LoopReport, ThroughTime};
use tapwright_core::idle::{self, IdleReport};
use tapwright_core::solved::Solved;
use tapwright_core::supply::{self, SupplyReport};

/// An answer, or why there is none; `None` until enough is known.
pub type Answer<T> = Option<Result<T, String>>;

/// The answers to one report.
#[derive(Default)]
pub struct Answers {
    feedback: OnceCell<Answer<LoopReport>>,
    through_time: OnceCell<Answer<Vec<ThroughTime>>>,
    idle: OnceCell<Answer<IdleReport>>,
    heaters: OnceCell<Told>,
    supply: OnceCell<Answer<SupplyReport>>,
}

impl Answers {
    /// What the feedback does.
    pub fn feedback(&self, solved: &Solved) -> Option<&Result<LoopReport, String>> {
        self.feedback.get_or_init(|| feedback::ask(solved)).as_ref()
    }

    /// Distortion at the outputs of which the feedback tells, through time.
    pub fn through_time(&self, solved: &Solved) -> Option<&Result<Vec<ThroughTime>, String>> {
        let asked = || {
            let report = self.feedback(solved)?.as_ref().ok()?;
            let watts: Vec<f64> = report.cleaned.iter().map(|at| at.watts).collect();
            feedback::through_time(solved, &watts)
        };
        self.through_time.get_or_init(asked).as_ref()
    }

    /// The idle point as read and as wanted.
    pub fn idle(&self, solved: &Solved) -> Option<&Result<IdleReport, String>> {
        self.idle.get_or_init(|| idle::ask(solved)).as_ref()
    }

    /// The heaters.
    pub fn heaters(&self, solved: &Solved) -> &Told {
        self.heaters.get_or_init(|| told(solved))
    }

    /// What the power supply does.
    pub fn supply(&self, solved: &Solved) -> Option<&Result<SupplyReport, String>> {
        self.supply.get_or_init(|| supply::ask(solved)).as_ref()
    }
}
