//! Reading values off a chart: where the cross-hair stands and what it says.

use super::geometry::{self, Point};
use super::plan::Plan;
use super::{Along, Chart, Curve, HEIGHT, WIDTH};

/// A pointer this near to a mark on the axis, as a share of the axis, means the mark.
const NEAR: f64 = 0.012;
/// What is read where there is nothing.
const NO_VALUE: &str = "no value";
/// Keyboard steps from one end to the other.
const STEPS: f64 = 100.0;
/// How many of them a long step is.
const LONG: f64 = 10.0;

/// A step of the cross-hair by keyboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// A little way back.
    Back,
    /// A little way on.
    On,
    /// To the mark before, or a long way back without marks.
    FarBack,
    /// To the next mark, or a long way on without marks.
    FarOn,
    /// To the beginning.
    First,
    /// To the end.
    Last,
    /// To where it rests before it is moved.
    Rest,
}

/// What the cross-hair shows at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Readout {
    /// Path data of the lines.
    pub hair: String,
    /// Path data of the dots: lines of hardly any length with round ends.
    pub dots: String,
    /// The values in words, with their units.
    pub text: String,
    /// How far along it is, in whole per cent.
    pub percent: i32,
}

/// Where the cross-hair rests before it is moved: on the chosen mark, or a fifth of the way
/// along.
pub fn rest(chart: &Chart) -> f64 {
    match &chart.along {
        Along::Path { rest, .. } => *rest,
        Along::Axis => (chart.ticks.iter())
            .find(|tick| tick.chosen)
            .map_or(0.2, |tick| chart.x.share(tick.at).clamp(0.0, 1.0)),
    }
}

/// The place that a pointer means, from where it is as fractions of the drawing's width and
/// height.
pub fn pointed(chart: &Chart, across: f64, down: f64) -> f64 {
    let plan = Plan::new(chart);
    let (x, y) = (across * WIDTH, down * HEIGHT);
    if let (Along::Path { .. }, Some(path)) = (&chart.along, chart.path()) {
        let nearest = (path.points.iter().enumerate())
            .map(|(at, point)| (at, distance(plan.point(chart, *point, path.right), (x, y))))
            .filter(|(_, distance)| distance.is_finite())
            .min_by(|a, b| a.1.total_cmp(&b.1));
        return nearest.map_or(0.0, |(at, _)| at as f64 / last(path));
    }
    let share = ((x - plan.plot.x0) / (plan.plot.x1 - plan.plot.x0)).clamp(0.0, 1.0);
    (chart.ticks.iter())
        .map(|tick| chart.x.share(tick.at))
        .filter(|at| (at - share).abs() < NEAR)
        .min_by(|a, b| (a - share).abs().total_cmp(&(b - share).abs()))
        .unwrap_or(share)
}

fn distance(a: Point, b: Point) -> f64 {
    geometry::distance(a, b, b)
}

/// The number of the last point of a path, at least one.
fn last(path: &Curve) -> f64 {
    path.points.len().saturating_sub(1).max(1) as f64
}

/// The place one step away.
pub fn step(chart: &Chart, place: f64, step: Step) -> f64 {
    let one = match (&chart.along, chart.path()) {
        // A whole number of points, so that each step lands on one.
        (Along::Path { .. }, Some(path)) => (last(path) / STEPS).ceil() / last(path),
        _ => 1.0 / STEPS,
    };
    let marks = || {
        (chart.ticks.iter())
            .map(|tick| chart.x.share(tick.at))
            .filter(|at| (0.0..=1.0).contains(at))
    };
    let hop = one * LONG;
    let to = match step {
        Step::Back => place - one,
        Step::On => place + one,
        Step::FarBack if marks().next().is_some() => {
            (marks().filter(|at| *at < place - 1e-9)).fold(0.0, f64::max)
        }
        Step::FarOn if marks().next().is_some() => {
            (marks().filter(|at| *at > place + 1e-9)).fold(1.0, f64::min)
        }
        Step::FarBack => place - hop,
        Step::FarOn => place + hop,
        Step::First => 0.0,
        Step::Last => 1.0,
        Step::Rest => rest(chart),
    };
    to.clamp(0.0, 1.0)
}

/// What the cross-hair shows at a place, 0 at the beginning and 1 at the end.
pub fn read(chart: &Chart, place: f64) -> Readout {
    let place = if place.is_finite() {
        place.clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (text, x, dots) = match (&chart.along, chart.path()) {
        (Along::Path { .. }, Some(path)) => along_path(chart, path, place),
        _ => along_axis(chart, place),
    };
    let plot = Plan::new(chart).plot;
    let mut hair = String::new();
    let mut data = String::new();
    if x.is_finite() {
        geometry::draw(&mut hair, &[(x, plot.y0), (x, plot.y1)]);
    }
    let across = matches!(chart.along, Along::Path { .. });
    for dot in dots
        .into_iter()
        .filter(|dot| plot.cut(*dot, *dot).is_some())
    {
        // Some engines draw no round end on a line of no length.
        geometry::draw(&mut data, &[dot, (dot.0 + 1.0, dot.1)]);
        if across {
            geometry::draw(&mut hair, &[(plot.x0, dot.1), (plot.x1, dot.1)]);
        }
    }
    Readout {
        hair,
        dots: data,
        text,
        percent: (place * 100.0).round() as i32,
    }
}

fn along_axis(chart: &Chart, place: f64) -> (String, f64, Vec<Point>) {
    let plan = Plan::new(chart);
    let x = chart.x.value(place);
    if !x.is_finite() {
        return (NO_VALUE.into(), x, Vec::new());
    }
    let mut dots = Vec::new();
    let mut values = Vec::new();
    for (curve, axis) in chart.read_curves() {
        let Some(y) = value(chart, curve, x) else {
            continue;
        };
        dots.push(plan.point(chart, (x, y), curve.right));
        values.push(format!("{} {}", curve.name, axis.say(y)));
    }
    let mark = (chart.ticks.iter()).find(|tick| (chart.x.share(tick.at) - place).abs() < 1e-6);
    let values = if values.is_empty() {
        NO_VALUE.into()
    } else {
        values.join(", ")
    };
    let at = chart.x.say(x);
    let text = match mark {
        Some(mark) => format!("at {at} ({}): {values}", mark.name),
        None => format!("at {at}: {values}"),
    };
    (text, plan.point(chart, (x, 0.0), false).0, dots)
}

fn along_path(chart: &Chart, path: &Curve, place: f64) -> (String, f64, Vec<Point>) {
    let at = (place * last(path)).round() as usize;
    let Some(point) = path.points.get(at) else {
        return (String::new(), f64::NAN, Vec::new());
    };
    let mut values = Vec::new();
    if let Some(axis) = chart.axis(path) {
        values.push(format!("{} {}", axis.name, axis.say(point.1)));
    }
    if let Along::Path {
        also: Some(also), ..
    } = &chart.along
        && let Some(value) = also.values.get(at)
    {
        values.push(format!("{} {}", also.axis.name, also.axis.say(*value)));
    }
    let (name, along) = (chart.x.name, chart.x.say(point.0));
    let text = match values.is_empty() {
        true => format!("at {name} {along}"),
        false => format!("at {name} {along}: {}", values.join(", ")),
    };
    let place = Plan::new(chart).point(chart, *point, path.right);
    (text, place.0, vec![place])
}

/// The value of a curve at `x`, between its points along a straight line as drawn;
/// `None` beyond its ends and at gaps. The points go from left to right.
pub(super) fn value(chart: &Chart, curve: &Curve, x: f64) -> Option<f64> {
    let share = chart.x.share(x);
    // Rounding may put a value just beyond the ends.
    let slack = 1e-9;
    curve.points.windows(2).find_map(|pair| {
        let (a, b) = (chart.x.share(pair[0].0), chart.x.share(pair[1].0));
        if !(a - slack <= share && share <= b + slack) {
            return None;
        }
        let t = if b > a {
            ((share - a) / (b - a)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let y = pair[0].1 + t * (pair[1].1 - pair[0].1);
        y.is_finite().then_some(y)
    })
}
