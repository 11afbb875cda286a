//! Mean, standard deviation and lag-one correlation of a plain series.
//!
//! ```text
//! m = Σyᵢ/n    s² = Σ(yᵢ−m)²/(n−1)    r₁ = Σ(yᵢ−m)(yᵢ₊₁−m) / Σ(yᵢ−m)²
//! ```
//!
//! Two passes: the mean first, then the deviations from it, with the mean of the deviations taken out again, so that readings which
//! differ only in their last digits keep them. [`lag_one`] ignores the times; for unevenly sampled series see
//! [`super::autocorrelation`].
//!
//! # References
//!
//! - Chan, T. F., Golub, G. H. and LeVeque, R. J. (1983). Algorithms for computing the sample variance.
//!   *The American Statistician* 37, 242–247.

use super::sum;

/// Mean; `None` if empty or not finite.
pub fn mean(values: &[f64]) -> Option<f64> {
    if values.is_empty() || values.iter().any(|v| !v.is_finite()) {
        return None;
    }
    // Shares of the sum, which cannot overflow where the values do not.
    let share = 1.0 / values.len() as f64;
    let rough = sum(values, |v| v * share);
    Some(rough + sum(values, |v| (v - rough) * share))
}

/// Standard deviation with n − 1; `None` under two values.
pub fn deviation(values: &[f64]) -> Option<f64> {
    let n = values.len() as f64;
    (values.len() > 1).then_some(())?;
    let centre = mean(values)?;
    let (off, squares) = (sum(values, |v| v - centre), sum(values, |v| (v - centre).powi(2)));
    Some(((squares - off * off / n) / (n - 1.0)).max(0.0).sqrt())
}

/// Correlation of each value with the next; `None` under two values or where all are equal.
pub fn lag_one(values: &[f64]) -> Option<f64> {
    let centre = mean(values)?;
    let square: f64 = values.iter().map(|v| (v - centre).powi(2)).sum();
    let product: f64 = values.windows(2).map(|pair| (pair[0] - centre) * (pair[1] - centre)).sum();
    (values.len() > 1 && square > 0.0).then(|| product / square)
}

/// Means of the samples within cells of `width`, with the mean of their times: so that no more samples are handled than a slow question needs.
pub fn thinned(time: &[f64], value: &[f64], width: f64) -> (Vec<f64>, Vec<f64>) {
    let first = time.first().copied().unwrap_or(0.0);
    let cell = |t: f64| ((t - first) / width).floor();
    let (mut times, mut values) = (Vec::new(), Vec::new());
    let mut start = 0;
    for end in 1..=time.len() {
        if end == time.len() || cell(time[end]) != cell(time[start]) {
            let count = (end - start) as f64;
            times.push(time[start..end].iter().sum::<f64>() / count);
            values.push(value[start..end].iter().sum::<f64>() / count);
            start = end;
        }
    }
    (times, values)
}
