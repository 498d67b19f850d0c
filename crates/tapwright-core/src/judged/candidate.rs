//! A connection on the way to its verdict.

use super::{Because, Standing, by_idle, by_limits, by_point, by_power, by_speakers};
use crate::iron::Path;
use crate::matching::Verdict;
use crate::output::{Bench, ChosenOutput, Output};
use tapwright_iron::transformer::Transformer;
use tapwright_tube::Topology;
use tapwright_units::Watts;

/// A connection with the stage that it was solved with.
pub(crate) struct Candidate<'a> {
    /// The connection and its network.
    pub path: &'a Path,
    /// The stage on the lead's winding.
    pub bench: Option<&'a Bench<'a>>,
    /// What that delivers.
    pub output: Option<Output>,
    /// By everything that another load would mend. Ranks are made of this.
    pub by_load: Standing,
}

impl<'a> Candidate<'a> {
    /// A connection with the stage on the winding that it has, if that was solved.
    pub fn new(
        path: &'a Path,
        benches: &'a [Bench<'a>],
        topology: Topology,
        transformer: Option<&Transformer>,
    ) -> Self {
        let bench = (benches.iter()).find(|bench| bench.is_on_winding_of(&path.network));
        let output =
            bench.and_then(|bench| bench.output(&path.network, path.connection.impedance.0));
        let standing = Standing::by_ratio(path.connection.load);
        let standing = match (bench, &output) {
            (Some(bench), Some(output)) => {
                let limits = by_limits(&output.passed, &bench.report.target_passes);
                standing
                    .and(by_power(-output.against_target.0), Because::PowerLost)
                    .and(limits, Because::LimitPassed)
            }
            _ => standing,
        };
        let lead = path.connection.choice.lead;
        let lacks_centre = topology == Topology::PushPull
            && (transformer.filter(|transformer| transformer.line.is_some()))
                .is_some_and(|transformer| transformer.middle(lead).is_none());
        Self {
            path,
            bench,
            output,
            by_load: match lacks_centre {
                true => standing.and(Verdict::Avoid, Because::NoCentreTap),
                false => standing,
            },
        }
    }

    /// What the stage delivers, with what was solved exactly.
    pub fn refined(&self, exact: Option<&ChosenOutput>) -> Option<Output> {
        match (self.bench, exact) {
            (Some(bench), Some(exact)) => Some(bench.refined(self.output?, exact)),
            _ => self.output,
        }
    }

    /// The final standing. It counts what no other load mends: speakers that take less than
    /// there is, an odd operating point, tubes too hot at idle, a steady current in a core
    /// without a gap. `takes` is the power that a hookup takes, by its place.
    ///
    /// Ranks come before it: among loads that are all to avoid, the nearest is still the one
    /// to make safe.
    pub fn standing(
        &self,
        takes: impl Fn(usize) -> Option<Watts>,
        has_direct_current: bool,
    ) -> Standing {
        let mut standing = self.by_load;
        if let Some(bench) = self.bench {
            let takes = takes(self.path.connection.choice.hookup);
            let beyond =
                (self.output.zip(takes)).map_or(0.0, |(output, takes)| output.watts.0 / takes.0);
            standing = standing
                .and(by_speakers(beyond), Because::SpeakersTakeLess)
                .and(by_point(&bench.report.conditions), Because::OddPoint)
                .and(by_idle(&bench.report.idle_exceeds), Because::HotAtIdle);
        }
        match has_direct_current {
            true => standing.and(Verdict::Usable, Because::DirectCurrent),
            false => standing,
        }
    }
}
