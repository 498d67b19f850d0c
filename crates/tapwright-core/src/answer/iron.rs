//! What to beware of in the iron: direct current in a core without a gap, and saturation.

use super::{ALIKE_WITHIN, Caution};
use crate::output::{ChosenOutput, StageReport};
use crate::report::Report;
use crate::setup::Topology;
use tapwright_iron::iron::Core;
use tapwright_units::{Amps, Watts};

/// A guitar's lowest note, E2, Hz: equal temperament on 440 Hz (ISO 16).
const LOWEST_NOTE: f64 = 82.41;

/// Direct current in a core that has no gap, or that is of a line transformer and nobody said
/// that it has one.
pub(crate) fn direct_current(report: &Report, stage: Option<&StageReport>) -> Option<Caution> {
    let known = &report.losses.known;
    let gap = match known.core {
        Core::Unknown => report.line.is_none(),
        Core::Gapped => true,
        Core::Ungapped => false,
    };
    if gap {
        return None;
    }
    let computed = stage.map(|stage| stage.idle.magnetising_amps.abs());
    let amps = known.direct_amps.or(computed);
    let steady = match report.topology {
        // Nothing cancels the idle current of a single-ended stage.
        Topology::SingleEnded => amps != Some(0.0),
        Topology::PushPull => {
            let plates = stage.map_or(0.0, |stage| stage.idle.all_plate_amps);
            // Half of the difference of the sides goes through the whole winding.
            let least = known
                .direct_amps
                .map_or(0.5 * ALIKE_WITHIN * plates, |_| 0.0);
            amps.is_some_and(|amps| amps > least)
        }
    };
    steady.then(|| Caution::DirectCurrentInUngappedCore(amps.map(Amps)))
}

/// A core that does not pass full power down to a guitar's lowest note.
pub(super) fn saturation(report: &Report, connection: usize) -> Option<Caution> {
    let passage = report.losses.passages.get(connection)?;
    let hertz = passage.lowest_hertz.filter(|hertz| *hertz > LOWEST_NOTE)?;
    Some(Caution::Saturates(passage.full_power?, hertz))
}

/// What a single-ended stage asks of a core of which nobody said whether it has a gap.
pub(super) fn gap_unknown(report: &Report, stage: Option<&StageReport>) -> Option<Caution> {
    let known = &report.losses.known;
    let open = known.core == Core::Unknown && report.line.is_none();
    let computed = stage.map(|stage| stage.idle.magnetising_amps.abs());
    let amps = known.direct_amps.or(computed).filter(|amps| *amps > 0.0)?;
    (open && report.topology == Topology::SingleEnded).then_some(Caution::GapUnknown(Amps(amps)))
}

/// What is too much beyond full drive, or at the drive and frequency that were typed, and is
/// not at full drive: for the speakers, and for the core.
pub(crate) fn beyond_full(
    report: &Report,
    connection: usize,
    output: &ChosenOutput,
    hertz: Option<f64>,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let Some(chosen) = report.connections.get(connection) else {
        return cautions;
    };
    let hookup = report.hookup(chosen.choice.hookup);
    let takes = hookup.and_then(|hookup| Some(hookup.largest_power?.0));
    let overdriven = output.stresses.last().map(|last| last.watts * output.share);
    if let (Some(takes), Some(most)) = (takes, overdriven)
        && most > takes.0
        && output.at_full.watts <= takes.0
    {
        cautions.push(Caution::OverdriveMoreThanSpeakersTake(Watts(most), takes));
    }
    let passage = report.losses.passages.get(connection);
    let rated = passage.and_then(|passage| Some((passage.full_power?, passage.lowest_hertz?)));
    if let Some((full, lowest)) = rated {
        // Flux goes with the volts, so the frequency with the root of the power.
        let needed = lowest * (output.delivered.watts / full.0.max(1e-9)).sqrt();
        let said = lowest > LOWEST_NOTE && hertz.is_none_or(|hertz| hertz >= lowest);
        if !said && needed > hertz.unwrap_or(LOWEST_NOTE) {
            cautions.push(Caution::Saturates(Watts(output.delivered.watts), needed));
        }
    }
    cautions
}
