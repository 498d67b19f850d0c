//! The output stage: what one tube, or a pair, or several in parallel really deliver.
//!
//! The drive is a sine at each grid. At every instant the tube's own curves are solved
//! against the load (`phase`); the currents averaged over the cycle load the supply, drop
//! volts in the winding and the screen resistor, and move a cathode bias, until all agree
//! (`settle`). Capacitors and the primary inductance are taken as large: they hold their
//! average over a cycle. The load is a resistance, or has reactance ([`reactive`]).
//!
//! All quantities are in volts, amperes, ohms and watts.
#![forbid(unsafe_code)]

use serde::Serialize;

use tapwright_tube::{Bias, Flow, Model, Topology};

pub mod curve;
pub mod cycle;
pub mod idle;
pub mod reactive;
pub mod stress;
pub mod windings;

mod cubic;
mod phase;
mod settle;
mod solver;

pub use curve::{Delivered, LoadCurve};
pub use cycle::{Cycle, Drive, Instant, SideAverages};
pub use idle::{Condition, Idle};
pub use reactive::Loop;
pub use solver::Solver;
pub use stress::{Burden, Exceeded, Stress, StressCurve};
pub use windings::Windings;

/// A voltage behind a resistance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Supply {
    /// Open-circuit, V, above zero.
    pub volts: f64,
    /// Source resistance, Ω, zero or more.
    pub ohms: f64,
}

/// Where the screens get their voltage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ScreenFeed {
    /// From a supply of its own. Its resistance is common to all tubes, with a capacitor behind.
    Own(Supply),
    /// From the plate supply's output through a dropping resistor common to all tubes, with a
    /// capacitor behind, Ω.
    Dropper(f64),
    /// From a tap on the primary at this fraction of the turns from the supply end to the
    /// plate: 0 to 1. A tap at 1 is triode connection; triodes proper are written so too.
    Tap(f64),
}

/// Resistors between the screens and what feeds them, with no capacitor behind: what the
/// screens draw at an instant takes its volts at that instant.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Stoppers {
    /// At each tube's screen, Ω.
    pub each: f64,
    /// Common to all tubes, Ω; 0 where the screens are on taps or on the plates.
    pub common: f64,
}

/// How unlike the two sides of a push-pull stage are. Each is a difference over the mean.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Imbalance {
    /// Of the tubes' currents at the same voltages.
    pub current: f64,
    /// Of the drive voltages.
    pub drive: f64,
    /// Of the turns on the two half windings.
    pub turns: f64,
}

impl Imbalance {
    /// The drive of the side that is driven harder, divided by the mean of both.
    pub(crate) fn larger_drive(&self) -> f64 {
        1.0 + self.drive.abs() / 2.0
    }

    pub(crate) fn is_none(&self) -> bool {
        self.current == 0.0 && self.drive == 0.0 && self.turns == 0.0
    }
}

/// An output stage, all but its load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stage {
    /// The tube's static model.
    pub model: Model,
    /// Single-ended or push-pull.
    pub topology: Topology,
    /// Tubes in parallel on each side, one or more.
    pub tubes_per_side: u32,
    /// Where the plates' current comes from.
    pub plate_supply: Supply,
    /// Where the screens' voltage comes from.
    pub screen: ScreenFeed,
    /// What stands between that and the screens.
    pub stoppers: Stoppers,
    /// Fixed grid voltage, or a cathode resistor for all tubes together.
    pub bias: Bias,
    /// Winding resistance of the whole primary, end to end, Ω.
    pub primary_ohms: f64,
    /// Push-pull only.
    pub imbalance: Imbalance,
}

/// Why a stage could not be solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StageError {
    /// A value out of its range, named.
    OutOfRange(&'static str, f64),
    /// The averages did not settle; the largest disagreement that is left, V.
    NotSettled(f64),
}

impl std::fmt::Display for StageError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            // Values in the middle of the range as one would write them, the rest by exponent.
            Self::OutOfRange(what, value) if (0.01..1e6).contains(&value.abs()) => {
                write!(f, "{what} cannot be {value:.2}")
            }
            Self::OutOfRange(what, value) => {
                write!(f, "{what} cannot be {value:.2e}")
            }
            Self::NotSettled(volts) => write!(
                f,
                "no steady state was found: supply, screen and cathode voltages still disagree by {volts:.3} V"
            ),
        }
    }
}

impl std::error::Error for StageError {}

impl Stage {
    /// Checks every value against the range its documentation gives.
    ///
    /// # Errors
    /// [`StageError::OutOfRange`] names the first value that is out of range.
    pub fn check(&self, load_ohms: f64) -> Result<(), StageError> {
        let range = |what, value: f64, low: f64, high: f64| {
            if (low..=high).contains(&value) {
                Ok(())
            } else {
                Err(StageError::OutOfRange(what, value))
            }
        };
        range("the load", load_ohms, 0.01, 1e8)?;
        range("the plate supply", self.plate_supply.volts, 1e-3, 5_000.0)?;
        range("the supply resistance", self.plate_supply.ohms, 0.0, 1e5)?;
        range(
            "the primary's winding resistance",
            self.primary_ohms,
            0.0,
            1e5,
        )?;
        range(
            "the number of tubes on a side",
            f64::from(self.tubes_per_side),
            1.0,
            100.0,
        )?;
        match self.screen {
            ScreenFeed::Own(supply) => {
                range("the screen supply", supply.volts, 1e-3, 5_000.0)?;
                range("the screen supply's resistance", supply.ohms, 0.0, 1e6)?;
            }
            ScreenFeed::Dropper(ohms) => range("the screen resistor", ohms, 0.0, 1e6)?,
            ScreenFeed::Tap(fraction) => range("the screen tap", fraction, 0.0, 1.0)?,
        }
        range("the resistor at each screen", self.stoppers.each, 0.0, 1e6)?;
        let most = if self.screen_is_steady() { 1e6 } else { 0.0 };
        let common = self.stoppers.common;
        range("the resistor common to the screens", common, 0.0, most)?;
        match self.bias {
            Bias::Fixed(volts) => range("the grid voltage", volts, -1_000.0, 0.0)?,
            Bias::Cathode(ohms) => range("the cathode resistor", ohms, 0.0, 1e6)?,
        }
        for (what, value) in [
            ("the imbalance of currents", self.imbalance.current),
            ("the imbalance of drive", self.imbalance.drive),
            ("the imbalance of turns", self.imbalance.turns),
        ] {
            range(what, value, -1.9, 1.9)?;
        }
        Ok(())
    }

    /// Fraction of the primary's turns that the screen moves with: 0 for a steady screen.
    pub fn tap(&self) -> f64 {
        match (self.model, self.screen) {
            (Model::Triode(_), _) => 1.0,
            (_, ScreenFeed::Tap(fraction)) => fraction,
            _ => 0.0,
        }
    }

    /// Whether the screen, if any, is tied to the plate.
    pub fn is_strapped(&self) -> bool {
        self.tap() == 1.0
    }

    /// Currents of one tube, A, where its plate and grid stand so far from the cathode, V, and
    /// the averages as at idle: a point of its curves as this stage sees them.
    pub fn flow(&self, idle: &Idle, plate: f64, grid: f64) -> Flow {
        let Stoppers { each, common } = self.stoppers;
        let ohms = each + common * f64::from(self.tubes_per_side);
        let tap = self.tap();
        let open = if self.screen_is_steady() {
            // The other side stays at idle.
            let others = match self.topology {
                Topology::SingleEnded => 0.0,
                Topology::PushPull => 0.5 * idle.all_screen_amps,
            };
            idle.screen_node_volts - idle.cathode_volts - common * others
        } else {
            (1.0 - tap) * (idle.supply_volts - idle.cathode_volts) + tap * plate
        };
        let at = |screen| self.model.flow(plate, screen, grid);
        if ohms == 0.0 {
            return at(open);
        }
        phase::flow_behind(ohms, open, idle.screen_amps, at).1
    }

    /// What the resistors without a capacitor take along a path, W: the hottest of those at
    /// each screen, all of these together, and the common one.
    pub fn stopper_watts(&self, path: &[Instant]) -> [f64; 3] {
        let Stoppers { each, common } = self.stoppers;
        let mut squares = [0.0; 3];
        for at in path {
            let [one, other] = at.screen_amps;
            for (sum, amps) in squares.iter_mut().zip([one, other, one + other]) {
                *sum += amps * amps / path.len() as f64;
            }
        }
        let tubes = f64::from(self.tubes_per_side);
        let one = each / (tubes * tubes);
        let [left, right, both] = squares;
        [
            one * left.max(right),
            one * tubes * (left + right),
            common * both,
        ]
    }

    /// The part of a screen current that flows in the plate's wire, A: all of it where the
    /// two are tied together, none where not.
    pub fn in_plate_wire(&self, screen_amps: f64) -> f64 {
        if self.is_strapped() { screen_amps } else { 0.0 }
    }

    pub(crate) fn screen_is_steady(&self) -> bool {
        matches!(self.model, Model::Pentode(_)) && !matches!(self.screen, ScreenFeed::Tap(_))
    }
}
