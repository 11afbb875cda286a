//! Linear least squares for a few columns.
//!
//! Used wherever a model is linear in what is unknown: lines, kinks at a given moment, decays at a given time constant, the
//! warm-up model in its integral form.
//!
//! ```text
//! minimise Σ wᵢ (yᵢ − Σⱼ xᵢⱼ βⱼ)²      optionally with  lowerⱼ ≤ βⱼ ≤ upperⱼ
//! ```
//!
//! [`solve`] works by Householder reflections on columns scaled to a common length, which loses half as many digits as the
//! normal equations do. [`Normal`] is the normal equations: rows are added up once, sums subtract, and each solution costs only
//! a small Cholesky factor, so a scan over thousands of windows is cheap. It squares the condition of the problem: centre the
//! columns first (times from the middle of the window, readings from their mean) and keep to a few well-separated columns, or
//! refit the chosen window with [`solve`].
//!
//! Limits: [`MOST_COLUMNS`] columns; columns that depend on each other, fewer rows than columns, lengths that do not match and
//! values that are not finite give `None`. Standard deviations hold for independent residuals of equal variance (times 1/weight);
//! for correlated ones use [`Fit::correlated`].
//!
//! # References
//!
//! - Golub, G. H. and Van Loan, C. F. *Matrix Computations*, chapter 5 (Householder least squares; chapter from memory).
//! - Stark, P. B. and Parker, R. L. (1995). Bounded-variable least-squares: an algorithm and applications.
//!   *Computational Statistics* 10, 129–141.

mod bounded;
mod normal;
mod triangle;

use super::dot;
pub use normal::Normal;
use triangle::Triangle;

/// Most columns a fit may have. The models here need fewer; the bound keeps the work per solution small.
pub const MOST_COLUMNS: usize = 12;

/// A linear least-squares fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// One coefficient a column, in column order, in the unit of y over the unit of the column.
    pub coefficients: Vec<f64>,
    /// Covariance of the coefficients: [`Fit::cofactor`] times [`Fit::residual_variance`]. Infinite where no degree of freedom
    /// is left to estimate it. Rows and columns of a coefficient held at a bound are 0: see [`Fit::held`].
    pub covariance: Vec<Vec<f64>>,
    /// Weighted sum of squared residuals.
    pub rss: f64,
    /// Rows of positive weight less free coefficients; fewer after [`Fit::correlated`].
    pub degrees_of_freedom: f64,
    /// Unscaled covariance (XᵀWX)⁻¹ of the free coefficients: the covariance if every weight is one over a known variance.
    pub cofactor: Vec<Vec<f64>>,
    /// Which coefficients lie at a bound. The zero in the covariance of such a one says that the bound fixed it, not that the data
    /// know it exactly.
    pub held: Vec<bool>,
}

impl Fit {
    /// Weighted residual variance, rss over degrees of freedom; infinite with none left.
    pub fn residual_variance(&self) -> f64 {
        if self.degrees_of_freedom > 0.0 { self.rss / self.degrees_of_freedom } else { f64::INFINITY }
    }

    /// Standard deviation of one coefficient; `None` if there is no such column, if it is held at a bound, or if no degree of
    /// freedom is left.
    pub fn standard_deviation(&self, column: usize) -> Option<f64> {
        let free = !self.held.get(column)?;
        let variance = *self.covariance.get(column)?.get(column)?;
        (free && variance.is_finite()).then(|| variance.sqrt())
    }

    /// Fitted value and its standard deviation for one row of column values; `None` if the row has another length.
    pub fn predict(&self, row: &[f64]) -> Option<(f64, f64)> {
        if row.len() != self.coefficients.len() {
            return None;
        }
        let value = row.iter().zip(&self.coefficients).map(|(x, b)| x * b).sum();
        let variance: f64 = row.iter().zip(&self.covariance).map(|(x, line)| x * dot(line, row)).sum();
        Some((value, variance.max(0.0).sqrt()))
    }

    /// The same fit with residuals that are worth only `n_eff` independent ones out of `rows`: the covariance grows by
    /// rows/n_eff and the degrees of freedom shrink to n_eff less the free coefficients (at least one).
    ///
    /// Exact in the limit of long records for residuals that keep their correlation while the columns change slowly, as a rise
    /// of minutes against noise of seconds does.
    pub fn correlated(mut self, rows: f64, n_eff: f64) -> Self {
        let growth = if n_eff > 0.0 && rows > n_eff { rows / n_eff } else { 1.0 };
        self.covariance.iter_mut().flatten().for_each(|entry| *entry *= growth);
        let free = self.held.iter().filter(|&&held| !held).count() as f64;
        self.degrees_of_freedom = self.degrees_of_freedom.min((n_eff - free).max(1.0));
        self
    }
}

/// Least squares of `y` on `columns`; `weights` are proportional to 1/variance, a row of weight 0 is left out.
///
/// `None` if there is no column or more than [`MOST_COLUMNS`], lengths differ, a value is not finite, a weight is negative,
/// there are fewer rows than columns, or a column depends on the others to within rounding.
pub fn solve(columns: &[Vec<f64>], y: &[f64], weights: Option<&[f64]>) -> Option<Fit> {
    Triangle::from_rows(columns, y, weights)?.fit(&vec![true; columns.len()], &vec![0.0; columns.len()])
}

/// As [`solve`], with each coefficient between `lower` and `upper` (infinite where there is no bound).
///
/// The minimum is the global one: the problem is convex and the active set stops only where no bound can be left downhill.
/// Columns that depend on each other are allowed as long as the free ones do not. `None` also if a lower bound lies above its
/// upper one.
pub fn solve_bounded(columns: &[Vec<f64>], y: &[f64], weights: Option<&[f64]>, lower: &[f64], upper: &[f64]) -> Option<Fit> {
    bounded::solve(&Triangle::from_rows(columns, y, weights)?, lower, upper)
}
