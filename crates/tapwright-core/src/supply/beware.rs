//! What to beware of, most pressing first.

use super::SupplyReport;
use crate::caution::supply::{Caution, live};
use crate::described::SolvedSupply;
use crate::setup::StampedCurrent;
use crate::solved::Solved;

/// B+ so far above the plate's limit is a winding typed twice as high. Common practice, no source.
const FAR_ABOVE: f64 = 1.5;
/// A mains fuse of up to so many times the running current still guards something. Common
/// practice, no source.
const FUSE_UP_TO: f64 = 4.0;

pub(super) fn every(solved: &Solved, found: &SolvedSupply, report: &SupplyReport) -> Vec<Caution> {
    let mut cautions: Vec<Caution> = live(solved).into_iter().collect();
    for (at, node) in report.nodes.iter().enumerate() {
        if let Some(rated) = node.rated.filter(|rated| node.cold > *rated) {
            cautions.push(match report.is_fast {
                true => Caution::ColdStart(at, node.cold, rated),
                false => Caution::Unloaded(at, node.cold, rated),
            });
        }
    }
    cautions.extend(far_above_tube(solved, report));
    cautions.extend(report.passed.iter().copied().map(Caution::Rectifier));
    cautions.extend(winding(found, report));
    let described = &found.described;
    let (mains, tap) = (described.mains, described.tap);
    if mains > 1.05 * tap {
        cautions.push(Caution::MainsAboveTap(mains, tap));
    } else if described.advised != tap {
        cautions.push(Caution::OtherTap(mains, described.advised));
    }
    if let Some(fuse) = report.mains.fuse {
        let runs = report.mains.amps;
        if fuse < runs {
            cautions.push(Caution::FuseTooSmall(fuse, runs));
        } else if fuse > FUSE_UP_TO * runs {
            cautions.push(Caution::FuseTooLarge(fuse, runs));
        }
    }
    cautions
}

fn far_above_tube(solved: &Solved, report: &SupplyReport) -> Option<Caution> {
    let limit = solved.stage()?.tube.bounds.plate_volts?;
    (report.volts > FAR_ABOVE * limit).then_some(Caution::FarAboveTube(report.volts, limit))
}

/// The current of the winding against what is typed, as that is meant.
fn winding(found: &SolvedSupply, report: &SupplyReport) -> Option<Caution> {
    let stamped = found.described.stamped_amps?;
    let carries = match found.described.current {
        StampedCurrent::Direct => {
            found.described.supply.circuit.rectifier_currents() * report.rectifier.mean
        }
        StampedCurrent::Rms => report.winding.rms,
    };
    (carries > 1.02 * stamped).then_some(Caution::Winding(carries, stamped))
}
