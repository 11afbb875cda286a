//! A straight line through readings.
//!
//! ```text
//! y(t) = a + b·t,   fitted as  ȳ + b·(t − t̄):   the two are then uncorrelated, however far t̄ is from zero
//! ```
//!
//! Least squares, weighted if the caller has weights (proportional to 1/variance).
//!
//! Limits: three samples at two different times at least. Standard deviations hold for independent residuals; [`Line::correlated`]
//! widens them for what correlated ones are worth.
//!
//! # References
//!
//! - Draper, N. R. and Smith, H. *Applied Regression Analysis*, chapter 1 (textbook formulae; chapter from memory).

use super::least_squares::{self, Fit};
use crate::estimate::student_quantile;

/// A fitted straight line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Weighted mean of the times, where the line is best known.
    pub centre: f64,
    /// Height of the line at `centre`.
    pub level: f64,
    /// Slope, in the unit of y per unit of t.
    pub slope: f64,
    /// Standard deviation of the readings about the line, at weight 1.
    pub scatter: f64,
    /// The fit behind it: first coefficient the level, second the slope.
    pub fit: Fit,
}

impl Line {
    /// Through `(time, value)` with optional weights; `None` under three samples of positive weight, at a single time, or where lengths
    /// differ or a number is not finite.
    pub fn through(time: &[f64], value: &[f64], weights: Option<&[f64]>) -> Option<Self> {
        if time.len() < 3 || time.len() != value.len() || weights.is_some_and(|w| w.len() != time.len()) {
            return None;
        }
        let weight = |i: usize| weights.map_or(1.0, |w| w[i]);
        let total: f64 = (0..time.len()).map(weight).sum();
        let centre = time.iter().enumerate().map(|(i, t)| weight(i) * t).sum::<f64>() / total;
        let columns = [vec![1.0; time.len()], time.iter().map(|t| t - centre).collect()];
        let fit = least_squares::solve(&columns, value, weights)?;
        (fit.degrees_of_freedom >= 1.0).then(|| Self {
            centre,
            level: fit.coefficients[0],
            slope: fit.coefficients[1],
            scatter: fit.residual_variance().sqrt(),
            fit,
        })
    }

    /// The same line with residuals worth only `n_eff` independent ones out of `n`.
    pub fn correlated(mut self, n: f64, n_eff: f64) -> Self {
        self.fit = self.fit.correlated(n, n_eff);
        self
    }

    /// Height of the line at time 0.
    pub fn intercept(&self) -> f64 {
        self.at(0.0).0
    }

    /// Height of the line at `time` and its standard deviation: how well the line itself is known there.
    pub fn at(&self, time: f64) -> (f64, f64) {
        let reach = time - self.centre;
        self.fit.predict(&[1.0, reach]).unwrap_or((f64::NAN, f64::INFINITY))
    }

    /// What one further reading of weight 1 at `time` should be, and the standard deviation that it should have from that: the line's own
    /// with the scatter of readings added.
    pub fn prediction(&self, time: f64) -> (f64, f64) {
        let (value, deviation) = self.at(time);
        (value, deviation.hypot(self.scatter))
    }

    /// Standard deviation of the slope.
    pub fn slope_deviation(&self) -> f64 {
        self.fit.covariance[1][1].sqrt()
    }

    /// 95 % interval of the slope.
    pub fn slope_interval(&self) -> [f64; 2] {
        let half = student_quantile(0.975, self.fit.degrees_of_freedom) * self.slope_deviation();
        [self.slope - half, self.slope + half]
    }

    /// What the readings leave over, in their order.
    pub fn residuals(&self, time: &[f64], value: &[f64]) -> Vec<f64> {
        time.iter().zip(value).map(|(t, y)| y - self.at(*t).0).collect()
    }
}
