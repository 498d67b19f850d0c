//! What each tap of the mains gives.

use serde::Serialize;
use tapwright_supply::{Unsolved, cold_start};

use super::MAINS_ABOVE;
use crate::described::SolvedSupply;

/// One tap of the mains.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtTap {
    /// The mains that it is rated for, V.
    pub tap: f64,
    /// Whether it is in use.
    pub in_use: bool,
    /// Whether it is the one that suits the mains.
    pub advised: bool,
    /// B+ at the plates with the currents of now, in proportion to the volts; `None` where the
    /// supply cannot give them.
    pub volts: Option<f64>,
    /// Heater volts over what their winding is stamped with: the mains over the tap.
    pub heaters: f64,
    /// The most on the first capacitor at a cold start, V.
    pub cold: f64,
}

/// Every tap, as it was typed.
pub(super) fn every(found: &SolvedSupply) -> Result<Vec<AtTap>, Unsolved> {
    let described = &found.described;
    (described.taps.iter())
        .map(|tap| {
            let there = described.on_tap(*tap);
            let ratio = described.tap / tap;
            let idle = there.loaded(found.loads);
            Ok(AtTap {
                tap: *tap,
                in_use: *tap == described.tap,
                advised: *tap == described.advised,
                volts: there.volts(found.loads.times(ratio)),
                heaters: described.mains / tap,
                cold: cold_start(&idle, MAINS_ABOVE)?[0],
            })
        })
        .collect()
}
