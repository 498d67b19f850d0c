//! Nonlinear least squares by the Levenberg–Marquardt method (as in MINPACK), with slopes by
//! central differences.
//!
//! The library below it is generic over the shape of the problem. One fixed shape, larger
//! than any fit of a tube needs, makes it about a quarter of the size in wasm; a crate of its
//! own lets it be compiled for size while the physics is compiled for speed. What a problem
//! leaves unused is filled with unknowns that only their own residuals hold, at zero, and
//! with residuals that are zero: neither moves the solution.

pub mod normal;

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{Const, SMatrix, SVector, storage::Owned};

/// Unknowns that a problem can have at most.
pub const UNKNOWNS: usize = 12;

/// Residuals that a problem can have at most.
pub const RESIDUALS: usize = 110;

/// Rows of the matrix: the residuals, and one to hold each unknown that is not used.
const ROWS: usize = RESIDUALS + UNKNOWNS;

/// Writes the residuals at given unknowns.
pub type Residuals<'a> = dyn Fn(&[f64], &mut [f64]) + 'a;

/// How fine the work is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Step of the central differences, as part of the unknown's own size.
    pub relative_step: f64,
    /// Step of the central differences at least.
    pub least_step: f64,
    /// Ends when a step makes the sum of squares smaller, or moves the unknowns, by less than
    /// this part: 1e-15 to 1e-4. The unknowns are then near by about its square root.
    pub tolerance: f64,
}

/// What a fit came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solution {
    unknowns: [f64; UNKNOWNS],
    used: usize,
    /// Sum of the squared residuals.
    pub sum_of_squares: f64,
    /// Whether the method says that it converged.
    pub converged: bool,
}

impl Solution {
    /// The unknowns, as many as the start had.
    pub fn unknowns(&self) -> &[f64] {
        &self.unknowns[..self.used]
    }
}

struct Problem<'a> {
    at: SVector<f64, UNKNOWNS>,
    used: usize,
    count: usize,
    effort: Effort,
    residuals: &'a Residuals<'a>,
}

impl Problem<'_> {
    /// Writes all rows. False when one of them is not finite.
    #[inline(never)]
    fn evaluate(&self, at: &[f64; UNKNOWNS], rows: &mut [f64; ROWS]) -> bool {
        rows.fill(0.0);
        (self.residuals)(&at[..self.used], &mut rows[..self.count]);
        rows[RESIDUALS + self.used..].copy_from_slice(&at[self.used..]);
        rows.iter().all(|v| v.is_finite())
    }
}

impl LeastSquaresProblem<f64, Const<ROWS>, Const<UNKNOWNS>> for Problem<'_> {
    type ParameterStorage = Owned<f64, Const<UNKNOWNS>>;
    type ResidualStorage = Owned<f64, Const<ROWS>>;
    type JacobianStorage = Owned<f64, Const<ROWS>, Const<UNKNOWNS>>;

    fn set_params(&mut self, x: &SVector<f64, UNKNOWNS>) {
        self.at = *x;
    }

    fn params(&self) -> SVector<f64, UNKNOWNS> {
        self.at
    }

    fn residuals(&self) -> Option<SVector<f64, ROWS>> {
        let mut rows = SVector::<f64, ROWS>::zeros();
        self.evaluate(&self.at.data.0[0], &mut rows.data.0[0])
            .then_some(rows)
    }

    fn jacobian(&self) -> Option<SMatrix<f64, ROWS, UNKNOWNS>> {
        let mut slopes = SMatrix::<f64, ROWS, UNKNOWNS>::zeros();
        let mut at = self.at.data.0[0];
        let mut below = [0.0; ROWS];
        // A matrix is stored column by column.
        for (i, column) in slopes.data.0.iter_mut().enumerate() {
            let x = at[i];
            let h = (self.effort.relative_step * x.abs()).max(self.effort.least_step);
            at[i] = x - h;
            let fine = self.evaluate(&at, &mut below);
            at[i] = x + h;
            if !(self.evaluate(&at, column) && fine) {
                return None;
            }
            at[i] = x;
            for (above, below) in column.iter_mut().zip(&below) {
                *above = (*above - below) / (2.0 * h);
            }
        }
        Some(slopes)
    }
}

/// Least squares from a starting point. `count` is how many residuals there are, at least as
/// many as unknowns; `residuals` writes all of them, finite ones, at every point.
///
/// Ends after 100 evaluations for each unknown at the latest; what it then has is returned
/// as not converged. `None` when the start is empty, has more than [`UNKNOWNS`] or is not
/// finite, when `count` is above [`RESIDUALS`] or below the number of unknowns, or when a
/// residual at the start is not finite.
///
/// ```
/// use tapwright_squares::{Effort, least_squares};
/// // The line y = a + b x through (0, 1), (1, 3), (2, 5).
/// let effort = Effort { relative_step: 1e-6, least_step: 1e-9, tolerance: 1e-12 };
/// let line = least_squares(&[0.0, 0.0], 3, effort, &|x, rows| {
///     for (i, row) in rows.iter_mut().enumerate() {
///         let at = i as f64;
///         *row = x[0] + x[1] * at - (1.0 + 2.0 * at);
///     }
/// })
/// .ok_or("no line")?;
/// assert!((line.unknowns()[1] - 2.0).abs() < 1e-9);
/// # Ok::<(), &str>(())
/// ```
// Inlined into its caller, it would be compiled for speed like that.
#[inline(never)]
pub fn least_squares(
    start: &[f64],
    count: usize,
    effort: Effort,
    residuals: &Residuals<'_>,
) -> Option<Solution> {
    let used = start.len();
    let fits = (1..=UNKNOWNS).contains(&used) && (used..=RESIDUALS).contains(&count);
    if !fits || !start.iter().all(|v| v.is_finite()) {
        return None;
    }
    let mut at = SVector::<f64, UNKNOWNS>::zeros();
    at.data.0[0][..used].copy_from_slice(start);
    let problem = Problem {
        at,
        used,
        count,
        effort,
        residuals,
    };
    let (problem, report) = LevenbergMarquardt::new()
        .with_tol(effort.tolerance)
        .minimize(problem);
    let sum_of_squares = 2.0 * report.objective_function;
    sum_of_squares.is_finite().then_some(Solution {
        unknowns: problem.at.data.0[0],
        used,
        sum_of_squares,
        converged: report.termination.was_successful(),
    })
}
