//! The connection that the rest of the page follows, solved exactly.

use serde::Serialize;

use crate::hookup::SolvedHookup;
use crate::iron::Path;
use crate::judged::Candidate;
use crate::output::ChosenOutput;
use crate::setup::Selection;
use tapwright_speaker::MixedHookup;
use tapwright_speaker::sweep::{self, Sweep};

/// The connection that the rest of the page follows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Followed {
    /// Its place among the connections.
    pub place: usize,
    /// Whether the person chose it, or it is the recommended one.
    pub by_hand: bool,
    /// What the stage does into it, or why that could not be computed; `None` without a tube.
    pub output: Option<Result<ChosenOutput, String>>,
    /// Its hookup over frequency.
    pub sweep: Option<Sweep>,
    /// The same at the frequency that was typed, alone.
    pub at_frequency: Option<Sweep>,
}

impl Followed {
    /// A candidate solved exactly at a drive and, where one is typed, at a frequency in hertz.
    pub(super) fn new(
        place: usize,
        by_hand: bool,
        candidate: &Candidate,
        hookup: Option<&SolvedHookup>,
        hertz: Option<f64>,
        drive: f64,
    ) -> Self {
        let mixed = hookup.and_then(SolvedHookup::mixed);
        let path = candidate.path;
        let swept = |frequencies: &[f64]| Some(sweep(path, mixed?, frequencies));
        Self {
            place,
            by_hand,
            output: candidate.bench.map(|bench| {
                let frequency = hertz.zip(mixed);
                bench
                    .chosen(&path.connection, &path.network, drive, frequency)
                    .map_err(|error| error.to_string())
            }),
            sweep: swept(&sweep::frequencies()),
            at_frequency: hertz.and_then(|hertz| swept(&[hertz])),
        }
    }

    /// What was solved exactly, where it could be.
    pub fn exact(&self) -> Option<&ChosenOutput> {
        self.output.as_ref()?.as_ref().ok()
    }
}

fn sweep(path: &Path, hookup: MixedHookup, frequencies: &[f64]) -> Sweep {
    Sweep::new(hookup, frequencies, |hertz, z| path.network.input(hertz, z))
}

/// The place of the connection that the person selected, if it exists, and that they did;
/// otherwise the recommended one of the hookup they selected, or of the first.
pub(super) fn place(
    selected: Option<Selection>,
    paths: &[Path],
    ranks: &[usize],
) -> Option<(usize, bool)> {
    if let Some(Selection::Connection(choice)) = selected
        && let Some(at) = (paths.iter()).position(|path| path.connection.choice == choice)
    {
        return Some((at, true));
    }
    let best = |hookup: Option<usize>| {
        (paths.iter().zip(ranks)).position(|(path, rank)| {
            *rank == 1 && hookup.is_none_or(|hookup| path.connection.choice.hookup == hookup)
        })
    };
    let selected = selected.map(Selection::hookup);
    let recommended = selected
        .and_then(|at| best(Some(at)))
        .or_else(|| best(None))?;
    Some((recommended, false))
}
