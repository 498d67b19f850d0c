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

/// Thins a curve to points that, joined as [`Curve::impedance`] joins them, are within 1 % of
/// every measured one. Where that takes more than `characters` characters, as noise does, the
/// points are averages over narrow bands, and `off` says how far the measured ones stray.
///
/// Cost: of the order of n log n.
///
/// ```
/// use tapwright_core::speaker::{read_points, thin};
/// let curve = read_points("20 8 0; 50 8 0; 100 8 0; 200 8 0").unwrap();
/// assert_eq!(thin(&curve, 5_000).text, "20,8,0;200,8,0");
/// ```
pub fn thin(curve: &Curve, characters: usize) -> Thinned {
    // Logarithms differ by a little less than what they are the logarithms of.
    let mut within = 0.99 * THINNED_WITHIN;
    let mut points = kept(curve.points(), within);
    if text(&points).len() > characters {
        let smooth = averages(curve.points(), characters / 20);
        loop {
            points = kept(&smooth, within);
            if points.len() <= 2 || text(&points).len() <= characters {
                break;
            }
            within *= 1.4;
        }
    }
    Thinned {
        text: text(&points),
        points: points.len(),
        before: curve.points().len(),
        off: Curve::checked(points).map_or(0.0, |thinned| apart(curve, &thinned)),
    }
}

/// The largest distance of a thinned curve at a measured point, over its modulus.
fn apart(curve: &Curve, thinned: &Curve) -> f64 {
    let mut most = 0.0_f64;
    for point in curve.points() {
        let z = point.log().1.exp();
        most = most.max((thinned.impedance(point.hertz) - z).norm_sqr() / z.norm_sqr());
    }
    most.sqrt()
}

/// The averages of the points in so many bands of equal ratio, from the first frequency to
/// the last.
fn averages(points: &[Measured], bands: usize) -> Vec<Measured> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Vec::new();
    };
    let step = (last.hertz / first.hertz).ln() / bands.max(1) as f64;
    let mut averages = Vec::new();
    let mut end = first.hertz * step.exp();
    let mut sum = (0.0, Log::default());
    for point in points {
        if point.hertz > end && sum.0 > 0.0 {
            averages.push(average(sum));
            sum = (0.0, Log::default());
        }
        while point.hertz > end {
            end *= step.exp();
        }
        let (hertz, z) = point.log();
        sum = (sum.0 + 1.0, (sum.1.0 + hertz, sum.1.1 + z));
    }
    averages.push(average(sum));
    if let [first_band, .., last_band] = &mut averages[..] {
        first_band.hertz = first.hertz;
        last_band.hertz = last.hertz;
    }
    averages
}

fn average((count, (hertz, z)): (f64, Log)) -> Measured {
    Measured {
        hertz: (hertz / count).exp(),
        ohms: (z.re / count).exp(),
        degrees: (z.im / count).to_degrees(),
    }
}

type Log = (f64, Complex64);

/// As few points, as they are written, as a greedy walk finds so that all between are within
/// a distance of the line.
fn kept(points: &[Measured], within: f64) -> Vec<Measured> {
    let mut all = Vec::new();
    let mut knots = Vec::new();
    for point in points {
        all.push(point.log());
        knots.push(written(point).log());
    }
    let mut kept = Vec::new();
    for at in walk(&all, &knots, within) {
        kept.extend(points.get(at).map(written));
    }
    kept
}

fn walk(all: &[Log], knots: &[Log], within: f64) -> Vec<usize> {
    let last = all.len().saturating_sub(1);
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

fn text(points: &[Measured]) -> String {
    let mut text = String::new();
    for point in points {
        if !text.is_empty() {
            text.push(';');
        }
        let _ = write!(text, "{},{},{}", point.hertz, point.ohms, point.degrees);
    }
    text
}
