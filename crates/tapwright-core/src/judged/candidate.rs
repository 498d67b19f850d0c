//! A connection on the way to its verdict.

use super::{Because, Standing, by_distortion, by_limits, by_power, by_speakers};
use crate::hookup::SolvedHookup;
use crate::iron::Path;
use crate::matching::Verdict;
use crate::output::{AtDrive, Bench, ChosenOutput, Output};
use tapwright_iron::transformer::Transformer;
use tapwright_tube::Topology;

/// A connection with the stage that it was solved with.
pub(crate) struct Candidate<'a> {
    /// The connection and its network.
    pub path: &'a Path,
    /// The stage on the lead's winding.
    pub bench: Option<&'a Bench<'a>>,
    /// What that delivers.
    pub output: Option<Output>,
    /// The verdict, all counted.
    pub standing: Standing,
}

/// What a connection is judged with.
#[derive(Clone, Copy)]
pub(crate) struct Bar<'a> {
    pub topology: Topology,
    pub transformer: &'a Transformer,
    pub benches: &'a [Bench<'a>],
    pub hookups: &'a [SolvedHookup],
}

impl<'a> Candidate<'a> {
    /// A connection judged by everything that it does differently from others: by its ratio,
    /// by what it costs beyond the target load in power, in stress and in distortion, by the
    /// centre tap that it lacks, and by what its speakers take.
    pub fn new(path: &'a Path, bar: Bar<'a>) -> Self {
        let choice = path.connection.choice;
        let bench = (bar.benches.iter()).find(|bench| bench.is_on_winding_of(&path.network));
        let output =
            bench.and_then(|bench| bench.output(&path.network, path.connection.impedance.0));
        let mut standing = Standing::by_ratio(path.connection.load);
        if let (Some(bench), Some(output)) = (bench, &output) {
            let target = &bench.report;
            standing = standing
                .and(by_power(-output.against_target.0), Because::PowerLost)
                .and(
                    by_distortion(output.thd, target.at_target.thd),
                    Because::Dirtier,
                )
                .and(
                    by_limits(&output.passed, &target.target_passes),
                    Because::LimitPassed,
                );
        }
        let lacks_centre = bar.topology == Topology::PushPull
            && bar.transformer.line.is_some()
            && bar.transformer.middle(choice.lead).is_none();
        if lacks_centre {
            standing = standing.and(Verdict::Avoid, Because::NoCentreTap);
        }
        let hookup = bar
            .hookups
            .iter()
            .find(|hookup| hookup.place == choice.hookup);
        if let (Some(output), Some(takes)) = (&output, hookup.and_then(SolvedHookup::takes)) {
            let beyond = output.watts.0 / takes.0;
            standing = standing.and(by_speakers(beyond), Because::SpeakersTakeLess);
        }
        Self {
            path,
            bench,
            output,
            standing,
        }
    }

    /// Where the distortion comes to little, below full drive.
    pub fn clean(&self) -> Option<AtDrive> {
        let speakers = self.path.connection.impedance.0;
        self.bench?.clean_into(&self.path.network, speakers)
    }

    /// What the stage delivers, with what was solved exactly.
    pub fn refined(&self, exact: Option<&ChosenOutput>) -> Option<Output> {
        match (self.bench, exact) {
            (Some(bench), Some(exact)) => Some(bench.refined(self.output?, exact)),
            _ => self.output,
        }
    }
}
