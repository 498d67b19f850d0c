//! Weighted least squares on a few unknowns, with the covariance of the result: Gauss–Newton
//! steps on the normal equations.

use tapwright_squares::normal::{Estimate, Normal};

/// Steps at most. The equations are products of two unknowns at most, and three steps do.
const MOST_STEPS: usize = 40;

/// Every unknown counts in units of its own size; where no row settles one, it stays within so
/// many of them.
const PRIOR: f64 = 1e5;

/// Steps smaller than this, in sizes of the unknowns, are rounding.
const SETTLED: f64 = 1e-7;

/// What the rows came to.
#[derive(Debug, Clone)]
pub(crate) struct Fitted<const N: usize> {
    /// The unknowns.
    pub at: [f64; N],
    /// Sum of the squared residuals, each over its standard uncertainty.
    pub sum_of_squares: f64,
    /// Rows less the unknowns that they contain.
    pub redundant: usize,
    estimate: Estimate,
    sizes: [f64; N],
    free: Vec<usize>,
}

/// The unknowns that leave the least sum of squared residuals; `None` when a residual is not
/// finite or the search does not come to rest.
///
/// `sizes` are how large a change of each unknown is large, all above zero. Only the `free` ones
/// are moved. Residuals are over the standard uncertainty of their row.
pub(crate) fn least_squares<const N: usize>(
    start: [f64; N],
    sizes: [f64; N],
    free: &[usize],
    rows: impl Fn(&[f64; N], &mut Vec<f64>),
) -> Option<Fitted<N>> {
    let mut at = start;
    let evaluate = |at: &[f64; N]| {
        let mut residuals = Vec::with_capacity(32);
        rows(at, &mut residuals);
        residuals
    };
    for _ in 0..MOST_STEPS {
        let residuals = evaluate(&at);
        if residuals.iter().any(|residual| !residual.is_finite()) {
            return None;
        }
        let mut slopes = vec![vec![0.0; free.len()]; residuals.len()];
        for (column, n) in free.iter().copied().enumerate() {
            let step = 1e-5 * sizes[n];
            let moved = |by: f64| {
                let mut moved = at;
                moved[n] += by;
                evaluate(&moved)
            };
            let (above, below) = (moved(step), moved(-step));
            for (row, slope) in slopes.iter_mut().enumerate() {
                slope[column] = (above[row] - below[row]) / 2e-5;
            }
        }
        let mut normal = Normal::new(free.len(), PRIOR);
        for (slopes, residual) in slopes.iter().zip(&residuals) {
            normal.add(slopes, -residual);
        }
        let estimate = normal.solve()?;
        let largest = (estimate.unknowns.iter()).fold(0.0, |most: f64, step| most.max(step.abs()));
        let sum: f64 = residuals.iter().map(|residual| residual * residual).sum();
        // Where a whole step makes it worse, half of it may not.
        let mut part = 1.0;
        let stepped = loop {
            let mut stepped = at;
            for (n, step) in free.iter().zip(&estimate.unknowns) {
                stepped[*n] += part * sizes[*n] * step;
            }
            let after: f64 = evaluate(&stepped).iter().map(|row| row * row).sum();
            if after <= sum || part < 0.05 || largest < SETTLED {
                break stepped;
            }
            part /= 2.0;
        };
        at = stepped;
        if largest < SETTLED {
            let used = (0..free.len()).filter(|n| slopes.iter().any(|row| row[*n] != 0.0));
            return Some(Fitted {
                at,
                sum_of_squares: sum,
                redundant: residuals.len().saturating_sub(used.count()),
                estimate,
                sizes,
                free: free.to_vec(),
            });
        }
    }
    None
}

impl<const N: usize> Fitted<N> {
    /// Standard uncertainty of a quantity that follows from the unknowns (JCGM 100:2008, 5.2).
    pub fn uncertainty(&self, quantity: impl Fn(&[f64; N]) -> f64) -> f64 {
        let slope = |n: &usize| {
            let moved = |by: f64| {
                let mut moved = self.at;
                moved[*n] += by * self.sizes[*n];
                quantity(&moved)
            };
            (moved(1e-5) - moved(-1e-5)) / 2e-5
        };
        let slopes: Vec<f64> = self.free.iter().map(slope).collect();
        self.estimate.variance(&slopes).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two readings of 10 and 12, each ±1, of a product that is known in one factor: 11 ± 0.71.
    #[test]
    fn two_readings_meet_in_the_middle() {
        let fitted = least_squares([1.0, 2.0], [1.0, 1.0], &[0, 1], |x, rows| {
            rows.push(x[0] * x[1] - 10.0);
            rows.push(x[0] * x[1] - 12.0);
            rows.push((x[1] - 2.0) / 1e-6);
        })
        .unwrap_or_else(|| panic!("it comes to rest"));
        assert!((fitted.at[0] - 5.5).abs() < 1e-6);
        assert!((fitted.sum_of_squares - 2.0).abs() < 1e-6);
        assert_eq!(fitted.redundant, 1);
        assert!((fitted.uncertainty(|x| x[0] * x[1]) - 0.5_f64.sqrt()).abs() < 1e-6);
    }

    #[test]
    fn what_is_no_number_is_refused() {
        assert!(least_squares([1.0], [1.0], &[0], |_, rows| rows.push(f64::NAN)).is_none());
    }
}
