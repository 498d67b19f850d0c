//! Fewer points for the same curve, so that it fits into a link.

use std::fmt::Write;

use num_complex::Complex64;

use super::curve::between;
use super::{Curve, Measured};

/// How far a thinned curve may be from the measured one, over its modulus.
pub const THINNED_WITHIN: f64 = 0.01;

/// A curve of fewer points, as text.
#[derive(Debug, Clone, PartialEq)]
pub struct Thinned {
    /// The points: `20,7.1,12;80,30.5,-3`.
    pub text: String,
    /// How many there are.
    pub points: usize,
    /// How many there were.
    pub before: usize,
    /// The largest distance of the two impedances at any measured point, over its modulus.
    pub off: f64,
}

/// Thins a curve until the points left, written with at most `characters` characters and
/// joined as [`Curve::impedance`] joins them, are within 1 % of every measured point; and no
/// nearer than the characters allow, which `off` then says. At least the two ends stay.
///
/// Cost: of the order of n log n.
///
/// ```
/// use tapwright_core::speaker::{read_points, thin};
/// let curve = read_points("20 8 0; 50 8 0; 100 8 0; 200 8 0").unwrap();
/// assert_eq!(thin(&curve, 5_000).text, "20,8,0;200,8,0");
/// ```
pub fn thin(curve: &Curve, characters: usize) -> Thinned {
    let all: Vec<_> = curve.points().iter().map(Measured::log).collect();
    let written: Vec<_> = curve.points().iter().map(written).collect();
    let knots: Vec<_> = written.iter().map(Measured::log).collect();
    let mut within = THINNED_WITHIN;
    loop {
        let kept = knots_within(&all, &knots, within);
        let text = text(kept.iter().filter_map(|at| written.get(*at)));
        if text.len() <= characters || kept.len() <= 2 {
            return Thinned {
                points: kept.len(),
                before: all.len(),
                off: kept
                    .windows(2)
                    .map(|pair| off(&all, &knots, pair[0], pair[1], f64::INFINITY))
                    .fold(0.0, f64::max),
                text,
            };
        }
        within *= 1.4;
    }
}

type Log = (f64, Complex64);

/// As few points as a greedy walk finds, so that all between are within a distance.
fn knots_within(all: &[Log], knots: &[Log], within: f64) -> Vec<usize> {
    let last = all.len() - 1;
    let mut kept = vec![0];
    let mut from = 0;
    while from < last {
        // Farther and farther, until it is too far; then the middle, until the farthest.
        let mut good = from + 1;
        while good < last && knots[good].0 <= knots[from].0 {
            // Written, the two would be at one frequency.
            good += 1;
        }
        let mut stride = 1;
        let mut bad = last + 1;
        while good < last {
            let tried = (good + stride).min(last);
            if off(all, knots, from, tried, within) > within {
                bad = tried;
                break;
            }
            good = tried;
            stride *= 2;
        }
        while bad - good > 1 && bad <= last {
            let tried = good + (bad - good) / 2;
            if off(all, knots, from, tried, within) > within {
                bad = tried;
            } else {
                good = tried;
            }
        }
        kept.push(good);
        from = good;
    }
    if let [_, .., before, last] = kept[..]
        && knots[before].0 >= knots[last].0
    {
        kept.remove(kept.len() - 2);
    }
    kept
}

/// The largest distance from the straight line between two points of any point from the one
/// to the other; only that it is more, where it is more than `enough`.
fn off(all: &[Log], knots: &[Log], from: usize, to: usize, enough: f64) -> f64 {
    let (a, b) = (knots[from], knots[to]);
    let mut most = 0.0_f64;
    for point in &all[from..=to] {
        // For small differences of the logarithm: the difference over the modulus.
        most = most.max((between(a, b, point.0) - point.1).norm_sqr());
        if most > enough * enough {
            break;
        }
    }
    most.sqrt()
}

/// A point as its text has it.
fn written(point: &Measured) -> Measured {
    Measured {
        hertz: digits(point.hertz, 6),
        ohms: digits(point.ohms, 4),
        degrees: (point.degrees * 10.0).round().clamp(-899.0, 899.0) / 10.0 + 0.0,
    }
}

/// Rounded to so many digits.
fn digits(value: f64, digits: i32) -> f64 {
    let scale = 10_f64.powi(digits - 1 - value.log10().floor() as i32);
    (value * scale).round() / scale
}

fn text<'a>(points: impl Iterator<Item = &'a Measured>) -> String {
    let mut text = String::new();
    for point in points {
        if !text.is_empty() {
            text.push(';');
        }
        let _ = write!(text, "{},{},{}", point.hertz, point.ohms, point.degrees);
    }
    text
}
