//! Ridge regression: least squares for many columns that say nearly the same.
//!
//! Used where a series is predicted from its own past and from what drives it, and only what is left matters: the columns
//! depend on each other, so single coefficients mean nothing, but the fitted values are well determined.
//!
//! ```text
//! minimise Σ (yᵢ − ȳ − Σⱼ zᵢⱼ βⱼ)² + n·λ Σ βⱼ²      z: columns less their mean, over their standard deviation
//! ```
//!
//! Limits: no standard deviations are given. A column without variation adds nothing.
//!
//! # References
//!
//! - Hoerl, A. E. and Kennard, R. W. (1970). Ridge regression: biased estimation for nonorthogonal problems. *Technometrics* 12, 55–67.

use super::{dot, moments};

/// Standard deviation, against the column's size, below which a column has no variation.
const FLAT: f64 = 1e-9;

/// What is left of `y` after ridge regression on `columns`; `penalty` is λ. `None` for lengths that do not match, fewer than two
/// rows, values that are not finite, or a penalty that is not positive.
pub fn residuals(columns: &[Vec<f64>], y: &[f64], penalty: f64) -> Option<Vec<f64>> {
    let n = y.len();
    let lengths_match = columns.iter().all(|column| column.len() == n);
    let finite = columns.iter().flatten().chain(y).all(|value| value.is_finite());
    let penalised = penalty > 0.0 && penalty.is_finite();
    if n < 2 || !lengths_match || !finite || !penalised {
        return None;
    }
    let centre = moments::mean(y)?;
    let mut left: Vec<f64> = y.iter().map(|value| value - centre).collect();
    let scaled: Vec<Vec<f64>> = columns.iter().filter_map(|column| standardised(column)).collect();
    let p = scaled.len();
    let mut normal = vec![vec![0.0; p]; p];
    let mut right = vec![0.0; p];
    for j in 0..p {
        for k in 0..=j {
            normal[j][k] = dot(&scaled[j], &scaled[k]);
        }
        normal[j][j] += penalty * n as f64;
        right[j] = dot(&scaled[j], &left);
    }
    let coefficients = solve_positive(normal, right)?;
    for (column, coefficient) in scaled.iter().zip(coefficients) {
        left.iter_mut().zip(column).for_each(|(rest, z)| *rest -= coefficient * z);
    }
    Some(left)
}

/// A column less its mean over its standard deviation; `None` without variation.
fn standardised(column: &[f64]) -> Option<Vec<f64>> {
    let mean = moments::mean(column)?;
    let mut centred: Vec<f64> = column.iter().map(|value| value - mean).collect();
    let deviation = (dot(&centred, &centred) / (column.len() as f64 - 1.0)).sqrt();
    (deviation > FLAT * (1.0 + mean.abs())).then_some(())?;
    let scale = 1.0 / deviation;
    centred.iter_mut().for_each(|value| *value *= scale);
    Some(centred)
}

/// Solves a symmetric positive definite system, of which the lower triangle is given, by Cholesky's factor; `None` if it is not
/// positive definite.
pub fn solve_positive(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Option<Vec<f64>> {
    let p = b.len();
    for j in 0..p {
        let (done, rest) = a.split_at_mut(j);
        let row = &mut rest[0];
        for k in 0..j {
            row[k] = (row[k] - dot(&row[..k], &done[k][..k])) / done[k][k];
        }
        let pivot = row[j] - dot(&row[..j], &row[..j]);
        if pivot.is_nan() || pivot <= 0.0 {
            return None;
        }
        row[j] = pivot.sqrt();
        b[j] = (b[j] - dot(&row[..j], &b[..j])) / row[j];
    }
    for j in (0..p).rev() {
        let below: f64 = (j + 1..p).map(|k| a[k][j] * b[k]).sum();
        b[j] = (b[j] - below) / a[j][j];
    }
    Some(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_equal_columns_share_what_one_would_take() {
        let x: Vec<f64> = (0..100).map(|i| f64::from(i % 7)).collect();
        let y: Vec<f64> = x.iter().map(|x| 3.0 * x + 1.0).collect();
        let left = residuals(&[x.clone(), x], &y, 1e-9).unwrap_or_default();
        assert!(left.len() == 100 && left.iter().all(|rest| rest.abs() < 1e-6), "{left:?}");
    }

    #[test]
    fn a_flat_column_and_one_that_says_nothing_take_nothing() {
        let y: Vec<f64> = (0..400).map(|i| f64::from(i % 2)).collect();
        let slow: Vec<f64> = (0..400).map(|i| f64::from(i / 2 % 2)).collect();
        let left = residuals(&[vec![5.0; 400], slow], &y, 0.01).unwrap_or_default();
        assert!(left.iter().all(|rest| (rest.abs() - 0.5).abs() < 0.01), "{left:?}");
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(residuals(&[vec![1.0]], &[1.0, 2.0], 0.1), None);
        assert_eq!(residuals(&[vec![1.0, f64::NAN]], &[1.0, 2.0], 0.1), None);
        assert_eq!(residuals(&[vec![1.0, 3.0]], &[1.0, 2.0], 0.0), None);
    }
}
