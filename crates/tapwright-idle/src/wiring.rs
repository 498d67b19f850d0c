//! How the currents of the stage flow through what the readings were taken over.

use tapwright_tube::Model;

use crate::reading::Resistor;

/// Between the cathodes and ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CathodePath {
    /// One resistor for all tubes.
    Common(Resistor),
    /// One for each tube.
    Each(Resistor),
    /// A resistor of which nothing is known.
    Unknown,
    /// Nothing.
    Grounded,
}

/// Where the screens are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScreenPath {
    /// The tube has none.
    Absent,
    /// On the plates.
    OnPlate,
    /// On taps of the primary, at this fraction of the turns from the supply end.
    Tap(f64),
    /// On a supply that does not follow the plates.
    Steady,
}

/// The resistor over which a screen's drop is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScreenResistor {
    /// Each tube's own.
    Each(Resistor),
    /// The one of all tubes.
    Common(Resistor),
}

/// The stage as the readings see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wiring {
    /// Single-ended 1, push-pull 2.
    pub sides: usize,
    /// Tubes in parallel on each side.
    pub tubes_per_side: u32,
    /// Between the cathodes and ground.
    pub cathode: CathodePath,
    /// Between B+ and one side's plates: in push-pull half of the primary.
    pub winding: Option<Resistor>,
    /// Where the screens are.
    pub screen: ScreenPath,
    /// Over which their drop is read.
    pub screen_resistor: Option<ScreenResistor>,
}

/// What stands in for a voltage that was not read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// The tube's model: how its current divides between plate and screen.
    pub model: Model,
    /// B+ at the primary, V from ground, and the limit of its error, V.
    pub supply: Option<(f64, f64)>,
    /// Steady screens, V from ground.
    pub screen_volts: f64,
    /// Grids, V from ground.
    pub grid_volts: f64,
}

impl Wiring {
    /// Tubes in all.
    pub fn tubes(&self) -> f64 {
        self.sides as f64 * f64::from(self.tubes_per_side)
    }
}
