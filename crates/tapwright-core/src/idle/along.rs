//! Plate dissipation against the bias, for the chart.

use serde::Serialize;
use tapwright_stage::{Idle, Stage};
use tapwright_tube::Bias;

use super::{Limit, WantedReport};

/// Points of the curve.
const POINTS: i32 = 41;

/// How far the curve goes to either side of what it is about.
const FACTOR: f64 = 2.2;

/// Plate dissipation of the hotter tube against its bias.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AlongBias {
    /// Whether the bias is a cathode resistor in Ω; otherwise grid volts from the cathode.
    pub by_resistor: bool,
    /// Bias and W.
    pub points: Vec<(f64, f64)>,
    /// The limit, W.
    pub limit: Option<f64>,
    /// Where the readings stand.
    pub read: Option<(f64, f64)>,
    /// Where the wanted dissipation stands.
    pub wanted: Option<(f64, f64)>,
}

pub(super) fn along(
    stage: &Stage,
    limit: Option<Limit>,
    read: Option<f64>,
    wanted: Option<&WantedReport>,
) -> Option<AlongBias> {
    let wanted = wanted.and_then(|wanted| {
        let reached = wanted.reached.as_ref()?;
        Some((reached.at.bias.value(), reached.at.idle.plate_watts))
    });
    let (by_resistor, centre) = match stage.bias {
        Bias::Cathode(ohms) => (true, ohms),
        Bias::Fixed(volts) => (false, -volts.min(-1.0)),
    };
    let other = wanted.map_or(centre, |(bias, _)| bias.abs().max(0.5));
    let (least, most) = (centre.min(other) / FACTOR, centre.max(other) * FACTOR);
    let point = |step: i32| {
        let at = least * (most / least).powf(f64::from(step) / f64::from(POINTS - 1));
        let bias = match by_resistor {
            true => Bias::Cathode(at),
            false => Bias::Fixed(-at),
        };
        let idle = Idle::of(&Stage { bias, ..*stage }).ok()?;
        Some((bias.value(), idle.plate_watts))
    };
    let mut points: Vec<(f64, f64)> = (0..POINTS).filter_map(point).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    (points.len() > 10).then_some(AlongBias {
        by_resistor,
        points,
        limit: limit.map(|limit| limit.plate_watts),
        read: read.map(|watts| (stage.bias.value(), watts)),
        wanted,
    })
}
