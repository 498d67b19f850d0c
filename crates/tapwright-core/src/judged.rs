//! What came of a connection: the verdict on it, why, and its rank among those of its hookup.

use serde::Serialize;

use crate::connection::Connection;
use crate::matching::{Match, Verdict};
use crate::output::{AtDrive, Output};
use tapwright_units::Ohms;

mod candidate;
mod rank;
mod rules;

pub(crate) use candidate::{Bar, Candidate};
pub use rank::{Ranked, equally_far, ranks};
pub use rules::{DIRTIER, DIRTY, FITS_WITHIN_DECIBELS, MORE, USABLE_WITHIN_DECIBELS};
use rules::{by_distortion, by_limits, by_power, by_speakers};

/// A connection with all that came of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Judged {
    /// The connection itself.
    #[serde(flatten)]
    pub connection: Connection,
    /// What the output stage delivers into it, where the tube is known.
    pub output: Option<Output>,
    /// Where the distortion comes to 10 % (triodes: 5 %), if that is below full drive. Solved for
    /// the recommended connections and for the one that is followed.
    pub clean: Option<AtDrive>,
    /// The verdict, and what weighs on it.
    #[serde(flatten)]
    pub standing: Standing,
    /// 1 for the best connection of its hookup, and so on.
    pub rank: usize,
}

/// A verdict, and why it is not better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// How good the connection is.
    pub verdict: Verdict,
    /// What weighs on it besides the ratio to the target.
    pub because: Option<Because>,
}

/// What weighs on a verdict as much as the ratio to the target, or more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Because {
    /// Too much power is lost.
    PowerLost,
    /// The distortion is much more than into the target load.
    Dirtier,
    /// This load asks more of the tube than the target load, and more than a limit.
    LimitPassed,
    /// The power is more than the hookup takes.
    SpeakersTakeLess,
    /// Push-pull needs a centre tap, and this power tap of a line transformer has none.
    NoCentreTap,
}

impl Standing {
    /// By the ratio of the load to the target alone.
    pub fn by_ratio(load: Match) -> Self {
        Self {
            verdict: load.verdict(),
            because: None,
        }
    }

    /// With one more thing that counts. The verdict never gets better by it; of things that
    /// weigh the same, the last is the one named.
    #[must_use]
    pub fn and(self, verdict: Verdict, because: Because) -> Self {
        if verdict > Verdict::Fits && verdict >= self.verdict {
            Self {
                verdict,
                because: Some(because),
            }
        } else {
            self
        }
    }
}

/// Watts at little distortion are worth a word where they are less than this share of the watts
/// at full drive.
const WORTH_A_WORD: f64 = 0.9;

impl Judged {
    /// Where the distortion comes to 10 % (triodes: 5 %), if that is more than a tenth below the
    /// power at full drive.
    pub fn much_less_clean(&self) -> Option<AtDrive> {
        let full = self.output?.watts.0;
        (self.clean).filter(|clean| clean.delivered.watts < WORTH_A_WORD * full)
    }

    /// How good the connection is.
    pub fn verdict(&self) -> Verdict {
        self.standing.verdict
    }

    /// What weighs on it besides the ratio to the target.
    pub fn because(&self) -> Option<Because> {
        self.standing.because
    }

    /// The worst verdict that the uncertainty of the ratio allows.
    pub fn worst_verdict(&self) -> Verdict {
        let target = self.connection.load.target;
        let at = |reflected: Ohms| Match { reflected, target }.verdict();
        match self.connection.range() {
            Some((low, high)) => self.verdict().max(at(low)).max(at(high)),
            None => self.verdict(),
        }
    }
}
