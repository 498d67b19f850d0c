//! A state of the whole page that is pinned as A, to be compared with now.

use tapwright_core::link;
use tapwright_core::report::{Report, solve};
use tapwright_core::setup::Setup;

use crate::answers::Answers;

/// What is pinned: the set-up, and its report as it was found once.
pub struct Pinned {
    /// The link that it travels in.
    pub link: String,
    /// The set-up.
    pub setup: Setup,
    /// Its report.
    pub report: Report,
    /// What the costly leaves answer to it.
    pub answers: Answers,
}

impl Pinned {
    /// Solves what a link holds.
    pub fn new(link: &str) -> Self {
        let setup = link::parse(link).setup;
        Self {
            link: link.into(),
            report: solve(&setup),
            setup,
            answers: Answers::default(),
        }
    }
}
