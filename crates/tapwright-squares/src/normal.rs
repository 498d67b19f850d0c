//! Linear least squares with the covariance of what was found.
//!
//! The normal equations, scaled to a diagonal of ones, are solved by Cholesky decomposition. A
//! QR decomposition would lose half as many digits, but the covariance *is* the inverse of this
//! matrix, and relative uncertainties of a thousandth need no more digits.

use nalgebra::linalg::Cholesky;
use nalgebra::{DMatrix, DVector};

/// The normal equations of a weighted least-squares problem.
#[derive(Debug, Clone)]
pub struct Normal {
    matrix: DMatrix<f64>,
    right: DVector<f64>,
}

/// The solution of [`Normal`].
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The unknowns.
    pub unknowns: Vec<f64>,
    covariance: DMatrix<f64>,
}

impl Normal {
    /// A problem with this many unknowns, each held at zero with this standard uncertainty
    /// (above zero) until rows say better. A wide one keeps what no row settles from being
    /// singular, and its variance then tells that it is open.
    pub fn new(size: usize, prior: f64) -> Self {
        Self {
            matrix: DMatrix::from_diagonal_element(size, size, prior.powi(-2)),
            right: DVector::zeros(size),
        }
    }

    /// Adds one observation: `slopes · unknowns = value`, both divided by the standard
    /// uncertainty of the value. Missing slopes count as zero.
    pub fn add(&mut self, slopes: &[f64], value: f64) {
        let slopes = padded(slopes, self.right.len());
        self.matrix.ger(1.0, &slopes, &slopes, 1.0);
        self.right.axpy(value, &slopes, 1.0);
    }

    /// Moves what an unknown is held at, from zero to `value`; `prior` as in [`Self::new`].
    pub fn hold(&mut self, unknown: usize, value: f64, prior: f64) {
        self.right[unknown] += value * prior.powi(-2);
    }

    /// Solves it. `None` when a row was not finite.
    ///
    /// ```
    /// use tapwright_squares::normal::Normal;
    /// // Two readings of one length, 10 ± 1 and 12 ± 1: 11 ± 0.71.
    /// let mut normal = Normal::new(1, 1e6);
    /// normal.add(&[1.0], 10.0);
    /// normal.add(&[1.0], 12.0);
    /// let estimate = normal.solve().ok_or("not finite")?;
    /// assert!((estimate.unknowns[0] - 11.0).abs() < 1e-9);
    /// assert!((estimate.variance(&[1.0]) - 0.5).abs() < 1e-9);
    /// # Ok::<(), &str>(())
    /// ```
    pub fn solve(&self) -> Option<Estimate> {
        let scale = self.matrix.diagonal().map(|square| square.sqrt().recip());
        let scale = DMatrix::from_diagonal(&scale);
        // Rounding may leave nothing of what only the prior holds.
        let factor = Cholesky::new_with_substitute(&scale * &self.matrix * &scale, 1e-15)?;
        let covariance = &scale * factor.inverse() * &scale;
        let unknowns = &covariance * &self.right;
        (unknowns.iter().all(|value| value.is_finite())).then(|| Estimate {
            unknowns: unknowns.as_slice().to_vec(),
            covariance,
        })
    }
}

/// As many slopes as there are unknowns; missing ones are zero.
fn padded(slopes: &[f64], count: usize) -> DVector<f64> {
    let missing = std::iter::repeat(&0.0);
    DVector::from_iterator(count, slopes.iter().chain(missing).copied().take(count))
}

impl Estimate {
    /// Variance of `slopes · unknowns`: `sᵀ C s` (JCGM 100:2008, 5.2, with slopes as its
    /// sensitivity coefficients).
    pub fn variance(&self, slopes: &[f64]) -> f64 {
        let slopes = padded(slopes, self.unknowns.len());
        (slopes.dot(&(&self.covariance * &slopes))).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers that look random and are the same in every run.
    fn scrambled(seed: u64) -> impl FnMut() -> f64 {
        let mut state = seed;
        move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
        }
    }

    /// Solution and covariance as from the pseudo-inverse, columns of very different size
    /// included.
    #[test]
    fn agrees_with_the_pseudo_inverse() {
        for seed in 0..50 {
            let mut random = scrambled(seed);
            let (rows, columns) = (12, 5);
            let scale = [1.0, 1e3, 1e-3, 30.0, 1e-1];
            let slopes: Vec<Vec<f64>> = (0..rows)
                .map(|_| (0..columns).map(|c| random() * scale[c]).collect())
                .collect();
            let values: Vec<f64> = (0..rows).map(|_| random()).collect();
            let mut normal = Normal::new(columns, 1e9);
            for (row, value) in slopes.iter().zip(&values) {
                normal.add(row, *value);
            }
            let estimate = normal.solve().unwrap_or_else(|| panic!("seed {seed}"));
            let matrix = DMatrix::from_fn(rows, columns, |r, c| slopes[r][c]);
            let right = DMatrix::from_fn(rows, 1, |r, _| values[r]);
            let inverse = (matrix.transpose() * &matrix)
                .try_inverse()
                .unwrap_or_else(|| panic!("seed {seed}"));
            let expected = &inverse * matrix.transpose() * right;
            for c in 0..columns {
                let mut unit = vec![0.0; columns];
                unit[c] = 1.0;
                let off = (estimate.unknowns[c] - expected[c]) * scale[c];
                assert!(off.abs() < 1e-8, "seed {seed}: {off}");
                let ratio = estimate.variance(&unit) / inverse[(c, c)];
                assert!((ratio - 1.0).abs() < 1e-8, "seed {seed}: {ratio}");
            }
        }
    }

    #[test]
    fn what_no_row_settles_keeps_its_prior() {
        let mut normal = Normal::new(2, 10.0);
        normal.add(&[100.0, 100.0], 300.0);
        let estimate = normal.solve().unwrap_or_else(|| panic!("finite"));
        assert!((estimate.variance(&[1.0, 1.0]) - 1e-4).abs() < 1e-7);
        assert!((estimate.variance(&[1.0, -1.0]) - 200.0).abs() < 1e-3);
    }

    #[test]
    fn rows_that_are_no_numbers_have_no_solution() {
        let mut normal = Normal::new(1, 1.0);
        normal.add(&[f64::NAN], 1.0);
        assert!(normal.solve().is_none());
    }
}
