//! Volts at the capacitors before the tubes conduct.

use crate::steady::March;
use crate::{Steady, Supply, Unsolved};

/// Cycles of the mains after switching on that are followed: what overshoots behind a choke does
/// so within less.
const CYCLES: usize = 25;

/// The highest volts that each capacitor sees when the mains, higher by the part `mains_above`
/// (0.1 for 10 %), comes on while the tubes are cold: bleeders draw, tubes do not. A choke may
/// swing its capacitor above the peak; that is followed through time. Elsewhere it is where a
/// supply without tubes settles.
///
/// # Errors
/// As [`Steady::of`].
pub fn cold_start(supply: &Supply, mains_above: f64) -> Result<Vec<f64>, Unsolved> {
    let mut cold = supply.unloaded();
    cold.feed.volts *= 1.0 + mains_above;
    let settled = Steady::of(&cold)?;
    let swings = March::new(&cold)?.highest_from_empty(CYCLES);
    Ok((settled.nodes.iter().zip(swings))
        .map(|(node, swing)| node.most.max(swing))
        .collect())
}
