//! Least squares: nonlinear by the Levenberg–Marquardt method (as in MINPACK), with slopes by
//! central differences, and [linear](normal) with the covariance of the result.
#![forbid(unsafe_code)]

pub mod normal;

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn};

/// How precise the work is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// Step of the central differences, as a fraction of the unknown.
    pub relative_step: f64,
    /// The smallest step of the central differences.
    pub least_step: f64,
    /// The search ends when a step reduces the sum of squares, or moves the unknowns, by less
    /// than this fraction: 1e-15 to 1e-4. The error of the unknowns is then about its square
    /// root.
    pub tolerance: f64,
}

/// What a search came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Minimum {
    /// The unknowns, in the order of the start.
    pub unknowns: Vec<f64>,
    /// Sum of the squared residuals.
    pub sum_of_squares: f64,
    /// Whether the method says that it converged.
    pub converged: bool,
}

struct Problem<F> {
    at: DVector<f64>,
    precision: Precision,
    residuals: F,
}

impl<F: Fn(&[f64]) -> Vec<f64>> Problem<F> {
    /// `None` when a residual is not finite.
    fn evaluate(&self, at: &DVector<f64>) -> Option<DVector<f64>> {
        let residuals = DVector::from_vec((self.residuals)(at.as_slice()));
        (residuals.iter().all(|r| r.is_finite())).then_some(residuals)
    }
}

impl<F: Fn(&[f64]) -> Vec<f64>> LeastSquaresProblem<f64, Dyn, Dyn> for Problem<F> {
    type ParameterStorage = Owned<f64, Dyn>;
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.at.copy_from(x);
    }

    fn params(&self) -> DVector<f64> {
        self.at.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        self.evaluate(&self.at)
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let mut at = self.at.clone();
        let mut columns = Vec::with_capacity(at.len());
        for (i, x) in self.at.iter().enumerate() {
            let h = (self.precision.relative_step * x.abs()).max(self.precision.least_step);
            at[i] = x - h;
            let below = self.evaluate(&at)?;
            at[i] = x + h;
            let above = self.evaluate(&at)?;
            at[i] = *x;
            columns.push((above - below) / (2.0 * h));
        }
        Some(DMatrix::from_columns(&columns))
    }
}

/// Least squares from a starting point. `residuals` gives as many residuals at every point, at
/// least as many as there are unknowns.
///
/// The search ends after 100 evaluations for each unknown at the latest; what it then has is
/// returned as not converged. `None` when the start is empty or not finite, when there are
/// fewer residuals than unknowns, or when a residual at the start is not finite.
///
/// ```
/// use tapwright_squares::{Precision, least_squares};
/// // The line y = a + b x through (0, 1), (1, 3), (2, 5).
/// let precision = Precision { relative_step: 1e-6, least_step: 1e-9, tolerance: 1e-12 };
/// let line = least_squares(&[0.0, 0.0], precision, |x| {
///     let off = |at: f64| x[0] + x[1] * at - (1.0 + 2.0 * at);
///     vec![off(0.0), off(1.0), off(2.0)]
/// })
/// .ok_or("no line")?;
/// assert!((line.unknowns[1] - 2.0).abs() < 1e-9);
/// # Ok::<(), &str>(())
/// ```
pub fn least_squares(
    start: &[f64],
    precision: Precision,
    residuals: impl Fn(&[f64]) -> Vec<f64>,
) -> Option<Minimum> {
    let problem = Problem {
        at: DVector::from_column_slice(start),
        precision,
        residuals,
    };
    let count = problem.evaluate(&problem.at)?.len();
    if start.is_empty() || count < start.len() || !start.iter().all(|x| x.is_finite()) {
        return None;
    }
    let (problem, report) = LevenbergMarquardt::new()
        .with_tol(precision.tolerance)
        .minimize(problem);
    let sum_of_squares = 2.0 * report.objective_function;
    sum_of_squares.is_finite().then(|| Minimum {
        unknowns: problem.at.as_slice().to_vec(),
        sum_of_squares,
        converged: report.termination.was_successful(),
    })
}
