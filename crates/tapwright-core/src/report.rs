//! Everything computed from a [`Setup`], and everything said of it.

use serde::Serialize;

use crate::answer::{self, Answer};
use crate::caution::Caution;
use crate::selector::Selector;
use crate::setup::Setup;
use crate::solved::{Followed, Solved};
use crate::values::{Problem, Values};
use crate::wiring::Wiring;
use crate::working::{Solution, Working};
use crate::workings;

/// What is still to be typed before there is an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Missing {
    /// No primary lead.
    Primary,
    /// No secondary tap.
    Taps,
    /// No speaker in any hookup.
    Speakers,
}

/// What was computed, and what is said of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// Fields that could not be read.
    pub problems: Vec<Problem>,
    /// What is still to be typed.
    pub missing: Vec<Missing>,
    /// Everything computed.
    #[serde(flatten)]
    pub solved: Solved,
    /// One for each hookup: which connection to use.
    pub answers: Vec<Answer>,
    /// What a selector on the primary lead that is followed would do.
    pub selector: Option<Selector>,
    /// What is said of the connection that the page follows.
    pub chosen: Option<Chosen>,
}

/// What is said of the connection that the page follows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Chosen {
    /// Where every lead goes.
    pub wiring: Option<Wiring>,
    /// What to beware of with it.
    pub cautions: Vec<Caution>,
    /// How each of its numbers came about.
    pub workings: Vec<Working>,
    /// What was solved numerically for it.
    pub solutions: Vec<Solution>,
}

impl Report {
    /// The answer for the hookup at a place in the set-up.
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let report = solve(&link::parse("primary=8k&taps=8&hookup=8").setup);
    /// assert!(report.answer(0).is_some() && report.answer(1).is_none());
    /// ```
    pub fn answer(&self, place: usize) -> Option<&Answer> {
        self.answers.iter().find(|answer| answer.hookup == place)
    }
}

/// Computes everything that a set-up allows. Never panics, never fails as a whole: a
/// part that cannot be computed is absent, and [`Report::problems`] or
/// [`Report::missing`] say why.
///
/// ```
/// use tapwright_core::{link, solve};
/// let report = solve(&link::parse("primary=8k&taps=8&hookup=8").setup);
/// assert_eq!(report.solved.connections.len(), 1);
/// assert_eq!(report.answers.len(), 1);
/// ```
pub fn solve(setup: &Setup) -> Report {
    let values = Values::read(setup);
    let solved = Solved::new(&values);
    let chosen = |followed: &Followed| Chosen {
        wiring: solved
            .followed()
            .and_then(|judged| Wiring::new(&solved, judged)),
        cautions: Caution::every(&solved, followed.place),
        workings: workings::every(&solved, followed.place),
        solutions: workings::solutions(&solved, followed.place),
    };
    Report {
        missing: missing(&values),
        answers: answer::every(&solved),
        selector: Selector::new(&solved),
        chosen: solved.followed.as_ref().map(chosen),
        problems: values.problems,
        solved,
    }
}

fn missing(values: &Values) -> Vec<Missing> {
    [
        (values.leads.is_none(), Missing::Primary),
        (values.taps.is_none(), Missing::Taps),
        (
            values.hookups.iter().all(Option::is_none),
            Missing::Speakers,
        ),
    ]
    .into_iter()
    .filter_map(|(absent, what)| absent.then_some(what))
    .collect()
}
