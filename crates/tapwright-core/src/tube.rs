//! Vacuum tubes: what is published about them, and the static model fitted to that.

pub mod data;
pub mod fit;

pub use data::{
    Connection, Example, FullSignal, Heater, Kind, Limits, Provenance, RatingSystem, ReferredTo,
    StaticPoint, TUBES, Tube, find,
};
pub(crate) use tapwright_stage::tube::softplus;
pub use tapwright_stage::tube::{
    Bias, Current, Flow, Model, Pentode, Topology, Triode, pentode, triode,
};
