//! Vacuum tubes: their static models, what is published about them, and the fit of the models
//! to that.
#![forbid(unsafe_code)]

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr};

mod checks;
mod data;
pub mod deck;
pub mod fit;
mod kind;
mod limits;
mod operating_example;
pub mod pentode;
mod provenance;
mod static_point;
pub mod triode;
mod tube;

pub use data::{find, tubes};
pub use kind::Kind;
pub use limits::{Limits, RatingSystem};
pub use operating_example::{Currents, FullSignal, OperatingExample, ReferredTo};
pub use pentode::{Current, Flow, Pentode};
pub use provenance::Provenance;
pub use static_point::{StaticPoint, TubeConnection};
pub use triode::Triode;
pub use tube::{Capacitances, Heater, Tube};

/// How the output stage drives the primary. It decides what a primary rating is between.
///
/// ```
/// use tapwright_tube::Topology;
/// assert_eq!("single-ended".parse(), Ok(Topology::SingleEnded));
/// assert_eq!(<&str>::from(Topology::PushPull), "push-pull");
/// ```
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, EnumString, IntoStaticStr,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Topology {
    /// Ratings and loads are plate to plate.
    #[default]
    PushPull,
    /// Ratings and loads are plate to B+, and direct current magnetises the core.
    SingleEnded,
}

/// What holds the grid negative.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bias {
    /// A fixed voltage from grid to cathode, V, at or below zero.
    #[serde(rename(deserialize = "grid_volts"))]
    Fixed(f64),
    /// A bypassed cathode resistor, Ω; in push-pull one for both tubes.
    #[serde(rename(deserialize = "cathode_ohms"))]
    Cathode(f64),
}

impl Bias {
    /// Its number: grid volts, or ohms of the resistor.
    pub fn value(self) -> f64 {
        match self {
            Self::Fixed(volts) => volts,
            Self::Cathode(ohms) => ohms,
        }
    }
}

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
    /// The screen voltage of a triode has no effect. See [`Pentode::flow`] and [`Triode::flow`]
    /// for the valid range.
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
///
/// ```
/// assert_eq!(tapwright_tube::softplus(800.0), (800.0, 1.0));
/// ```
pub fn softplus(x: f64) -> (f64, f64) {
    if x > 0.0 {
        let e = (-x).exp();
        (x + e.ln_1p(), 1.0 / (1.0 + e))
    } else {
        let e = x.exp();
        (e.ln_1p(), e / (1.0 + e))
    }
}
