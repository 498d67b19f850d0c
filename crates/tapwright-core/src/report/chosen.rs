//! The connection that the rest of the page follows.

use serde::Serialize;

use super::Report;
use crate::answer::{self, Caution};
use crate::connection::Connection;
use crate::output::{Bench, ChosenOutput, StageReport};
use crate::setup::{Selection, Setup};
use crate::working::{Solved, Working};
use crate::workings;
use tapwright_iron::network::Network;
use tapwright_speaker::sweep::{self, Sweep};
use tapwright_stage::{StageError, stress};

/// The connection that the rest of the page follows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Chosen {
    /// Its place among [`Report::connections`].
    pub connection: usize,
    /// Whether the person chose it, or it is the recommended one.
    pub by_hand: bool,
    /// What to beware of with it.
    pub cautions: Vec<Caution>,
    /// What the stage does into it, or why that could not be computed; `None` without a tube.
    pub output: Option<Result<ChosenOutput, String>>,
    /// Its hookup over frequency.
    pub sweep: Option<Sweep>,
    /// The same at the frequency that was typed, alone.
    pub at_frequency: Option<Sweep>,
    /// How each of its numbers came about.
    pub workings: Vec<Working>,
    /// What was solved numerically for it.
    pub solved: Vec<Solved>,
}

impl Chosen {
    pub(super) fn of(report: &Report, connection: usize, by_hand: bool) -> Self {
        let passage = report.losses.passages.get(connection);
        let band =
            passage.and_then(|p| workings::losses::band(report.connections.get(connection)?, p));
        Self {
            connection,
            by_hand,
            cautions: answer::cautions(report, connection),
            output: None,
            sweep: swept(report, connection, &sweep::frequencies()),
            at_frequency: (report.frequency).and_then(|hertz| swept(report, connection, &[hertz])),
            solved: band.into_iter().collect(),
            workings: workings::of(report, connection),
        }
    }

    /// Puts in what the stage does into it, with the workings.
    pub(super) fn fill(
        &mut self,
        bench: &Bench,
        connection: &Connection,
        output: Result<ChosenOutput, StageError>,
    ) {
        if let Ok(output) = &output {
            let stage = &bench.report;
            (self.workings).extend(workings::stage::of(stage, output, connection));
            (self.solved).extend(workings::solved::of(stage, output));
        }
        self.output = Some(output.map_err(|error| error.to_string()));
    }
}

/// What to beware of with a connection once it is solved exactly.
#[derive(Default)]
pub(super) struct Further {
    /// Before everything else, but that all this is at one frequency.
    first: Vec<Caution>,
    /// Before the last caution, which every connection has.
    before_last: Vec<Caution>,
}

impl Further {
    pub fn of(report: &Report, at: usize, stage: &StageReport, output: &ChosenOutput) -> Self {
        Self {
            first: with_reactance(stage, output),
            before_last: answer::beyond_full(report, at, output, report.frequency),
        }
    }

    pub fn add_to(&self, cautions: &mut Vec<Caution>) {
        let falls = |caution: &Caution| matches!(caution, Caution::FallsTo(_));
        let at = cautions.iter().position(falls).map_or(0, |at| at + 1);
        cautions.splice(at..at, self.first.iter().cloned());
        let at = cautions.len().saturating_sub(1);
        cautions.splice(at..at, self.before_last.iter().cloned());
    }
}

/// The limits that are passed further with the speakers' reactance than without, or only so.
fn with_reactance(stage: &StageReport, output: &ChosenOutput) -> Vec<Caution> {
    let Some(Ok(found)) = &output.reactive else {
        return Vec::new();
    };
    let passed = stress::exceeded(&stage.idle, &output.stresses, &stage.tube.bounds);
    (passed.into_iter().zip(output.passed))
        .filter_map(|(passed, without)| {
            let passed = passed.filter(|passed| passed.from > 0.0)?;
            let worse = without.is_none_or(|without| passed.value > 1.02 * without.value);
            worse.then_some(Caution::OverLimitWithReactance(found.hertz, passed))
        })
        .collect()
}

fn swept(report: &Report, place: usize, frequencies: &[f64]) -> Option<Sweep> {
    let connection = report.connections.get(place)?;
    let mixed = report.hookup(connection.choice.hookup)?.mixed()?;
    let passage = report.losses.passages.get(place);
    let network = passage.map_or(Network::ideal(connection.turns_ratio), |passage| {
        passage.network
    });
    Some(Sweep::of(mixed, frequencies, &|hertz, z| {
        network.input(hertz, z)
    }))
}

/// The connection that the person selected, if it exists, and that they did; otherwise the
/// recommended one of the hookup they selected, or of the first.
pub(super) fn followed(setup: &Setup, connections: &[Connection]) -> Option<(usize, bool)> {
    let by_hand = match setup.selected {
        Some(Selection::Connection(choice)) => connections
            .iter()
            .position(|connection| connection.choice == choice),
        _ => None,
    };
    let best = |hookup: Option<usize>| {
        connections.iter().position(|connection| {
            connection.rank == 1 && hookup.is_none_or(|hookup| connection.choice.hookup == hookup)
        })
    };
    let selected = setup.selected.map(|selection| selection.hookup());
    let recommended = || {
        selected
            .and_then(|at| best(Some(at)))
            .or_else(|| best(None))
    };
    by_hand
        .map(|at| (at, true))
        .or_else(|| Some((recommended()?, false)))
}
