//! What the amplifier takes from the mains.

use serde::Serialize;
use tapwright_supply::Steady;

use crate::described::SolvedSupply;
use crate::heaters;
use crate::solved::Solved;

/// What the amplifier takes from the mains, without what magnetises the core.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MainsCurrent {
    /// At idle, A rms: the high-tension current by the turns, and the heaters'. The two do not
    /// peak alike, so their sum is a little high.
    pub amps: f64,
    /// Into the rectifier and its winding, W.
    pub high_tension_watts: f64,
    /// Of the heaters that are known, W.
    pub heater_watts: f64,
    /// The fuse as typed, A.
    pub fuse: Option<f64>,
}

pub(super) fn current(solved: &Solved, found: &SolvedSupply, steady: &Steady) -> MainsCurrent {
    let described = &found.described;
    let heater_watts = heaters::watts(solved, described.rectifier);
    MainsCurrent {
        amps: steady.both_halves_rms * described.turns() + heater_watts / described.mains,
        high_tension_watts: steady.source_watts,
        heater_watts,
        fuse: described.fuse,
    }
}
