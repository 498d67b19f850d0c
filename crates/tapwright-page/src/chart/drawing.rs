//! What stands inside the drawing: scales, curves, marks and their labels.

use maud::{Markup, html};

use super::geometry::{self, Point, Rect};
use super::label::{self, End, Label};
use super::plan::{Plan, TOP, across, is_beside, upright};
use super::{Chart, Curve, CurveStyle, HEIGHT, WIDTH};

/// Height of the marks on the axis across.
const MARK: f64 = 90.0;

pub(super) fn drawing(chart: &Chart) -> Markup {
    let plan = Plan::new(chart);
    let plot = plan.plot;
    let pieces: Vec<Vec<Vec<Point>>> = (chart.curves.iter())
        .map(|curve| {
            let pieces = geometry::cut(&plan.points(chart, curve), &plot);
            (pieces.iter())
                .map(|piece| geometry::thin(piece, geometry::STRAY))
                .collect()
        })
        .collect();
    let chosen: Vec<f64> = (chart.ticks.iter())
        .filter(|tick| tick.chosen)
        .map(|tick| plan.x(chart, tick.at))
        .filter(|x| (plot.x0..=plot.x1).contains(x))
        .collect();
    html! {
        (scales(chart, &plan))
        @if !chart.areas.is_empty() {
            (hatching(chart.id))
            path fill={ "url(#hatch-" (chart.id) ")" } d=(areas(chart, &plan)) {}
        }
        path .ticks d=(ticks(chart, &plan)) {}
        @if !chosen.is_empty() { path .chosen d=(uprights(&chosen, plot.y0, plot.y1)) {} }
        @for (curve, pieces) in chart.curves.iter().zip(&pieces) {
            path class=(curve.style.class()) d=(data(pieces)) {}
        }
        @for mark in &chart.marks {
            @let at = plan.point(chart, mark.at, false);
            @if plot.cut(at, at).is_some() {
                circle cx=(at.0.round() as i32) cy=(at.1.round() as i32) r="50" {}
            }
        }
        @for label in labels(chart, &plan, &pieces, &chosen) { (text(&label)) }
    }
}

impl CurveStyle {
    fn class(self) -> &'static str {
        match self {
            Self::Main => "main",
            Self::Family => "family",
            Self::Other => "other",
            Self::Limit => "limit",
        }
    }
}

/// A pattern of slanting lines that only this drawing uses.
fn hatching(id: &str) -> Markup {
    html! {
        pattern id={ "hatch-" (id) } width="70" height="70" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
            path d="M0,0V70" {}
        }
    }
}

/// Lines across and upright at the ticks, their texts, and the names of the axes.
fn scales(chart: &Chart, plan: &Plan) -> Markup {
    let plot = plan.plot;
    let (xs, ys) = (across(&chart.x), upright(&chart.y));
    let mut grid = uprights(
        &xs.iter()
            .map(|tick| plan.x(chart, tick.value))
            .collect::<Vec<_>>(),
        plot.y0,
        plot.y1,
    );
    for tick in &ys {
        let y = plan.y(&chart.y, tick.value);
        geometry::draw(&mut grid, &[(plot.x0, y), (plot.x1, y)]);
    }
    let mut frame = String::new();
    let zero = plan.y(&chart.y, 0.0);
    if zero > plot.y0 && zero < plot.y1 {
        geometry::draw(&mut frame, &[(plot.x0, zero), (plot.x1, zero)]);
    }
    let corner = [(plot.x0, plot.y0), (plot.x0, plot.y1), (plot.x1, plot.y1)];
    geometry::draw(&mut frame, &corner);
    if chart.right.is_some() {
        geometry::draw(&mut frame, &[(plot.x1, plot.y1), (plot.x1, plot.y0)]);
    }
    let at = |text: &str, class, x: f64, y: f64, end| {
        self::text(&Label {
            text: text.into(),
            class,
            at: (x, y),
            end,
        })
    };
    html! {
        path .grid-lines d=(grid) {}
        path .axes d=(frame) {}
        @for tick in xs { (at(&tick.text, "mid", plan.x(chart, tick.value), plot.y1 + 155.0, End::First)) }
        @for tick in ys { (at(&tick.text, "", plot.x0 - 40.0, plan.y(&chart.y, tick.value) + 45.0, End::Last)) }
        @if let Some(right) = &chart.right {
            @for tick in upright(right) {
                (at(&tick.text, "", plot.x1 + 40.0, plan.y(right, tick.value) + 45.0, End::First))
            }
            (at(&right.title(), "", WIDTH, TOP - 95.0, End::Last))
        }
        (at(&chart.y.title(), "", 0.0, TOP - 95.0, End::First))
        (at(&chart.x.title(), "", plot.x1, HEIGHT - 50.0, End::Last))
    }
}

/// Path data of upright lines.
fn uprights(xs: &[f64], y0: f64, y1: f64) -> String {
    let mut data = String::new();
    for x in xs {
        geometry::draw(&mut data, &[(*x, y0), (*x, y1)]);
    }
    data
}

/// Path data of the marks on the axis across.
fn ticks(chart: &Chart, plan: &Plan) -> String {
    let xs = (chart.ticks.iter()).map(|tick| plan.x(chart, tick.at));
    let visible: Vec<f64> = xs
        .filter(|x| (plan.plot.x0..=plan.plot.x1).contains(x))
        .collect();
    uprights(&visible, plan.plot.y1 - MARK, plan.plot.y1)
}

fn areas(chart: &Chart, plan: &Plan) -> String {
    let mut data = String::new();
    for area in &chart.areas {
        let points: Vec<Point> = (area.iter())
            .map(|point| plan.point(chart, *point, false))
            .collect();
        let points = geometry::cut_area(&points, &plan.plot);
        if points.len() > 2 {
            geometry::draw(&mut data, &geometry::thin(&points, geometry::STRAY));
            data.push('z');
        }
    }
    data
}

fn data(pieces: &[Vec<Point>]) -> String {
    let mut data = String::new();
    for piece in pieces {
        geometry::draw(&mut data, piece);
    }
    data
}

fn text(label: &Label) -> Markup {
    let (x, y) = (label.at.0.round() as i32, label.at.1.round() as i32);
    let class = match (label.class, label.end) {
        ("", End::First) => None,
        ("", End::Last) => Some("end".to_owned()),
        (class, End::First) => Some(class.to_owned()),
        (class, End::Last) => Some(format!("{class} end")),
    };
    html! { text class=[class] x=(x) y=(y) { (label.text) } }
}

/// The labels of the chosen mark, the points and the curves, placed in that order.
fn labels(chart: &Chart, plan: &Plan, pieces: &[Vec<Vec<Point>>], chosen: &[f64]) -> Vec<Label> {
    let plot = plan.plot;
    let level = |y| vec![(plot.x0, y), (plot.x1, y)];
    let mut lines: Vec<(Vec<Point>, f64)> = Vec::new();
    for (curve, pieces) in chart.curves.iter().zip(pieces) {
        // A thin line behind a text does little harm; one that is read off does much.
        let cost = match curve.style {
            CurveStyle::Family => 1.0,
            CurveStyle::Limit | CurveStyle::Other => 3.0,
            CurveStyle::Main => 9.0,
        };
        lines.extend(pieces.iter().map(|piece| (piece.clone(), cost)));
    }
    lines.extend((chosen.iter()).map(|x| (vec![(*x, plot.y0), (*x, plot.y1)], 3.0)));
    lines.push((level(plan.y(&chart.y, 0.0)), 1.0));
    if !chart.ticks.is_empty() {
        lines.push((level(plot.y1 - MARK), 3.0));
    }
    let mut layout = label::Layout {
        plot,
        lines: &lines,
        taken: Vec::new(),
    };
    let mut labels = Vec::new();
    let heights: Vec<f64> = (0..12).map(|n| plot.y0 + f64::from(n) * 120.0).collect();
    for x in chosen {
        let name = format!(
            "chosen {}",
            chart
                .x
                .say(chart.x.value((x - plot.x0) / (plot.x1 - plot.x0)))
        );
        let spots: Vec<Point> = heights.iter().map(|y| (*x, *y)).collect();
        labels.extend(layout.place(&name, "name main", &spots));
    }
    for mark in &chart.marks {
        let at = plan.point(chart, mark.at, false);
        layout.taken.push(square(at, 60.0));
        labels.extend(layout.place(&mark.name, "name main", &around(at)));
    }
    let named = || {
        (chart.curves.iter().zip(pieces))
            .filter(|(curve, pieces)| !curve.name.is_empty() && !pieces.is_empty())
    };
    for (curve, pieces) in named().filter(|(curve, _)| !is_beside(chart, curve)) {
        let class = match curve.style {
            CurveStyle::Main => "name main",
            CurveStyle::Limit => "name limit",
            CurveStyle::Family | CurveStyle::Other => "name",
        };
        // Where another curve runs close by, a label would leave open whose it is.
        let shared = |spot: &Point| {
            let near = square(*spot, 90.0);
            let mut others = named().filter(|(other, _)| !std::ptr::eq(*other, curve));
            others.any(|(_, pieces)| pieces.iter().any(|piece| label::crosses(piece, &near)))
        };
        let (shared, mut spots): (Vec<Point>, Vec<Point>) =
            spots(pieces).into_iter().partition(shared);
        spots.extend(shared);
        labels.extend(layout.place(&curve.name, class, &spots));
    }
    labels.extend(beside(
        &plot,
        named().filter(|(curve, _)| is_beside(chart, curve)),
    ));
    labels
}

fn square((x, y): Point, half: f64) -> Rect {
    Rect {
        x0: x - half,
        y0: y - half,
        x1: x + half,
        y1: y + half,
    }
}

/// Spots at a point and a little away from it.
fn around((x, y): Point) -> Vec<Point> {
    let away = [
        (0.0, 0.0),
        (0.0, 130.0),
        (0.0, -130.0),
        (150.0, 0.0),
        (-150.0, 0.0),
        (-150.0, 130.0),
        (150.0, -130.0),
        (0.0, 280.0),
        (0.0, -280.0),
        (300.0, -150.0),
        (-300.0, 150.0),
    ];
    away.map(|(right, down)| (x + right, y + down)).to_vec()
}

/// Spots along a curve, from its end to its beginning, evenly spaced.
fn spots(pieces: &[Vec<Point>]) -> Vec<Point> {
    const SPOTS: f64 = 24.0;
    let line = pieces.concat();
    let length = |pair: &[Point]| geometry::distance(pair[0], pair[1], pair[1]);
    let total: f64 = line.windows(2).map(length).sum();
    let mut spots = Vec::new();
    let mut ahead = 0.0;
    for pair in line.windows(2).rev() {
        let long = length(pair);
        while ahead <= long && long > 0.0 {
            let t = ahead / long;
            spots.push((
                pair[1].0 + t * (pair[0].0 - pair[1].0),
                pair[1].1 + t * (pair[0].1 - pair[1].1),
            ));
            ahead += total / SPOTS;
        }
        ahead -= long;
    }
    spots
}

/// The labels of curves that end at the right edge.
fn beside<'a>(
    plot: &Rect,
    curves: impl Iterator<Item = (&'a Curve, &'a Vec<Vec<Point>>)>,
) -> Vec<Label> {
    let (names, ends): (Vec<&str>, Vec<f64>) = curves
        .filter_map(|(curve, pieces)| Some((curve.name.as_str(), pieces.last()?.last()?.1 + 45.0)))
        .unzip();
    let heights = label::apart(&ends, plot.y0 + 45.0, plot.y1);
    (names.iter().zip(heights))
        .map(|(name, y)| Label {
            text: (*name).into(),
            class: "",
            at: (plot.x1 + 30.0, y),
            end: End::First,
        })
        .collect()
}
