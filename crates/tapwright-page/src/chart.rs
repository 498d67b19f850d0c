//! Charts: curves over one or two scales, with a cross-hair to read them by and the
//! same numbers as a table. Generic: what is shown comes from elsewhere.
//!
//! The drawing is `WIDTH` by `HEIGHT` tenths of a unit. On the narrowest page a
//! unit is a little less than a pixel, and everything is placed for the size of type that
//! is needed there. Wider pages set the type smaller in proportion, so nothing collides.

use maud::{Markup, html};

mod axis;
mod bars;
mod drawing;
mod geometry;
mod label;
mod plan;
mod readout;
mod table;

pub use axis::{Axis, Measure};
pub use bars::{Bar, Bars, bars};
pub use readout::{Readout, Step, pointed, read, rest, step};

/// Width of the drawing, in tenths of a unit.
const WIDTH: f64 = 3600.0;
/// Height of the drawing, in tenths of a unit.
const HEIGHT: f64 = 2500.0;
/// A chart: what it shows and how.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Short name, unique on the page, of letters and hyphens.
    pub id: &'static str,
    /// Heading.
    pub title: String,
    /// What it shows, in one sentence, for those who cannot see it.
    pub summary: String,
    /// The axis across.
    pub x: Axis,
    /// The axis on the left.
    pub y: Axis,
    /// The axis on the right, for curves that have another unit.
    pub right: Option<Axis>,
    /// Curves, drawn in this order: the last one is in front.
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

impl Chart {
    /// Lays the curves that another chart of the same kind is about over this one, under a name;
    /// the axes grow to hold them.
    pub fn overlay(&mut self, other: &Self, name: &str) {
        for (axis, of_other) in [(&mut self.x, &other.x), (&mut self.y, &other.y)] {
            axis.grow(of_other);
        }
        if let (Some(axis), Some(of_other)) = (&mut self.right, &other.right) {
            axis.grow(of_other);
        }
        let read = self.along == Along::Axis;
        let main = other
            .curves
            .iter()
            .filter(|curve| curve.style == CurveStyle::Main);
        let over: Vec<Curve> = main
            .map(|curve| Curve {
                name: name.into(),
                style: CurveStyle::Other,
                read,
                ..curve.clone()
            })
            .collect();
        self.curves.extend(over);
    }
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

/// The lowest and the highest value of some curves.
pub fn range<'a>(curves: impl IntoIterator<Item = &'a Curve>) -> (f64, f64) {
    let values = curves.into_iter().flat_map(|curve| &curve.points);
    let start = (f64::INFINITY, f64::NEG_INFINITY);
    values.fold(start, |(low, high), point| {
        (low.min(point.1), high.max(point.1))
    })
}

/// How a curve is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CurveStyle {
    /// What the chart is about: copper.
    Main,
    /// One of many alike: thin.
    Family,
    /// Something else that the chart shows: dashed.
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
        /// Where it rests before it is moved: 0 at the first point, 1 at the last.
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
    fn read_curves(&self) -> Vec<(&Curve, &Axis)> {
        let mut read = Vec::new();
        for right in [false, true] {
            let side = self.curves.iter().filter(|curve| curve.right == right);
            for curve in side.filter(|curve| curve.read) {
                read.extend(self.axis(curve).map(|axis| (curve, axis)));
            }
        }
        read
    }

    /// The upright axis of a curve; `None` when the chart has no such axis.
    fn axis(&self, curve: &Curve) -> Option<&Axis> {
        if curve.right {
            self.right.as_ref()
        } else {
            Some(&self.y)
        }
    }
}

/// The chart as a figure; `open` when its table is to be shown.
pub fn draw(chart: &Chart, open: bool) -> Markup {
    let id = chart.id;
    let readout = read(chart, rest(chart));
    html! {
        figure .chart {
            figcaption { h3 { (chart.title) } }
            div .plot {
                svg viewBox={ "0 0 " (WIDTH as i32) " " (HEIGHT as i32) } role="img" aria-label=(chart.summary) {
                    (drawing::drawing(chart))
                    path .hair id={ "hair-" (id) } d=(readout.hair) {}
                    path .dots id={ "dots-" (id) } d=(readout.dots) {}
                }
                div .reader id={ "read-" (id) } data-plot=(id) role="slider" tabindex="0"
                    aria-label={ "Read off: " (chart.title) } aria-valuemin="0" aria-valuemax="100"
                    aria-valuenow=(readout.percent) aria-valuetext=(readout.text) {}
            }
            p .readout id={ "said-" (id) } aria-live="polite" { (readout.text) }
            (table::fold(id, open, || table::table(chart)))
        }
    }
}
