//! Points in the drawing: curves cut to the plot, thinned, and written as path data.
//!
//! Coordinates are tenths of a unit of the drawing, so that path data are integers.

use std::fmt::Write;

pub(super) type Point = (f64, f64);

/// Tolerance of a thinned curve, in tenths of a unit. With the rounding to whole tenths it is
/// under 0.3 px on the widest chart.
pub(super) const STRAY: f64 = 1.0;

/// A rectangle with `x0 <= x1` and `y0 <= y1`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rect {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Rect {
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    pub fn holds(&self, inner: &Self) -> bool {
        self.x0 <= inner.x0 && inner.x1 <= self.x1 && self.y0 <= inner.y0 && inner.y1 <= self.y1
    }

    /// The part of a segment inside, by the method of Liang and Barsky.
    pub fn cut(&self, a: Point, b: Point) -> Option<(Point, Point)> {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        let edges = [
            (-dx, a.0 - self.x0),
            (dx, self.x1 - a.0),
            (-dy, a.1 - self.y0),
            (dy, self.y1 - a.1),
        ];
        for (towards, room) in edges {
            if towards == 0.0 {
                if room < 0.0 {
                    return None;
                }
            } else if towards < 0.0 {
                from = from.max(room / towards);
            } else {
                to = to.min(room / towards);
            }
        }
        // False for what is not a number, too.
        (from <= to).then(|| {
            let at = |t: f64| (a.0 + t * dx, a.1 + t * dy);
            (at(from), at(to))
        })
    }
}

/// The pieces of a curve inside a rectangle. A point that is not finite parts the curve.
pub(super) fn cut(points: &[Point], plot: &Rect) -> Vec<Vec<Point>> {
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut whole = false;
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let finite = [a.0, a.1, b.0, b.1].iter().all(|v| v.is_finite());
        let Some((from, to)) = finite.then(|| plot.cut(a, b)).flatten() else {
            whole = false;
            continue;
        };
        match pieces.last_mut() {
            Some(piece) if whole && from == a => piece.push(to),
            _ => pieces.push(vec![from, to]),
        }
        whole = to == b;
    }
    pieces
}

/// The part of a polygon inside a rectangle, edge by edge after Sutherland and Hodgman.
pub(super) fn cut_area(points: &[Point], plot: &Rect) -> Vec<Point> {
    let mut area: Vec<Point> = (points.iter().copied())
        .filter(|(x, y)| x.is_finite() && y.is_finite())
        .collect();
    type Depth = fn(Point, &Rect) -> f64;
    let edges: [Depth; 4] = [
        |p, r| p.0 - r.x0,
        |p, r| r.x1 - p.0,
        |p, r| p.1 - r.y0,
        |p, r| r.y1 - p.1,
    ];
    for depth in edges {
        let Some(mut last) = area.last().copied() else {
            break;
        };
        let mut kept = Vec::with_capacity(area.len() + 2);
        for point in area {
            let (a, b) = (depth(last, plot), depth(point, plot));
            if (a < 0.0) != (b < 0.0) {
                let t = a / (a - b);
                kept.push((
                    last.0 + t * (point.0 - last.0),
                    last.1 + t * (point.1 - last.1),
                ));
            }
            if b >= 0.0 {
                kept.push(point);
            }
            last = point;
        }
        area = kept;
    }
    area
}

/// The curve with as few of its points as stay within `stray` of all of them, after
/// Douglas and Peucker.
pub(super) fn thin(points: &[Point], stray: f64) -> Vec<Point> {
    let Some(last) = points.len().checked_sub(1) else {
        return Vec::new();
    };
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[last] = true;
    let mut spans = vec![(0, last)];
    while let Some((from, to)) = spans.pop() {
        let furthest = (from + 1..to)
            .map(|at| (at, distance(points[at], points[from], points[to])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((at, distance)) = furthest
            && distance > stray
        {
            keep[at] = true;
            spans.push((from, at));
            spans.push((at, to));
        }
    }
    (points.iter().zip(keep))
        .filter_map(|(point, keep)| keep.then_some(*point))
        .collect()
}

/// Distance of a point from the segment from `a` to `b`.
pub(super) fn distance(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let square = dx * dx + dy * dy;
    let t = if square > 0.0 {
        (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (a.0 + t * dx - p.0).hypot(a.1 + t * dy - p.1)
}

/// Adds a line through `points` to path data: whole tenths, each relative to the last.
pub(super) fn draw(data: &mut String, points: &[Point]) {
    let mut last = (0, 0);
    for (at, point) in points.iter().enumerate() {
        let here = (point.0.round() as i32, point.1.round() as i32);
        let step = (here.0 - last.0, here.1 - last.1);
        // Writing to a string cannot fail.
        let _ = match at {
            0 => write!(data, "M{},{}", here.0, here.1),
            1 => write!(data, "l{},{}", step.0, step.1),
            _ if step == (0, 0) => Ok(()),
            _ if step.0 < 0 => write!(data, "{},{}", step.0, step.1),
            _ => write!(data, " {},{}", step.0, step.1),
        };
        last = here;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLOT: Rect = Rect {
        x0: 0.0,
        y0: 0.0,
        x1: 100.0,
        y1: 100.0,
    };

    #[test]
    fn what_is_outside_is_cut_off_and_what_returns_is_a_second_piece() {
        let points = [
            (-50.0, 50.0),
            (50.0, 50.0),
            (50.0, 150.0),
            (90.0, 150.0),
            (90.0, 10.0),
        ];
        assert_eq!(
            cut(&points, &PLOT),
            [
                vec![(0.0, 50.0), (50.0, 50.0), (50.0, 100.0)],
                vec![(90.0, 100.0), (90.0, 10.0)],
            ]
        );
        let parted = [
            (0.0, 0.0),
            (10.0, 0.0),
            (f64::NAN, 0.0),
            (20.0, 0.0),
            (30.0, 0.0),
        ];
        assert_eq!(cut(&parted, &PLOT).len(), 2);
        assert!(cut(&[(-9.0, 0.0), (-1.0, 50.0)], &PLOT).is_empty());
    }

    #[test]
    fn an_area_is_cut_at_every_edge() {
        let around = [(-9.0, -9.0), (200.0, -9.0), (200.0, 200.0), (-9.0, 200.0)];
        let mut corners = cut_area(&around, &PLOT);
        corners.sort_by(|a, b| a.partial_cmp(b).unwrap());
        assert_eq!(
            corners,
            [(0.0, 0.0), (0.0, 100.0), (100.0, 0.0), (100.0, 100.0)]
        );
        assert!(cut_area(&[(-9.0, 1.0), (-5.0, 1.0), (-5.0, 9.0)], &PLOT).is_empty());
    }

    /// Thinning and rounding together, at the largest width that the style allows.
    #[test]
    fn thinning_strays_less_than_a_third_of_a_pixel() {
        const PIXELS_PER_TENTH: f64 = 620.0 / 3600.0;
        let points: Vec<Point> = (0..=400)
            .map(|n| {
                let x = f64::from(n) * 8.0;
                (x, 1000.0 + 900.0 * (x / 400.0).sin() * (x / 900.0).cos())
            })
            .collect();
        let thinned = thin(&points, STRAY);
        assert!(thinned.len() < points.len() / 3, "{}", thinned.len());
        let drawn: Vec<Point> = thinned.iter().map(|p| (p.0.round(), p.1.round())).collect();
        for point in points {
            let nearest = drawn
                .windows(2)
                .map(|pair| distance(point, pair[0], pair[1]))
                .fold(f64::INFINITY, f64::min);
            assert!(nearest * PIXELS_PER_TENTH < 0.3, "{nearest}");
        }
    }

    #[test]
    fn path_data_are_short() {
        let mut data = String::new();
        draw(
            &mut data,
            &[
                (10.04, 20.0),
                (30.0, 15.2),
                (20.0, 15.0),
                (25.0, 30.0),
                (25.2, 30.1),
            ],
        );
        assert_eq!(data, "M10,20l20,-5-10,0 5,15");
    }
}
