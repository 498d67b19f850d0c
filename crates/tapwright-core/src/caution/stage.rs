//! What to beware of in the output stage and its tubes.

use std::cmp::Ordering;

use serde::Serialize;

use super::Severity;
use super::connection::lowest_ratio;
use crate::iron::ALIKE_WITHIN;
use crate::judged::Judged;
use crate::output::{ChosenOutput, SolvedStage};
use crate::solved::Solved;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{self, Exceeded};
use tapwright_tube::Topology;
use tapwright_units::Amps;

/// What to beware of in the output stage and its tubes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// The numbers typed for the person's own tube contradict each other; how.
    TubeContradictsItself(String),
    /// No limit is typed for the person's own tube, of its plate or of its screen.
    LimitsUnknown,
    /// A limit is passed at idle, whatever the load; the worst such comes first.
    HotAtIdle(Exceeded),
    /// The operating point is odd.
    Odd(Condition),
    /// A limit is passed into this load, at some drive but not at idle.
    OverLimit(Exceeded),
    /// A limit is passed with the speakers' reactance at this frequency, Hz, and not, or by
    /// less, without it.
    OverLimitWithReactance(f64, Exceeded),
    /// The two sides of a pair draw currents that differ by this much.
    UnlikeSides(Amps),
}

/// What to beware of with a connection; `exact` is what was solved exactly for it.
pub(super) fn cautions(
    solved: &Solved,
    judged: &Judged,
    exact: Option<&ChosenOutput>,
) -> Vec<(Severity, Caution)> {
    let mut cautions = Vec::new();
    let contradiction = (solved.own.as_ref()).and_then(|own| own.contradiction.clone());
    cautions.extend(
        contradiction.map(|how| (Severity::TubeInDoubt, Caution::TubeContradictsItself(how))),
    );
    let Some(stage) = solved.stage() else {
        return cautions;
    };
    if !stage.tube.limits_are_known() {
        cautions.push((Severity::TubeInDoubt, Caution::LimitsUnknown));
    }
    let (heat, volts): (Vec<Exceeded>, Vec<Exceeded>) =
        (stage.idle_exceeds.iter()).partition(|passed| passed.burden.is_heat());
    let hot = worst_first(heat).into_iter().map(Caution::HotAtIdle);
    cautions.extend(hot.map(|caution| (Severity::HotAtIdle, caution)));
    let reactance = exact.map_or_else(Vec::new, |output| with_reactance(stage, output));
    let at_one_frequency = solved.by_curve && lowest_ratio(judged).is_some();
    let severity = match at_one_frequency {
        true => Severity::Decisive,
        false => Severity::WithReactance,
    };
    cautions.extend(reactance.into_iter().map(|caution| (severity, caution)));
    let odd = (stage.conditions.iter()).filter(|odd| **odd != Condition::StiffSupply);
    cautions.extend(odd.map(|odd| (Severity::Operation, Caution::Odd(*odd))));
    let passed = (judged.output.iter()).flat_map(|output| output.passed.into_iter().flatten());
    let (by_music, by_overdrive): (Vec<_>, Vec<_>) = passed
        .filter(|passed| passed.from > 0.0)
        .partition(Exceeded::is_up_to_full);
    let pressing = worst_first(volts.into_iter().chain(by_music).collect());
    cautions.extend(pressing.into_iter().map(|passed| match passed.from {
        0.0 => (Severity::Operation, Caution::HotAtIdle(passed)),
        _ => (Severity::Operation, Caution::OverLimit(passed)),
    }));
    if solved.iron.direct_current.is_none() {
        cautions.extend(unlike(stage).map(|caution| (Severity::Misfit, caution)));
    }
    let overdriven = worst_first(by_overdrive)
        .into_iter()
        .map(Caution::OverLimit);
    cautions.extend(overdriven.map(|caution| (Severity::Overdriven, caution)));
    cautions
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

/// Currents of the two sides that magnetise the core.
fn unlike(stage: &SolvedStage) -> Option<Caution> {
    let differ = 2.0 * stage.idle.magnetising_amps.abs();
    let push_pull = stage.stage.topology == Topology::PushPull;
    (push_pull && differ > ALIKE_WITHIN * stage.idle.all_plate_amps)
        .then_some(Caution::UnlikeSides(Amps(differ)))
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
