//! Fewer points for the same curve, so that it fits into a link.

use num_complex::Complex64;

use super::curve::between;
use super::{ImpedanceCurve, ImpedancePoint};
use tapwright_units::entry::shortest;
use tapwright_units::rounding::to_significant_digits;

/// How far a thinned curve may be from the measured one, as a share of the modulus.
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
    /// The largest distance between the two impedances at any measured point, divided by the
    /// modulus there.
    pub largest_error: f64,
}

/// Thins a curve. The points that are kept, joined as [`ImpedanceCurve::impedance`] joins them,
/// are within 1 % of every measured point. Where that takes more than `characters` characters,
/// as with a noisy curve, the points are averages over narrow bands instead, and
/// `largest_error` says how far the measured points are from them.
///
/// The time grows with the number of points n as n log n.
///
/// ```
/// use tapwright_speaker::{read_points, thin};
/// let curve = read_points("20 8 0; 50 8 0; 100 8 0; 200 8 0").unwrap();
/// assert_eq!(thin(&curve, 5_000).text, "20,8,0;200,8,0");
/// ```
pub fn thin(curve: &ImpedanceCurve, characters: usize) -> Thinned {
    let all = Logs::new(curve.points());
    // A difference of logarithms is a little smaller than the relative difference.
    let mut within = 0.99 * THINNED_WITHIN;
    let mut points = all.kept(within);
    if text(&points).len() > characters {
        let averages = all.averages(characters / 20);
        let smooth = Logs::new(&averages);
        loop {
            points = smooth.kept(within);
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
        largest_error: all.largest_error(&points),
    }
}

type Log = (f64, Complex64);

/// Points with their logarithms.
struct Logs<'a> {
    points: &'a [ImpedancePoint],
    all: Vec<Log>,
}

impl<'a> Logs<'a> {
    fn new(points: &'a [ImpedancePoint]) -> Self {
        let mut all = Vec::with_capacity(points.len());
        for point in points {
            all.push(point.log());
        }
        Self { points, all }
    }

    /// A few of the points, rounded as they will be written, such that all points between two
    /// neighbours are within this distance of the line that joins them. Each step goes as far
    /// as it can.
    fn kept(&self, within: f64) -> Vec<ImpedancePoint> {
        let written = |at: usize| written(&self.points[at]);
        let last = self.points.len() - 1;
        let mut kept = vec![written(0)];
        let mut from = 0;
        while from < last {
            let knot = written(from);
            let is_far = |to: usize| {
                let line = (knot.log(), written(to).log());
                largest_distance(line, &self.all[from..=to], within) > within
            };
            // Double the stride until it is too long, then halve the interval.
            let mut good = from + 1;
            while good < last && written(good).hertz <= knot.hertz {
                // Rounded, the two would have the same frequency.
                good += 1;
            }
            let mut stride = 1;
            let mut bad = last + 1;
            while good < last {
                let tried = (good + stride).min(last);
                if is_far(tried) {
                    bad = tried;
                    break;
                }
                good = tried;
                stride *= 2;
            }
            while bad - good > 1 && bad <= last {
                let tried = good + (bad - good) / 2;
                if is_far(tried) {
                    bad = tried;
                } else {
                    good = tried;
                }
            }
            kept.push(written(good));
            from = good;
        }
        if let [_, .., before, last] = kept[..]
            && before.hertz >= last.hertz
        {
            kept.remove(kept.len() - 2);
        }
        kept
    }

    /// Averages of the points in this many bands of equal ratio, from the first frequency to
    /// the last.
    fn averages(&self, bands: usize) -> Vec<ImpedancePoint> {
        let (start, end) = (self.all[0].0, self.all[self.all.len() - 1].0);
        let band_of = |hertz: f64| (bands as f64 * (hertz - start) / (end - start)) as usize;
        let mut averages = Vec::new();
        let (mut count, mut sum, mut band) = (0.0, Log::default(), 0);
        for point in &self.all {
            if band_of(point.0) != band && count > 0.0 {
                averages.push(average(count, sum));
                (count, sum) = (0.0, Log::default());
            }
            band = band_of(point.0);
            count += 1.0;
            sum = (sum.0 + point.0, sum.1 + point.1);
        }
        averages.push(average(count, sum));
        if let [first_band, .., last_band] = &mut averages[..] {
            first_band.hertz = start.exp();
            last_band.hertz = end.exp();
        }
        averages
    }

    /// The largest distance of any point from the curve through `knots`, divided by the modulus.
    fn largest_error(&self, knots: &[ImpedancePoint]) -> f64 {
        let mut from = 0;
        let mut most = 0.0_f64;
        for (place, pair) in knots.windows(2).enumerate() {
            let line = (pair[0].log(), pair[1].log());
            // The last knot may be rounded down.
            let is_last = place + 2 == knots.len();
            let behind = |point: &Log| is_last || point.0 <= line.1.0;
            let to = from + self.all[from..].partition_point(behind);
            most = most.max(largest_distance(line, &self.all[from..to], f64::INFINITY));
            from = to;
        }
        // Logarithms that differ by d belong to values that differ by e^d − 1.
        most.exp() - 1.0
    }
}

fn average(count: f64, (hertz, z): Log) -> ImpedancePoint {
    ImpedancePoint {
        hertz: (hertz / count).exp(),
        ohms: (z.re / count).exp(),
        degrees: (z.im / count).to_degrees(),
    }
}

/// The largest distance of any point from a line. Once it is more than `enough`, the search
/// stops, and the result is only known to be more than that.
fn largest_distance((a, b): (Log, Log), points: &[Log], enough: f64) -> f64 {
    let mut most = 0.0_f64;
    for point in points {
        most = most.max((between(a, b, point.0) - point.1).norm_sqr());
        if most > enough * enough {
            break;
        }
    }
    most.sqrt()
}

/// A point, rounded as its text will have it.
fn written(point: &ImpedancePoint) -> ImpedancePoint {
    ImpedancePoint {
        hertz: to_significant_digits(point.hertz, 6),
        ohms: to_significant_digits(point.ohms, 4),
        degrees: (point.degrees * 10.0).round().clamp(-899.0, 899.0) / 10.0 + 0.0,
    }
}

fn text(points: &[ImpedancePoint]) -> String {
    let mut text = String::new();
    for point in points {
        if !text.is_empty() {
            text.push(';');
        }
        for (place, value) in [point.hertz, point.ohms, point.degrees]
            .into_iter()
            .enumerate()
        {
            text.push_str(if place > 0 { "," } else { "" });
            text.push_str(&shortest(value));
        }
    }
    text
}
