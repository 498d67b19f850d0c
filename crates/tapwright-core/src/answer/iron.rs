//! What to beware of in the iron: direct current in a core without a gap, and saturation.

use super::Caution;
use crate::losses::Core;
use crate::output::StageReport;
use crate::report::Report;
use crate::setup::Topology;
use crate::units::Amps;

/// Current that a pair does not cancel, over that of all plates, from which it is named.
/// Common practice, no source.
const UNLIKE: f64 = 0.05;

/// A guitar's lowest note, E2, Hz: equal temperament on 440 Hz (ISO 16).
const LOWEST_NOTE: f64 = 82.41;

/// Direct current in a core that has no gap, or that is of a line transformer and nobody said
/// that it has one.
pub(super) fn direct_current(report: &Report, stage: Option<&StageReport>) -> Option<Caution> {
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
            let least = known.direct_amps.map_or(UNLIKE * plates, |_| 0.0);
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
