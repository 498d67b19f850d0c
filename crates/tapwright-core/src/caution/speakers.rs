//! What to beware of in the speakers.

use serde::Serialize;

use super::Severity;
use crate::hookup::SolvedHookup;
use crate::judged::{Because, Judged};
use crate::output::ChosenOutput;
use crate::solved::Solved;
use tapwright_units::Watts;

/// What to beware of in the speakers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// The power (first) is more than the hookup takes (second).
    MoreThanSpeakersTake(Watts, Watts),
    /// Overdriven, the power (first) is more than the hookup takes (second).
    OverdriveMoreThanSpeakersTake(Watts, Watts),
}

/// What to beware of with a connection; `exact` is what was solved exactly for it.
pub(super) fn cautions(
    solved: &Solved,
    judged: &Judged,
    exact: Option<&ChosenOutput>,
) -> Vec<(Severity, Caution)> {
    let Some(hookup) = solved.hookup(judged.connection.choice.hookup) else {
        return Vec::new();
    };
    let severity = match judged.because() {
        Some(Because::SpeakersTakeLess) => Severity::Decisive,
        _ => Severity::Overload,
    };
    let too_much = too_much(solved, judged, hookup).map(|caution| (severity, caution));
    let overdriven = exact.and_then(|exact| overdriven(exact, hookup));
    let overdriven = overdriven.map(|caution| (Severity::BeyondFullDrive, caution));
    too_much.into_iter().chain(overdriven).collect()
}

fn too_much(solved: &Solved, judged: &Judged, hookup: &SolvedHookup) -> Option<Caution> {
    let power = solved.power_through(judged)?;
    let takes = hookup.takes().filter(|takes| takes.0 < power.0 * 0.999)?;
    Some(Caution::MoreThanSpeakersTake(power, takes))
}

/// Power beyond full drive that is more than the rated power, where that at full drive is not.
fn overdriven(exact: &ChosenOutput, hookup: &SolvedHookup) -> Option<Caution> {
    let (takes, _) = hookup.largest_power?;
    let most = exact.stresses.last()?.watts * exact.share;
    (most > takes.0 && exact.at_full.watts <= takes.0)
        .then_some(Caution::OverdriveMoreThanSpeakersTake(Watts(most), takes))
}
