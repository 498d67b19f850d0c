//! Small dense systems of linear equations.

/// Solves `a x = b` by elimination with row exchange; `None` if the rows are not independent.
/// `N` equations; cost `N³/3`.
pub(super) fn solve<const N: usize>(mut a: [[f64; N]; N], mut b: [f64; N]) -> Option<[f64; N]> {
    let rows: &mut [[f64; N]] = &mut a;
    solve_in_place(rows, &mut b).then_some(b)
}

/// As [`solve`], on rows of any width: `b` becomes the solution. False if there is none.
pub(super) fn solve_in_place<R: AsMut<[f64]> + AsRef<[f64]>>(a: &mut [R], b: &mut [f64]) -> bool {
    let n = b.len();
    for column in 0..n {
        let size = |row: &R| row.as_ref()[column].abs();
        let pivot = (column..n).max_by(|&i, &j| size(&a[i]).total_cmp(&size(&a[j])));
        let Some(pivot) = pivot.filter(|&row| size(&a[row]) >= 1e-300) else {
            return false;
        };
        a.swap(column, pivot);
        b.swap(column, pivot);
        let (above, below) = a.split_at_mut(column + 1);
        let lead = above[column].as_ref();
        for (row, line) in below.iter_mut().enumerate() {
            let line = line.as_mut();
            let factor = line[column] / lead[column];
            if factor != 0.0 {
                for (value, lead) in line[column..].iter_mut().zip(&lead[column..]) {
                    *value -= factor * lead;
                }
                b[column + 1 + row] -= factor * b[column];
            }
        }
    }
    for row in (0..n).rev() {
        let line = a[row].as_ref();
        let rest: f64 = line[row + 1..n]
            .iter()
            .zip(&b[row + 1..n])
            .map(|(a, x)| a * x)
            .sum();
        b[row] = (b[row] - rest) / line[row];
    }
    b.iter().all(|v| v.is_finite())
}

/// How far something moves whose slopes are these.
pub(super) fn along(slopes: &[f64; 4], moved: &[f64; 4]) -> f64 {
    slopes.iter().zip(moved).map(|(slope, by)| slope * by).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A permutation that elimination without exchange cannot do, and a singular matrix.
    #[test]
    fn exchanges_rows_and_notices_dependence() {
        assert_eq!(
            solve([[0.0, 2.0], [4.0, 0.0]], [6.0, 8.0]),
            Some([2.0, 3.0])
        );
        assert_eq!(solve([[1.0, 2.0], [2.0, 4.0]], [1.0, 2.0]), None);
    }
}
