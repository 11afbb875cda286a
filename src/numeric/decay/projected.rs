//! The linear part of a decay, solved for one time constant.

use super::Known;

/// y = a + b·e with e = exp(−(t − o)/τ): the best a and b for this τ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Projected {
    /// The time constant.
    pub time_constant: f64,
    /// Asymptote.
    pub a: f64,
    /// Start less asymptote.
    pub b: f64,
    /// Sum of squared residuals.
    pub rss: f64,
    /// Unscaled variances of a and b and their covariance.
    cofactor: [f64; 3],
}

impl Projected {
    /// The solution for `time_constant`; `since` is time from the origin. `None` where the exponential is flat over the samples.
    pub(super) fn solve(since: &[f64], value: &[f64], known: Known, time_constant: f64) -> Option<Self> {
        // 1 − e, formed without subtracting, so that a slow decay keeps its digits.
        let fall: Vec<f64> = since.iter().map(|t| -(-t / time_constant).exp_m1()).collect();
        let n = value.len() as f64;
        let (a, b, cofactor) = match known {
            Known::Nothing => {
                let mean_fall = fall.iter().sum::<f64>() / n;
                let mean = value.iter().sum::<f64>() / n;
                let (square, product) = fall.iter().zip(value).fold((0.0, 0.0), |(square, product), (f, y)| {
                    let from = f - mean_fall;
                    (square + from * from, product + from * (y - mean))
                });
                let (b, mean_shape) = (-product / square, 1.0 - mean_fall);
                let variance = 1.0 / square;
                (mean - b * mean_shape, b, [1.0 / n + mean_shape * mean_shape * variance, variance, -mean_shape * variance])
            }
            Known::Asymptote(a) => {
                let (square, product) = sums(fall.iter().map(|f| 1.0 - f), value, a);
                (a, product / square, [0.0, 1.0 / square, 0.0])
            }
            Known::Start { value: start, .. } => {
                let (square, product) = sums(fall.iter().copied(), value, start);
                let rise = product / square;
                (start + rise, -rise, [1.0 / square, 1.0 / square, -1.0 / square])
            }
        };
        // Written from the start, a + b, so that a slow decay with a far asymptote does not cancel.
        let rss: f64 = fall.iter().zip(value).map(|(f, y)| (y - (a + b) + b * f).powi(2)).sum();
        (rss.is_finite() && a.is_finite() && b.is_finite()).then_some(Self { time_constant, a, b, rss, cofactor })
    }

    /// The largest and the smallest share left of the fall at which the curve may stand at `level` with a sum of squares up to `limit`;
    /// a smallest share of 0 says that it may never get there.
    pub(super) fn share_left(&self, level: f64, limit: f64) -> [f64; 2] {
        let slack = (limit - self.rss).max(0.0);
        let [aa, bb, ab] = self.cofactor.map(|entry| entry * slack);
        let above = self.a - level;
        // (above + b r)² = slack·(variance of that), for the share r.
        let (square, half, free) = (self.b * self.b - bb, above * self.b - ab, above * above - aa);
        let root = (half * half - square * free).max(0.0).sqrt();
        if square <= 0.0 {
            // The fall itself is not told from nothing.
            return [f64::INFINITY, 0.0];
        }
        let ends = [(-half + root) / square, (-half - root) / square];
        ends.map(|end| end.max(0.0))
    }
}

/// Squares of a column and its products with the values less `from`.
fn sums(column: impl Iterator<Item = f64>, value: &[f64], from: f64) -> (f64, f64) {
    column.zip(value).fold((0.0, 0.0), |(square, product), (e, y)| (square + e * e, product + e * (y - from)))
}
