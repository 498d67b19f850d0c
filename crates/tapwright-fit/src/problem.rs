//! Least squares on any residual function, with slopes by central differences.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, storage::Owned};

/// What a fit came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The parameters.
    pub parameters: Vec<f64>,
    /// Sum of the squared residuals.
    pub sum_of_squares: f64,
    /// Whether the library says that it converged.
    pub converged: bool,
}

struct Problem<'a> {
    at: DVector<f64>,
    residuals: &'a dyn Fn(&[f64]) -> Vec<f64>,
    step: f64,
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
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
        let r = (self.residuals)(self.at.as_slice());
        r.iter()
            .all(|v| v.is_finite())
            .then(|| DVector::from_vec(r))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let columns: Option<Vec<DVector<f64>>> = (0..self.at.len())
            .map(|i| {
                let x = self.at[i];
                let h = self.step * if x == 0.0 { 1.0 } else { x.abs() };
                let mut moved = self.at.clone();
                moved[i] = x + h;
                let above = DVector::from_vec((self.residuals)(moved.as_slice()));
                moved[i] = x - h;
                let below = DVector::from_vec((self.residuals)(moved.as_slice()));
                let slope = (above - below) / (2.0 * h);
                slope.iter().all(|v| v.is_finite()).then_some(slope)
            })
            .collect();
        columns.map(|c| DMatrix::from_columns(&c))
    }
}

/// Least squares from a starting point by the Levenberg–Marquardt method (as in MINPACK).
///
/// `step` is the relative step of the central differences, 1e-6 to 1e-4. `residuals` must
/// return as many values at every point, at least as many as there are parameters.
pub fn least_squares(start: &[f64], step: f64, residuals: &dyn Fn(&[f64]) -> Vec<f64>) -> Solution {
    let problem = Problem {
        at: DVector::from_column_slice(start),
        residuals,
        step,
    };
    let (problem, report) = LevenbergMarquardt::new()
        .with_patience(200)
        .minimize(problem);
    Solution {
        parameters: problem.at.as_slice().to_vec(),
        sum_of_squares: 2.0 * report.objective_function,
        converged: report.termination.was_successful(),
    }
}
