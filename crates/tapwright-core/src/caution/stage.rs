//! What to beware of in the output stage and its tubes.

use std::cmp::Ordering;

use serde::Serialize;

use super::Severity;
use super::connection::lowest_ratio;
use crate::judged::{Because, Judged, MORE};
use crate::output::{ChosenOutput, SolvedStage};
use crate::solved::Solved;
use tapwright_stage::stress::{self, Exceeded};

/// What to beware of in the output stage and its tubes, in one connection. What is wrong into
/// any load stands in [`crate::health::Health`].
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// A limit is passed into this load, further than into the target load.
    OverLimit(Exceeded),
    /// A limit is passed with the speakers' reactance at this frequency, Hz, and not, or by
    /// less, without it.
    OverLimitWithReactance(f64, Exceeded),
    /// The distortion into this load (first) is much more than into the target load (second).
    Dirtier(f64, f64),
}

/// What to beware of with a connection; `exact` is what was solved exactly for it.
pub(super) fn cautions(
    solved: &Solved,
    judged: &Judged,
    exact: Option<&ChosenOutput>,
) -> Vec<(Severity, Caution)> {
    let Some(stage) = solved.stage() else {
        return Vec::new();
    };
    let mut cautions = Vec::new();
    let reactance = exact.map_or_else(Vec::new, |output| with_reactance(stage, output));
    let at_one_frequency = solved.by_curve && lowest_ratio(judged).is_some();
    let severity = match at_one_frequency {
        true => Severity::Decisive,
        false => Severity::WithReactance,
    };
    cautions.extend(reactance.into_iter().map(|caution| (severity, caution)));
    let (by_music, by_overdrive): (Vec<_>, Vec<_>) = beyond_target(stage, judged)
        .into_iter()
        .partition(Exceeded::is_up_to_full);
    let music = worst_first(by_music).into_iter().map(Caution::OverLimit);
    cautions.extend(music.map(|caution| (Severity::Operation, caution)));
    if let (Some(output), Some(Because::Dirtier)) = (judged.output, judged.because()) {
        let dirtier = Caution::Dirtier(output.thd, stage.at_target.thd);
        cautions.push((Severity::Misfit, dirtier));
    }
    let overdriven = worst_first(by_overdrive)
        .into_iter()
        .map(Caution::OverLimit);
    cautions.extend(overdriven.map(|caution| (Severity::Overdriven, caution)));
    cautions
}

/// The limits that a connection passes further than the target load does, though not at idle.
fn beyond_target(stage: &SolvedStage, judged: &Judged) -> Vec<Exceeded> {
    let Some(output) = judged.output else {
        return Vec::new();
    };
    let pairs = output.passed.into_iter().zip(stage.target_passes);
    pairs
        .filter_map(|(passed, at_target)| {
            let passed = passed.filter(|passed| passed.from > 0.0)?;
            let further = at_target.is_none_or(|target| {
                passed.value > MORE * target.value || passed.up_to_full > MORE * target.up_to_full
            });
            further.then_some(passed)
        })
        .collect()
}

/// By how far each goes beyond its limit up to full drive, then beyond that.
fn worst_first(mut passed: Vec<Exceeded>) -> Vec<Exceeded> {
    let beyond = |passed: &Exceeded| passed.up_to_full.max(passed.limit) / passed.limit;
    passed.sort_by(|a, b| {
        (beyond(b), b.over())
            .partial_cmp(&(beyond(a), a.over()))
            .unwrap_or(Ordering::Equal)
    });
    passed
}

/// The limits that are passed further with the speakers' reactance than without, or only so.
fn with_reactance(stage: &SolvedStage, output: &ChosenOutput) -> Vec<Caution> {
    let Some(found) = output.with_reactance() else {
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
