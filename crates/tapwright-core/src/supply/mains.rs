//! What the amplifier takes from the mains.

use serde::Serialize;
use tapwright_supply::Steady;

use crate::described::SolvedSupply;
use crate::solved::Solved;
use crate::values::RectifierKind;

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
    let heater = |name: &str| {
        tapwright_tube::find(name).map_or(0.0, |tube| tube.heater.volts * tube.heater.amps)
    };
    let output = solved.stage().map_or(0.0, |stage| {
        let each = stage.tube.designation.map_or(0.0, heater);
        each * f64::from(stage.assumed.tubes.0)
    });
    let rectifier = match described.rectifier {
        RectifierKind::Silicon => 0.0,
        RectifierKind::Tube(tube) => tube.heater.volts * tube.heater.amps,
    };
    let driver = solved.amplifier.driver.as_ref();
    let driver = driver
        .and_then(|driver| driver.designation)
        .map_or(0.0, heater);
    let heater_watts = output + rectifier + driver;
    MainsCurrent {
        amps: steady.both_halves_rms * described.turns() + heater_watts / described.mains,
        high_tension_watts: steady.source_watts,
        heater_watts,
        fuse: described.fuse,
    }
}
