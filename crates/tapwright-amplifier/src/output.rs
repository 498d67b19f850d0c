//! The output stage's parts besides those that the stage solver knows.

use crate::driver::Capacitance;
use tapwright_stage::Stage;

/// The output stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    /// Tubes, supplies, bias, screens, as the stage solver has them.
    pub stage: Stage,
    /// Capacitances of one tube.
    pub capacitance: Capacitance,
    /// Coupling capacitor to each grid, F.
    pub coupling_farads: f64,
    /// Grid leak of each side, Ω.
    pub leak_ohms: f64,
    /// Resistor in series with the grids of each side, Ω: one for all tubes of a side.
    pub grid_ohms: f64,
    /// Across the cathode resistor, F.
    pub cathode_farads: f64,
    /// From B+ to ground, F.
    pub supply_farads: f64,
    /// From the screens' supply to ground, F.
    pub screen_farads: f64,
}
