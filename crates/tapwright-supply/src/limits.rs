//! Limits of a vacuum rectifier, and the resistor that keeps it within them.

use serde::Serialize;

use crate::{Circuit, Rectifier, Steady, Supply};

/// A limit that is passed: what there is, and what the source allows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Passed {
    /// Direct current of all plates, A.
    Direct(f64, f64),
    /// Peak of each plate, A.
    Peak(f64, f64),
    /// Inverse volts at each plate without load, V.
    Inverse(f64, f64),
    /// Volts rms of the winding at each plate without load.
    PlateVolts(f64, f64),
    /// The first capacitor, F.
    First(f64, f64),
    /// Too little resistance at each plate, Ω.
    Ohms(f64, f64),
}

/// What is met within the rounding of a printed limit is not passed: 117 V rms make 331 V of
/// inverse volts, and 330 V is what is printed for a rectifier made for them.
const ROUNDED: f64 = 1.005;

impl Passed {
    /// Every limit that a supply passes with this rectifier.
    pub fn of(rectifier: &Rectifier, supply: &Supply, steady: &Steady) -> Vec<Self> {
        let limits = &rectifier.limits;
        let inverse = supply.feed.peak() * supply.circuit.inverse_peaks();
        // The limit is for a tube with all its plates at work.
        let plates: f64 = if supply.circuit == Circuit::HalfWave {
            1.0
        } else {
            2.0
        };
        let direct = steady.rectifier.mean * plates.min(f64::from(rectifier.plates));
        let above = |is: f64, allowed: Option<f64>, passed: fn(f64, f64) -> Self| {
            let allowed = allowed.filter(|allowed| is > allowed * ROUNDED)?;
            Some(passed(is, allowed))
        };
        let ohms = rectifier.least_ohms_at(supply.feed.volts);
        [
            above(direct, limits.dc_ma.map(|ma| ma * 1e-3), Self::Direct),
            above(
                steady.rectifier.peak,
                limits.peak_ma.map(|ma| ma * 1e-3),
                Self::Peak,
            ),
            above(inverse, limits.inverse_volts, Self::Inverse),
            above(supply.feed.volts, limits.plate_volts, Self::PlateVolts),
            above(
                supply.first.farads,
                limits.first_microfarads.map(|uf| uf * 1e-6),
                Self::First,
            ),
            ohms.filter(|least| supply.feed.ohms < least * (1.0 - 1e-9))
                .map(|least| Self::Ohms(supply.feed.ohms, least)),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

/// The resistor at each plate that brings the peak current and the resistance in series within
/// the limits, Ω; `None` where none is wanted, or where none would do.
pub fn plate_ohms_wanted(rectifier: &Rectifier, supply: &Supply) -> Option<f64> {
    let with = |ohms: f64| {
        let mut more = supply.clone();
        more.feed.ohms += ohms;
        more
    };
    let least = rectifier.least_ohms_at(supply.feed.volts).unwrap_or(0.0) - supply.feed.ohms;
    let mut wanted = least.max(0.0);
    if let Some(limit) = rectifier.limits.peak_ma.map(|ma| ma * 1e-3) {
        let peak = |ohms: f64| Some(Steady::of(&with(ohms)).ok()?.rectifier.peak);
        if peak(wanted)? > limit {
            let (mut low, mut high) = (wanted, 2_000.0);
            if peak(high).is_some_and(|peak| peak > limit) {
                return None;
            }
            // A supply that a resistor starves has no solution: it is within the limit.
            while high - low > 0.5 {
                let middle = 0.5 * (low + high);
                match peak(middle) {
                    Some(peak) if peak > limit => low = middle,
                    _ => high = middle,
                }
            }
            wanted = high;
        }
    }
    (wanted > 0.0).then_some(wanted)
}
