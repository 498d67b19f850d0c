//! Interpolation in a row of points by cubics.

/// The points around `x` in a row of rising abscissae, each with the weight that its value has
/// in the value at `x`; `None` outside of the row.
///
/// A cubic between two neighbours, with given slopes at both (Hermite interpolation). The slope
/// at a point is that of the parabola through it and its two neighbours; at an end of the row
/// it is that of the straight line to the only neighbour.
pub(super) fn weighted<T>(
    x: f64,
    row: &[T],
    abscissa: impl Fn(&T) -> f64,
) -> Option<Vec<(f64, &T)>> {
    let (first, last) = (row.first()?, row.last()?);
    if row.len() < 2 || !(abscissa(first)..=abscissa(last)).contains(&x) {
        return None;
    }
    let high = row.partition_point(|point| abscissa(point) <= x);
    let high = high.min(row.len() - 1);
    let low = high - 1;
    let width_after = |n: usize| abscissa(&row[n + 1]) - abscissa(&row[n]);
    let width = width_after(low);
    let t = (x - abscissa(&row[low])) / width;
    let s = 1.0 - t;
    // Weights of the points `low - 1` to `high + 1`.
    let mut weights = [0.0, s * s * (1.0 + 2.0 * t), t * t * (1.0 + 2.0 * s), 0.0];
    let mut add_chord = |weight: f64, from: usize| {
        let by_difference = weight / width_after(from);
        weights[from + 2 - low] += by_difference;
        weights[from + 1 - low] -= by_difference;
    };
    // The slope of a parabola: each of its two chords weighs as much as the other is wide.
    let (slope_at_low, slope_at_high) = (t * s * s * width, -t * t * s * width);
    if low == 0 {
        add_chord(slope_at_low, low);
    } else {
        let before = width_after(low - 1);
        add_chord(slope_at_low * width / (before + width), low - 1);
        add_chord(slope_at_low * before / (before + width), low);
    }
    if high + 1 == row.len() {
        add_chord(slope_at_high, low);
    } else {
        let after = width_after(high);
        add_chord(slope_at_high * width / (after + width), high);
        add_chord(slope_at_high * after / (after + width), low);
    }
    let weighted = weights
        .iter()
        .enumerate()
        .filter(|(_, weight)| **weight != 0.0);
    Some(
        weighted
            .map(|(n, weight)| (*weight, &row[low + n - 1]))
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A parabola is met exactly on uneven places, and a straight line where only two are.
    #[test]
    fn parabolas_are_met_exactly() {
        let f = |x: f64| 3.0 - 2.0 * x + 0.5 * x * x;
        let row = [0.0, 1.0, 2.5, 4.0];
        let value = |x: f64, row: &[f64], f: &dyn Fn(f64) -> f64| -> Option<f64> {
            let points = weighted(x, row, |x| *x)?;
            Some(points.iter().map(|(weight, x)| weight * f(**x)).sum())
        };
        for x in [1.0, 1.3, 2.4] {
            let (parabola, straight) = (value(x, &row, &f), value(x, &row, &|x| x));
            assert!((parabola.expect("inside") - f(x)).abs() < 1e-12, "{x}");
            assert!((straight.expect("inside") - x).abs() < 1e-12, "{x}");
        }
        for x in [0.0, 0.25, 1.0] {
            let two = value(x, &row[..2], &|x| x).expect("inside");
            assert!((two - x).abs() < 1e-12);
        }
        assert_eq!(value(5.0, &row, &f), None);
        assert_eq!(value(0.0, &row[..1], &f), None);
    }
}
