//! Driver triodes, and what turns the phase for a push-pull pair.

use tapwright_tube::Model;

/// Capacitances between the electrodes of one tube, F.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capacitance {
    /// Grid to plate.
    pub grid_plate: f64,
    /// Grid to cathode; of a tube with a screen, grid to all else.
    pub input: f64,
    /// Plate to cathode; of a tube with a screen, plate to all else.
    pub output: f64,
}

/// A triode with its capacitances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triode {
    /// Its static model.
    pub model: Model,
    /// Its capacitances.
    pub capacitance: Capacitance,
}

/// What is across the cathode resistor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bypass {
    /// Nothing.
    None,
    /// A capacitor across all of it, F.
    Whole(f64),
    /// A capacitor across the upper part, F; the lower part, Ω, has none. Feedback enters at the
    /// joint.
    Partly(f64, f64),
}

/// A volume control before a grid: the whole resistance, Ω, and the share at the wiper, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Volume {
    /// End to end, Ω.
    pub ohms: f64,
    /// What the wiper takes of the volts, 0 to 1.
    pub share: f64,
}

/// A common-cathode triode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Driver {
    /// The tube.
    pub tube: Triode,
    /// Its supply, V from ground.
    pub supply_volts: f64,
    /// Plate load, Ω.
    pub plate_ohms: f64,
    /// Cathode resistor; with a part that is not bypassed, both parts together, Ω.
    pub cathode_ohms: f64,
    /// What is across it.
    pub bypass: Bypass,
    /// Grid leak, Ω.
    pub leak_ohms: f64,
    /// A volume control in place of the leak.
    pub volume: Option<Volume>,
    /// Coupling capacitor to the grid, F; `None` at an input that has none.
    pub coupling_farads: Option<f64>,
}

/// What turns the phase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Splitter {
    /// Equal loads at plate and cathode.
    SplitLoad(SplitLoad),
    /// Two triodes on one tail.
    LongTailed(LongTailed),
}

/// A triode with equal loads at plate and cathode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitLoad {
    /// The tube.
    pub tube: Triode,
    /// Its supply, V.
    pub supply_volts: f64,
    /// Each of the two loads, Ω.
    pub ohms: f64,
    /// Volts of the grid from ground where it is fed by a capacitor; `None` where it stands on
    /// the plate of the driver before it.
    pub grid_volts: Option<f64>,
}

/// Two triodes on one tail. Feedback enters at the foot of the tail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LongTailed {
    /// The tubes.
    pub tube: Triode,
    /// Their supply, V.
    pub supply_volts: f64,
    /// Plate load of the first, whose grid is driven, and of the second, Ω.
    pub plate_ohms: [f64; 2],
    /// Resistor from the cathodes to the tail, which biases them, Ω.
    pub bias_ohms: f64,
    /// The tail, Ω.
    pub tail_ohms: f64,
    /// Resistor from the foot of the tail to ground, Ω.
    pub foot_ohms: f64,
    /// Grid leaks, Ω.
    pub leak_ohms: f64,
    /// Capacitors to the grids, F.
    pub coupling_farads: f64,
}
