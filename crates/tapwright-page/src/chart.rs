//! Charts: curves over one or two scales, with a cross-hair to read them by and the
//! same numbers as a table. Generic: what is shown comes from elsewhere.
//!
//! The drawing is `WIDTH` by `HEIGHT` tenths of a unit. On the narrowest page a
//! unit is a little less than a pixel, and everything is placed for the size of type
//! that needs; wider pages set the type smaller in proportion, so nothing collides.

use maud::{Markup, html};

mod axis;
mod bars;
mod curve;
mod drawing;
mod label;
mod reading;
mod table;

pub use axis::{Axis, Measure};
pub use bars::{Bar, Bars, bars};
pub use reading::{Reading, Step, pointed, read, rest, step};

use curve::{Point, Rect};

/// Width of the drawing, in tenths of a unit.
const WIDTH: f64 = 3600.0;
/// Height of the drawing, in tenths of a unit.
const HEIGHT: f64 = 2500.0;
/// The plot starts this far down: the names of the upright axes stand above it.
const TOP: f64 = 210.0;
/// The plot ends here: ticks and name of the axis across stand below it.
const BOTTOM: f64 = 2130.0;

/// A chart: what it shows and how.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Short name, unique on the page, of letters and hyphens.
    pub id: &'static str,
    /// Heading.
    pub title: String,
    /// What it shows, in one sentence, for who cannot see it.
    pub summary: String,
    /// The axis across.
    pub x: Axis,
    /// The axis on the left.
    pub y: Axis,
    /// The axis on the right, for curves that have another unit.
    pub right: Option<Axis>,
    /// Curves, those in front last.
    pub curves: Vec<Curve>,
    /// What no working point may enter, hatched: polygons in values of `x` and `y`.
    pub areas: Vec<Vec<(f64, f64)>>,
    /// Points with a name.
    pub marks: Vec<Mark>,
    /// Marks on the axis across, such as every connection.
    pub ticks: Vec<XMark>,
    /// What the cross-hair moves along.
    pub along: Along,
}

/// A curve and its name, which stands at the curve itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// What it shows; empty for a curve without a label.
    pub name: String,
    /// How it is drawn.
    pub style: CurveStyle,
    /// Whether it is measured on the right-hand axis.
    pub right: bool,
    /// Its points in order; one that is not finite leaves a gap. Curves that are read
    /// along the axis go from left to right.
    pub points: Vec<(f64, f64)>,
    /// Whether the cross-hair and the table give its values.
    pub read: bool,
    /// Whether the last point joins the first.
    pub closed: bool,
}

impl Curve {
    /// An open curve on the left-hand axis.
    pub fn new(
        name: impl Into<String>,
        style: CurveStyle,
        points: Vec<(f64, f64)>,
        read: bool,
    ) -> Self {
        Self {
            name: name.into(),
            style,
            right: false,
            points,
            read,
            closed: false,
        }
    }
}

/// How a curve is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CurveStyle {
    /// What the chart is about: copper.
    Main,
    /// One of many alike: thin.
    Family,
    /// What else is to be seen: dashed.
    Other,
    /// A limit: dotted.
    Limit,
}

/// A point with a name, ringed.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What stands beside it.
    pub name: String,
    /// Where, in values of `x` and `y`.
    pub at: (f64, f64),
}

/// A mark on the axis across.
#[derive(Debug, Clone, PartialEq)]
pub struct XMark {
    /// What it marks, in a few words, for the readout and the table.
    pub name: String,
    /// Where.
    pub at: f64,
    /// Whether it is the chosen one: drawn through the whole plot and labelled.
    pub chosen: bool,
}

/// What the cross-hair moves along.
#[derive(Debug, Clone, PartialEq)]
pub enum Along {
    /// The axis across; it reads every curve that is to be read.
    Axis,
    /// The points of one curve, such as a load line.
    Path {
        /// Which of the curves.
        curve: usize,
        /// Where it stands by itself: 0 at the first point, 1 at the last.
        rest: f64,
        /// A third quantity along the path.
        also: Option<Also>,
    },
}

/// A third quantity along a path.
#[derive(Debug, Clone, PartialEq)]
pub struct Also {
    /// Its name, unit and range.
    pub axis: Axis,
    /// Its value at every point of the path.
    pub values: Vec<f64>,
}

impl Chart {
    /// The curve that the cross-hair moves along, if it does.
    fn path(&self) -> Option<&Curve> {
        match self.along {
            Along::Axis => None,
            Along::Path { curve, .. } => self.curves.get(curve),
        }
    }

    /// The curves that are read along the axis, those measured on the left first.
    fn read(&self) -> Vec<(&Curve, &Axis)> {
        let mut read = Vec::new();
        for right in [false, true] {
            let side = self.curves.iter().filter(|curve| curve.right == right);
            for curve in side.filter(|curve| curve.read) {
                read.extend(self.axis(curve).map(|axis| (curve, axis)));
            }
        }
        read
    }

    /// The upright axis of a curve; `None` when it wants one that is not there.
    fn axis(&self, curve: &Curve) -> Option<&Axis> {
        if curve.right {
            self.right.as_ref()
        } else {
            Some(&self.y)
        }
    }
}

/// Where the plot lies in the drawing.
struct Plan {
    plot: Rect,
}

impl Plan {
    fn of(chart: &Chart) -> Self {
        let room = |axis: &Axis| {
            let ticks = upright(axis);
            let widest = ticks.iter().map(|tick| label::width(&tick.text));
            widest.fold(0.0, f64::max) + 65.0
        };
        let beside = (chart.curves.iter())
            .filter(|curve| is_beside(chart, curve))
            .map(|curve| label::width(&curve.name) + 50.0);
        // Half of the last text below the plot.
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

    fn x(&self, chart: &Chart, value: f64) -> f64 {
        self.plot.x0 + chart.x.share(value) * (self.plot.x1 - self.plot.x0)
    }

    fn y(&self, axis: &Axis, value: f64) -> f64 {
        self.plot.y1 - axis.share(value) * (self.plot.y1 - self.plot.y0)
    }

    /// A point of a chart in the drawing; not finite when its axis is missing.
    fn point(&self, chart: &Chart, (x, y): (f64, f64), right: bool) -> Point {
        let axis = if right {
            chart.right.as_ref()
        } else {
            Some(&chart.y)
        };
        let y = axis.map_or(f64::NAN, |axis| self.y(axis, y));
        (self.x(chart, x), y)
    }

    fn points(&self, chart: &Chart, curve: &Curve) -> Vec<Point> {
        let close = curve.points.first().filter(|_| curve.closed);
        (curve.points.iter().chain(close))
            .map(|point| self.point(chart, *point, curve.right))
            .collect()
    }
}

/// Whether a curve's name stands beside the plot rather than in it.
fn is_beside(chart: &Chart, curve: &Curve) -> bool {
    let ends_there =
        |(x, y): &(f64, f64)| chart.x.share(*x) > 0.98 && (0.0..=1.0).contains(&chart.y.share(*y));
    chart.right.is_none()
        && curve.style == CurveStyle::Family
        && curve.points.last().is_some_and(ends_there)
}

fn upright(axis: &Axis) -> Vec<axis::Tick> {
    axis.ticks(5.0, 0.1)
}

fn across(axis: &Axis) -> Vec<axis::Tick> {
    axis.ticks(6.0, 0.12)
}

/// The chart as a figure; `open` when its table is to be shown.
pub fn draw(chart: &Chart, open: bool) -> Markup {
    let id = chart.id;
    let reading = read(chart, rest(chart));
    html! {
        figure .chart {
            figcaption { h3 { (chart.title) } }
            div .plot {
                svg viewBox={ "0 0 " (WIDTH as i32) " " (HEIGHT as i32) } role="img" aria-label=(chart.summary) {
                    (drawing::drawing(chart))
                    path .hair id={ "hair-" (id) } d=(reading.hair) {}
                    path .dots id={ "dots-" (id) } d=(reading.dots) {}
                }
                div .reader id={ "read-" (id) } data-plot=(id) role="slider" tabindex="0"
                    aria-label={ "Read off: " (chart.title) } aria-valuemin="0" aria-valuemax="100"
                    aria-valuenow=(reading.percent) aria-valuetext=(reading.text) {}
            }
            p .readout id={ "said-" (id) } aria-live="polite" { (reading.text) }
            (table::fold(id, open, || table::table(chart)))
        }
    }
}
