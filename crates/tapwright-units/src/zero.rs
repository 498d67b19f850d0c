//! Where a rising function is zero.

/// For [`rising_zero`]: to the last bits.
pub const EXACT: f64 = 1e-12;

/// The zero of a rising function between `low` and `high`, from its value and slope: Newton's
/// method inside a shrinking bracket, halved where Newton leaves it or is slow. Until a step is
/// no more than `fine` of where it starts, which is where the function was asked for last; in
/// 200 steps at most.
pub fn rising_zero(
    mut low: f64,
    mut high: f64,
    start: f64,
    fine: f64,
    mut rising: impl FnMut(f64) -> (f64, f64),
) -> f64 {
    // Not `clamp`, which panics where both ends are not numbers.
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
        if (next - x).abs() <= fine * (1.0 + x.abs()) {
            return next;
        }
        x = next;
    }
    x
}
