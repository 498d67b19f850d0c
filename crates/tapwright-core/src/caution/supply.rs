//! What to beware of in the power supply.

use serde::Serialize;
use tapwright_supply::Passed;
use tapwright_tube::Tube;

use super::Severity;
use crate::solved::Solved;

/// Heaters of at least so many volts stand in series across the mains. Common practice, no source.
const SERIES_HEATER: f64 = 20.0;
/// Up to such a B+ the mains is rectified without a transformer, V. Common practice, no source.
const STRAIGHT_FROM_MAINS: f64 = 150.0;

/// What to beware of in the power supply.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// Nothing isolates the chassis from the mains.
    LiveChassis,
    /// Such tubes at such a B+ mostly run without a mains transformer.
    MaybeLiveChassis,
    /// A capacitor, counted from the first, sees more volts before the tubes conduct (first) than
    /// it is rated for (second).
    ColdStart(usize, f64, f64),
    /// The same with the tubes pulled out, or before they are warm, where the rectifier warms up
    /// as they do.
    Unloaded(usize, f64, f64),
    /// B+ as computed (first) is far above what the tube's plate may stand at (second), V.
    FarAboveTube(f64, f64),
    /// A limit of the rectifier is passed.
    Rectifier(Passed),
    /// The current of the winding (first) is above what is stamped (second), A.
    Winding(f64, f64),
    /// The mains (first) is more than 5 % above the tap in use (second), V.
    MainsAboveTap(f64, f64),
    /// Another tap (second) suits the mains (first) better, V.
    OtherTap(f64, f64),
    /// The fuse (first) carries less than the amplifier takes while it runs (second), A.
    FuseTooSmall(f64, f64),
    /// The fuse (first) is many times what the amplifier takes (second), A.
    FuseTooLarge(f64, f64),
}

/// What is said of the supply before any number, in every connection.
pub(super) fn cautions(solved: &Solved) -> Vec<(Severity, Caution)> {
    let live = live(solved).into_iter();
    live.map(|caution| (Severity::Lethal, caution)).collect()
}

/// Whether the chassis is live, or may be.
pub fn live(solved: &Solved) -> Option<Caution> {
    if solved.is_live {
        return Some(Caution::LiveChassis);
    }
    let described = solved.power_supply.is_some();
    let stage = solved.stage().filter(|_| !described)?;
    let tube = stage.tube.designation.and_then(tapwright_tube::find)?;
    let straight = |tube: &Tube| tube.heater.volts >= SERIES_HEATER;
    (straight(tube) && stage.assumed.supply.0 <= STRAIGHT_FROM_MAINS)
        .then_some(Caution::MaybeLiveChassis)
}
