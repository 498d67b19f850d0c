//! A state of the whole page that is pinned as A, to be compared with now.

use std::cell::OnceCell;

use tapwright_core::feedback::LoopReport;
use tapwright_core::idle::IdleReport;
use tapwright_core::link;
use tapwright_core::report::{Report, solve};
use tapwright_core::setup::Setup;
use tapwright_core::supply::SupplyReport;

/// What is pinned: the set-up, and its report as it was found once.
pub struct Pinned {
    /// The link that it travels in.
    pub link: String,
    /// The set-up.
    pub setup: Setup,
    /// Its report.
    pub report: Report,
    /// What the feedback does in it, once that was asked.
    pub looped: OnceCell<Option<Result<LoopReport, String>>>,
    /// Its idle point, once that was asked.
    pub idled: OnceCell<Option<Result<IdleReport, String>>>,
    /// What the power supply does in it, once that was asked.
    pub supplied: OnceCell<Option<Result<SupplyReport, String>>>,
}

impl Pinned {
    /// Solves what a link holds.
    pub fn new(link: &str) -> Self {
        let setup = link::parse(link).setup;
        Self {
            link: link.into(),
            report: solve(&setup),
            setup,
            looped: OnceCell::new(),
            idled: OnceCell::new(),
            supplied: OnceCell::new(),
        }
    }
}
