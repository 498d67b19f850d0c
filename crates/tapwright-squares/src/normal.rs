//! Linear least squares with the covariance of what was found, for as many unknowns as a
//! problem happens to have.
//!
//! Normal equations, scaled to a diagonal of ones and solved after Cholesky. A QR
//! decomposition would lose half as many digits, but the covariance *is* the inverse of this
//! matrix, relative uncertainties of a thousandth need no more digits, and a matrix of open
//! size out of the library behind [`crate::least_squares`] weighs more than all of this.

/// The normal equations of a weighted least-squares problem, row by row.
#[derive(Debug, Clone)]
pub struct Normal {
    size: usize,
    /// Row by row; the lower triangle counts.
    matrix: Vec<f64>,
    right: Vec<f64>,
}

/// The solution of [`Normal`].
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The unknowns.
    pub unknowns: Vec<f64>,
    covariance: Vec<f64>,
}

impl Normal {
    /// A problem with this many unknowns, each held at zero with this standard uncertainty
    /// (above zero) until rows say better. A wide one keeps what no row settles from being
    /// singular, and its variance then tells that it is open.
    pub fn new(size: usize, prior: f64) -> Self {
        let mut matrix = vec![0.0; size * size];
        for at in 0..size {
            matrix[at * size + at] = prior.powi(-2);
        }
        Self {
            size,
            matrix,
            right: vec![0.0; size],
        }
    }

    /// Adds one observation: `slopes · unknowns = value`, both divided by the standard
    /// uncertainty of the value. Missing slopes count as zero.
    pub fn add(&mut self, slopes: &[f64], value: f64) {
        for (i, a) in slopes.iter().enumerate().take(self.size) {
            if *a == 0.0 {
                continue;
            }
            self.right[i] += a * value;
            let row = &mut self.matrix[i * self.size..];
            for (to, b) in row.iter_mut().zip(&slopes[..=i]) {
                *to += a * b;
            }
        }
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
        let n = self.size;
        let scale: Vec<f64> = (0..n)
            .map(|at| self.matrix[at * n + at].sqrt().recip())
            .collect();
        let factor = self.factor(&scale)?;
        // The inverse of the factor, column by column; then covariance = (L⁻¹)ᵀ L⁻¹.
        let mut inverse = vec![0.0; n * n];
        for column in 0..n {
            inverse[column * n + column] = factor[column * n + column].recip();
            for row in column + 1..n {
                let sum: f64 = (column..row)
                    .map(|k| factor[row * n + k] * inverse[k * n + column])
                    .sum();
                inverse[row * n + column] = -sum / factor[row * n + row];
            }
        }
        let mut covariance = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..=i {
                let sum: f64 = (i..n)
                    .map(|k| inverse[k * n + i] * inverse[k * n + j])
                    .sum();
                covariance[i * n + j] = sum * scale[i] * scale[j];
                covariance[j * n + i] = covariance[i * n + j];
            }
        }
        let unknowns: Vec<f64> = (0..n)
            .map(|i| (0..n).map(|j| covariance[i * n + j] * self.right[j]).sum())
            .collect();
        (unknowns.iter().all(|v: &f64| v.is_finite())).then_some(Estimate {
            unknowns,
            covariance,
        })
    }

    /// The lower Cholesky factor of the matrix scaled to a diagonal of ones.
    fn factor(&self, scale: &[f64]) -> Option<Vec<f64>> {
        let n = self.size;
        let mut factor = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..=i {
                let sum: f64 = (0..j).map(|k| factor[i * n + k] * factor[j * n + k]).sum();
                let rest = self.matrix[i * n + j] * scale[i] * scale[j] - sum;
                factor[i * n + j] = if i == j {
                    // Rounding may leave nothing of what only the prior holds.
                    rest.max(1e-15).sqrt()
                } else {
                    rest / factor[j * n + j]
                };
            }
        }
        factor.iter().all(|v| v.is_finite()).then_some(factor)
    }
}

impl Estimate {
    /// Variance of `slopes · unknowns`: `sᵀ C s` (JCGM 100:2008, 5.2, with slopes as its
    /// sensitivity coefficients).
    pub fn variance(&self, slopes: &[f64]) -> f64 {
        let n = self.unknowns.len();
        let mut sum = 0.0;
        for (i, a) in slopes.iter().enumerate().filter(|(_, a)| **a != 0.0) {
            for (b, c) in slopes.iter().zip(&self.covariance[i * n..(i + 1) * n]) {
                sum += a * b * c;
            }
        }
        sum.max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::DMatrix;

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

    /// Solution and covariance as from the pseudo-inverse of `nalgebra`, columns of very
    /// different size included.
    #[test]
    fn agrees_with_a_library() {
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
