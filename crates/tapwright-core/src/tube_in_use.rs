//! The tube that the stage is computed with: one of the data, or one typed from a datasheet.

use serde::Serialize;

use tapwright_stage::stress::Bounds;
use tapwright_tube::{Kind, Model, RatingSystem, Tube};

/// The tube in use.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TubeInUse {
    /// Type designation; `None` for the person's own.
    pub designation: Option<&'static str>,
    /// Triode, pentode or beam tetrode.
    pub kind: Kind,
    /// Static model.
    pub model: Model,
    /// Limits to design by; what is not known is not held against.
    pub bounds: Bounds,
    /// The promise that the limits are.
    pub rating: Option<RatingSystem>,
    /// Where the limits were published.
    pub limits_source: Option<&'static str>,
    /// Plate volts where nothing says any.
    pub usual_plate_volts: f64,
    /// Plate dissipation of the first point typed, or published, W.
    pub usual_plate_watts: f64,
    /// Plate and grid volts of the first point that was typed.
    pub typed_point: Option<(f64, f64)>,
}

impl TubeInUse {
    /// A tube of the data, by its first limits.
    pub fn of(tube: &'static Tube) -> Self {
        let limits = tube.limits.first();
        let volts = tube
            .examples
            .first()
            .map(|example| example.plate_volts)
            .or(tube.points.first().map(|point| point.plate_volts));
        Self {
            designation: Some(&tube.designation),
            kind: tube.kind,
            model: tube.model,
            bounds: limits.map(Bounds::from).unwrap_or_default(),
            rating: limits.map(|limits| limits.system),
            limits_source: limits.map(|limits| limits.source.as_str()),
            usual_plate_volts: volts.unwrap_or(250.0),
            usual_plate_watts: limits.map_or(10.0, |limits| 0.7 * limits.plate_watts),
            typed_point: None,
        }
    }

    /// Whether the dissipation of plate and screen can be held against limits.
    pub fn limits_are_known(&self) -> bool {
        let screen = self.kind == Kind::Triode || self.bounds.screen_watts.is_some();
        self.bounds.plate_watts.is_some() && screen
    }
}
