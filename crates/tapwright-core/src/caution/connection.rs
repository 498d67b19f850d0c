//! What to beware of in a connection itself.

use serde::Serialize;

use super::Severity;
use crate::judged::{Because, Judged};
use crate::matching::Verdict;
use crate::solved::Solved;
use tapwright_units::{Decibels, Ohms};

/// What to beware of in a connection itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// At another frequency than the one that it was taken at the load is as low as this ratio,
    /// and one to avoid.
    FallsTo(f64),
    /// A degenerate pair.
    Degenerate,
    /// The load is further from the target than fits; the ratio.
    NotAFit(f64),
    /// So much power is lost against the target load that it does not fit.
    LosesPower(Decibels),
    /// Within the uncertainty of the readings (first to second) the verdict is worse.
    RatioUnsure(Ohms, Ohms),
    /// The load may, within the speakers' ratings, be as low as this ratio, and then
    /// it is one to avoid.
    MayFallTo(f64),
    /// The lower of two taps becomes the return; the common lead is at signal voltage.
    CommonLeadIsLive,
    /// Nothing special: the stage must never run without a load.
    NeverWithoutLoad,
}

/// What to beware of with a connection.
pub(super) fn cautions(solved: &Solved, judged: &Judged) -> Vec<(Severity, Caution)> {
    let connection = &judged.connection;
    let mut cautions = Vec::new();
    if connection.degenerate.is_some() {
        cautions.push((Severity::Misfit, Caution::Degenerate));
    }
    if !connection.load.verdict().is_fit() {
        cautions.push((Severity::Misfit, Caution::NotAFit(connection.ratio)));
    }
    if let Some(output) = judged.output
        && judged.because() == Some(Because::PowerLost)
    {
        cautions.push((Severity::Misfit, Caution::LosesPower(output.against_target)));
    }
    if let Some((low, high)) = connection.range()
        && judged.worst_verdict() > judged.verdict()
    {
        cautions.push((Severity::Tolerance, Caution::RatioUnsure(low, high)));
    }
    let lowest = lowest_ratio(judged);
    if solved.by_curve {
        cautions.extend(lowest.map(|ratio| (Severity::OneFrequency, Caution::FallsTo(ratio))));
    } else {
        cautions.extend(lowest.map(|ratio| (Severity::Tolerance, Caution::MayFallTo(ratio))));
    }
    if connection.is_pair() {
        cautions.push((Severity::Handling, Caution::CommonLeadIsLive));
    }
    cautions.push((Severity::Always, Caution::NeverWithoutLoad));
    cautions
}

/// The ratio where the load is lowest, when it is one to avoid there and only there.
pub(super) fn lowest_ratio(judged: &Judged) -> Option<f64> {
    let connection = &judged.connection;
    (judged.verdict() != Verdict::Avoid && connection.lowest_verdict == Verdict::Avoid)
        .then_some(connection.lowest_reflected.0 / connection.load.target.0)
}
