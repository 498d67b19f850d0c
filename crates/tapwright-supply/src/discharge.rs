//! How long the capacitors stay dangerous after the mains is off.

use nalgebra::{DMatrix, DVector};

use crate::{Capacitor, Supply};

/// Below this a charged capacitor is held to be safe to touch, V: IEC 61010-1, 6.3.1, limit for
/// direct volts in normal condition.
pub const SAFE_VOLTS: f64 = 60.0;

/// The longest that is followed, s. What takes longer counts as staying charged.
const LONGEST: f64 = 3_600.0;

/// Seconds until each capacitor is below [`SAFE_VOLTS`] after the mains went off, from volts at
/// each; `None` where that takes more than an hour. Through resistors, chokes and bleeders, and
/// what hot tubes still draw: currents that fall with the volts to the power of 1.5, as a tube's
/// do. A cold tube draws nothing: see [`Supply::unloaded`].
///
/// The capacitors of a doubler are taken as one, of half the farads.
pub fn seconds_until_safe(supply: &Supply, volts: &[f64]) -> Vec<Option<f64>> {
    let farads: Vec<f64> = (supply.capacitors().enumerate())
        .map(|(at, capacitor)| match at {
            0 => capacitor.farads / supply.circuit.peaks(),
            _ => capacitor.farads,
        })
        .collect();
    let mut now = DVector::from_column_slice(volts);
    let mut found: Vec<Option<f64>> = (now.iter())
        .map(|volts| (*volts <= SAFE_VOLTS).then_some(0.0))
        .collect();
    let mut seconds = 0.0;
    // Each step a hundredth longer than the last: as fine as the fastest capacitor at first.
    let mut step = 1e-4;
    while seconds < LONGEST && found.iter().any(Option::is_none) {
        let Some(next) = discharged(supply, &farads, &now, volts, step) else {
            break;
        };
        for (at, found) in found.iter_mut().enumerate() {
            if found.is_none() && next[at] <= SAFE_VOLTS {
                let part = (now[at] - SAFE_VOLTS) / (now[at] - next[at]);
                *found = Some(seconds + part * step);
            }
        }
        seconds += step;
        step *= 1.01;
        now = next;
    }
    found
}

/// One step backward in Euler's sense, with the tubes' conductances as they were before it.
fn discharged(
    supply: &Supply,
    farads: &[f64],
    now: &DVector<f64>,
    start: &[f64],
    step: f64,
) -> Option<DVector<f64>> {
    let size = farads.len();
    let mut system = DMatrix::<f64>::zeros(size, size);
    let mut charge = DVector::<f64>::zeros(size);
    for (at, capacitor) in supply.capacitors().enumerate() {
        let share = (now[at].max(0.0) / start[at].max(1e-9)).sqrt();
        let tubes = capacitor.amps / start[at].max(1e-9) * share;
        let bleeder = capacitor.bleeder_ohms.map_or(0.0, f64::recip);
        system[(at, at)] += farads[at] / step + tubes + bleeder;
        charge[at] = farads[at] * now[at] / step;
    }
    for (at, section) in supply.sections.iter().enumerate() {
        let conductance = 1.0 / section.series.ohms();
        for (row, column, sign) in [(0, 0, 1.0), (1, 1, 1.0), (0, 1, -1.0), (1, 0, -1.0)] {
            system[(at + row, at + column)] += sign * conductance;
        }
    }
    system.lu().solve(&charge)
}

/// The bleeder that brings all capacitors from these volts at the first one below
/// [`SAFE_VOLTS`] within so many seconds with the tubes pulled out, Ω, and its watts while the
/// supply is on. All capacitors count as one: what joins them is small beside a bleeder.
///
/// ```
/// use tapwright_supply::{Capacitor, bleeder};
/// let capacitor = Capacitor { farads: 100e-6, amps: 0.0, bleeder_ohms: None };
/// let (ohms, watts) = bleeder([capacitor].iter(), 60.0 * std::f64::consts::E, 30.0);
/// assert!((ohms - 300e3).abs() < 1e-6 && (watts - 0.08867).abs() < 1e-4);
/// ```
pub fn bleeder<'a>(
    capacitors: impl Iterator<Item = &'a Capacitor>,
    volts: f64,
    seconds: f64,
) -> (f64, f64) {
    let farads: f64 = capacitors.map(|capacitor| capacitor.farads).sum();
    let ohms = seconds / (farads * (volts / SAFE_VOLTS).max(1.01).ln());
    (ohms, volts * volts / ohms)
}
