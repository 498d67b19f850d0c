//! A grid that is positive from ground: what brings current to it.

use serde::Serialize;

use crate::reading::Reading;

/// Current into a grid leak from where none should come.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Leak {
    /// The grid without the meter, V from ground.
    pub grid_volts: f64,
    /// What flows through the grid leak, A.
    pub amps: f64,
    /// Insulation of the coupling capacitor, Ω, if all of it comes from the plate before it.
    pub insulation_ohms: Option<f64>,
}

/// From this voltage up a grid counts as positive: below it meters show contact potentials.
/// Common practice, no source.
const POSITIVE_FROM: f64 = 0.05;

/// A leak, where the grid stands above ground by more than the reading may be wrong.
///
/// `leak_ohms` is the grid leak, `driver_volts` the plate that the coupling capacitor hangs on.
pub fn of(grid: &Reading, leak_ohms: f64, driver_volts: Option<f64>) -> Option<Leak> {
    let grid_volts = grid.without_meter();
    let doubt = grid.share * grid.volts.abs() + grid.counts;
    if grid_volts <= POSITIVE_FROM.max(doubt) {
        return None;
    }
    let amps = grid_volts / leak_ohms;
    Some(Leak {
        grid_volts,
        amps,
        insulation_ohms: driver_volts
            .filter(|volts| *volts > grid_volts)
            .map(|volts| (volts - grid_volts) / amps),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 V on 470 kΩ is 2.13 µA; from 150 V that is 70 MΩ. Exact arithmetic.
    #[test]
    fn a_volt_on_the_grid_is_seventy_megohms() {
        let shown = |volts: f64| Reading {
            volts,
            share: 0.005,
            counts: 0.02,
            source_ohms: 470e3,
        };
        let leak = of(&shown(10.0 / 10.47), 470e3, Some(150.0)).unwrap_or_else(|| panic!("a leak"));
        assert!((leak.grid_volts - 1.0).abs() < 1e-12);
        assert!((leak.amps - 1.0 / 470e3).abs() < 1e-15);
        assert!(
            leak.insulation_ohms
                .is_some_and(|ohms| (ohms - 149.0 * 470e3).abs() < 1.0)
        );
        assert_eq!(of(&shown(0.03), 470e3, None), None);
        assert_eq!(of(&shown(-12.0), 470e3, None), None);
    }
}
