//! Where the plot lies in the drawing, and where a value falls in it.

use super::axis::{Axis, Tick};
use super::geometry::{Point, Rect};
use super::{Chart, Curve, CurveStyle, WIDTH, label};

/// The plot starts this far down: the names of the upright axes stand above it.
pub(super) const TOP: f64 = 210.0;
/// The plot ends here: ticks and name of the axis across stand below it.
const BOTTOM: f64 = 2130.0;

/// Where the plot lies in the drawing.
pub(super) struct Plan {
    pub plot: Rect,
}

impl Plan {
    pub fn new(chart: &Chart) -> Self {
        let room = |axis: &Axis| {
            let ticks = upright(axis);
            let widest = ticks.iter().map(|tick| label::width(&tick.text));
            widest.fold(0.0, f64::max) + 65.0
        };
        let beside = (chart.curves.iter())
            .filter(|curve| is_beside(chart, curve))
            .map(|curve| label::width(&curve.name) + 50.0);
        // The last text below the plot is centred on its tick, and half of it is beyond.
        let hangs_over =
            (across(&chart.x).last()).map_or(0.0, |tick| label::width(&tick.text) / 2.0 + 30.0);
        let right = match &chart.right {
            Some(axis) => room(axis),
            None => beside.fold(hangs_over, f64::max),
        };
        Self {
            plot: Rect {
                x0: room(&chart.y),
                y0: TOP,
                x1: WIDTH - right,
                y1: BOTTOM,
            },
        }
    }

    pub fn x(&self, chart: &Chart, value: f64) -> f64 {
        self.plot.x0 + chart.x.share(value) * (self.plot.x1 - self.plot.x0)
    }

    pub fn y(&self, axis: &Axis, value: f64) -> f64 {
        self.plot.y1 - axis.share(value) * (self.plot.y1 - self.plot.y0)
    }

    /// A point of a chart in the drawing; not finite when its axis is missing.
    pub fn point(&self, chart: &Chart, (x, y): (f64, f64), right: bool) -> Point {
        let axis = if right {
            chart.right.as_ref()
        } else {
            Some(&chart.y)
        };
        let y = axis.map_or(f64::NAN, |axis| self.y(axis, y));
        (self.x(chart, x), y)
    }

    pub fn points(&self, chart: &Chart, curve: &Curve) -> Vec<Point> {
        let close = curve.points.first().filter(|_| curve.closed);
        (curve.points.iter().chain(close))
            .map(|point| self.point(chart, *point, curve.right))
            .collect()
    }
}

/// Whether a curve's name stands beside the plot rather than in it.
pub(super) fn is_beside(chart: &Chart, curve: &Curve) -> bool {
    let ends_there =
        |(x, y): &(f64, f64)| chart.x.share(*x) > 0.98 && (0.0..=1.0).contains(&chart.y.share(*y));
    chart.right.is_none()
        && curve.style == CurveStyle::Family
        && curve.points.last().is_some_and(ends_there)
}

/// The ticks of an upright axis.
pub(super) fn upright(axis: &Axis) -> Vec<Tick> {
    axis.ticks(5.0, 0.1)
}

/// The ticks of the axis across.
pub(super) fn across(axis: &Axis) -> Vec<Tick> {
    axis.ticks(6.0, 0.12)
}
