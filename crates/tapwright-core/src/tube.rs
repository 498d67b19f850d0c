//! Vacuum tubes: what is published about them, and the static model fitted to that.

use serde::Serialize;

pub mod data;
pub mod fit;
pub mod pentode;
pub mod triode;

pub use data::{
    Bias, Connection, Example, FullSignal, Heater, Kind, Limits, Provenance, RatingSystem,
    ReferredTo, StaticPoint, TUBES, Topology, Tube, find,
};
pub use pentode::{Current, Flow, Pentode};
pub use triode::Triode;

/// The static model of a tube.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Model {
    /// One grid.
    Triode(Triode),
    /// Two grids and more.
    Pentode(Pentode),
}

impl Model {
    /// Plate and screen current with their derivatives; volts from the cathode.
    ///
    /// A triode takes no notice of `screen_volts`. See [`Pentode::flow`] and
    /// [`Triode::flow`] for the range.
    pub fn flow(&self, plate_volts: f64, screen_volts: f64, grid_volts: f64) -> Flow {
        match self {
            Self::Pentode(pentode) => pentode.flow(plate_volts, screen_volts, grid_volts),
            Self::Triode(triode) => {
                let flow = triode.flow(plate_volts, grid_volts);
                Flow {
                    plate: Current {
                        amps: flow.amps,
                        by_grid: flow.by_grid,
                        by_screen: 0.0,
                        by_plate: flow.by_plate,
                    },
                    screen: Current::default(),
                }
            }
        }
    }
}

/// `ln(1 + eˣ)` and its slope, without overflow.
pub(crate) fn softplus(x: f64) -> (f64, f64) {
    if x > 0.0 {
        let e = (-x).exp();
        (x + e.ln_1p(), 1.0 / (1.0 + e))
    } else {
        let e = x.exp();
        (e.ln_1p(), e / (1.0 + e))
    }
}
