//! Where a function is zero.

/// The tolerance for [`rising_zero`] that leaves an error of some units in the last places.
pub const EXACT: f64 = 1e-12;

/// The point between `low` and `high` where a rising function is zero.
///
/// `rising` returns the function's value and slope. The search is Newton's method inside a
/// shrinking bracket; it halves the bracket where a Newton step would leave it or where the
/// value falls by less than half. It stops when a step is no larger than `tolerance` times
/// (1 + |x|), or after 200 steps. Where the function has no zero in the bracket, the result is
/// the end nearest to one.
///
/// ```
/// use tapwright_units::zero::{EXACT, rising_zero};
/// let root = rising_zero(0.0, 2.0, 1.0, EXACT, |x| (x * x - 2.0, 2.0 * x));
/// assert!((root - 2.0_f64.sqrt()).abs() < 1e-12);
/// assert!((rising_zero(0.0, 1.0, 0.5, EXACT, |x| (x - 3.0, 1.0)) - 1.0).abs() < 1e-9);
/// ```
pub fn rising_zero(
    mut low: f64,
    mut high: f64,
    start: f64,
    tolerance: f64,
    mut rising: impl FnMut(f64) -> (f64, f64),
) -> f64 {
    // `clamp` would panic if both ends were not numbers.
    let mut x = start.max(low.min(high)).min(high.max(low));
    let mut last = f64::INFINITY;
    for _ in 0..200 {
        let (value, slope) = rising(x);
        if value > 0.0 {
            high = x;
        } else {
            low = x;
        }
        let newton = x - value / slope;
        let slow = value.abs() > 0.5 * last;
        last = value.abs();
        let next = if newton >= low && newton <= high && !slow {
            newton
        } else {
            0.5 * (low + high)
        };
        if (next - x).abs() <= tolerance * (1.0 + x.abs()) {
            return next;
        }
        x = next;
    }
    x
}

/// The zero of a function between two points where it has different signs, from its values
/// alone: false position, with the value at the end that stays halved (the Illinois rule; M.
/// Dowell, P. Jarratt, BIT 11, 1971; from memory). Stops when the value or the step is below
/// 1e-12, or after 60 steps.
///
/// ```
/// let root = tapwright_units::zero::zero_between(1.0, 2.0, |x| x * x - 2.0);
/// assert!((root - 2_f64.sqrt()).abs() < 1e-12);
/// ```
pub fn zero_between(mut a: f64, mut b: f64, mut function: impl FnMut(f64) -> f64) -> f64 {
    let (mut at_a, mut at_b) = (function(a), function(b));
    for _ in 0..60 {
        let x = b - at_b * (b - a) / (at_b - at_a);
        let at_x = function(x);
        if (at_x < 0.0) == (at_b < 0.0) {
            at_a /= 2.0;
        } else {
            (a, at_a) = (b, at_b);
        }
        (b, at_b) = (x, at_x);
        if at_x.abs() < 1e-12 || (b - a).abs() < 1e-12 {
            break;
        }
    }
    b
}
