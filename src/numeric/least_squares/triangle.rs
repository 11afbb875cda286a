//! The least-squares problem boiled down to a triangle.
//!
//! Whatever the number of rows, everything that the coefficients depend on is an upper triangle R and a vector z = Qᵀy of as
//! many entries as there are columns, plus the sum of squares that no coefficient can reach:
//!
//! ```text
//! Σ wᵢ (yᵢ − xᵢ·β)² = |z − R D β|² + beyond        D scales each column to length one
//! ```
//!
//! Householder reflections and a Cholesky factor of the normal equations lead to the same triangle, so bounds, covariance and
//! rank are handled here once.

use super::{Fit, MOST_COLUMNS, dot};

/// A diagonal entry of R is the sine of the angle between its column and the span of those before it. Below this many roundings a
/// row the column is taken to lie in that span.
const RANK_ROUNDINGS: f64 = 4.0;

/// Reduced problem for columns scaled to length one.
pub(super) struct Triangle {
    /// Columns of R, full length with zeros below the diagonal.
    pub columns: Vec<Vec<f64>>,
    /// Qᵀy, first entries.
    pub target: Vec<f64>,
    /// Sum of squares out of reach of every coefficient.
    pub beyond: f64,
    /// Rows of positive weight.
    pub rows: f64,
    /// Length of each original column; a coefficient is its scaled counterpart over this.
    pub scale: Vec<f64>,
    /// Diagonal entries at or below this count as zero.
    pub tolerance: f64,
}

impl Triangle {
    /// By Householder reflections, straight from the rows.
    pub(super) fn from_rows(columns: &[Vec<f64>], y: &[f64], weights: Option<&[f64]>) -> Option<Self> {
        let n = y.len();
        let fits = !columns.is_empty() && columns.len() <= MOST_COLUMNS && columns.iter().all(|column| column.len() == n);
        let finite = columns.iter().flatten().chain(y).all(|value| value.is_finite());
        let sane = weights.is_none_or(|w| w.len() == n && w.iter().all(|v| v.is_finite() && *v >= 0.0));
        if !(fits && finite && sane) {
            return None;
        }
        let roots: Option<Vec<f64>> = weights.map(|w| w.iter().map(|v| v.sqrt()).collect());
        let weighted = |values: &[f64]| -> Vec<f64> {
            match &roots {
                Some(roots) => values.iter().zip(roots).filter(|(_, root)| **root > 0.0).map(|(v, root)| v * root).collect(),
                None => values.to_vec(),
            }
        };
        let mut target = weighted(y);
        let mut a: Vec<Vec<f64>> = columns.iter().map(|column| weighted(column)).collect();
        let rows = target.len();
        if rows < a.len() {
            return None;
        }
        // Scaling by a power of two changes no digit of the data.
        let scale: Vec<f64> = a.iter().map(|column| power_of_two(length(column))).collect();
        for (column, factor) in a.iter_mut().zip(&scale) {
            column.iter_mut().for_each(|value| *value /= factor);
        }
        reflect(&mut a, &mut target);
        let beyond = target[a.len()..].iter().map(|v| v * v).sum();
        let p = a.len();
        for (j, column) in a.iter_mut().enumerate() {
            column.truncate(p);
            column[j + 1..].fill(0.0);
        }
        target.truncate(p);
        let tolerance = RANK_ROUNDINGS * f64::EPSILON * (rows as f64).sqrt();
        Some(Self { columns: a, target, beyond, rows: rows as f64, scale, tolerance })
    }

    /// Scaled coefficients of the free columns with the others held at `at` (scaled too), and the factor that gave them; `None`
    /// where free columns depend on each other.
    pub(super) fn free_solution(&self, free: &[bool], at: &[f64]) -> Option<(Vec<f64>, Vec<Vec<f64>>)> {
        let residual = self.residual(&at.iter().zip(free).map(|(v, f)| if *f { 0.0 } else { *v }).collect::<Vec<_>>());
        let mut kept: Vec<Vec<f64>> = self.columns.iter().zip(free).filter(|(_, f)| **f).map(|(c, _)| c.clone()).collect();
        let mut target = residual;
        reflect(&mut kept, &mut target);
        let solution = back_substitute(&kept, &target, self.tolerance)?;
        let mut next = solution.into_iter();
        let all = at.iter().zip(free).map(|(v, f)| if *f { next.next().unwrap_or(*v) } else { *v }).collect();
        Some((all, kept))
    }

    /// z − R x for scaled coefficients x.
    pub(super) fn residual(&self, x: &[f64]) -> Vec<f64> {
        let mut residual = self.target.clone();
        for (column, value) in self.columns.iter().zip(x) {
            residual.iter_mut().zip(column).for_each(|(r, c)| *r -= c * value);
        }
        residual
    }

    /// The fit with the columns in `free` fitted and the others held at `at` (scaled).
    pub(super) fn fit(&self, free: &[bool], at: &[f64]) -> Option<Fit> {
        let (x, factor) = self.free_solution(free, at)?;
        let residual = self.residual(&x);
        let rss = self.beyond + dot(&residual, &residual);
        let freedom = self.rows - factor.len() as f64;
        let coefficients: Vec<f64> = x.iter().zip(&self.scale).map(|(v, s)| v / s).collect();
        if freedom < 0.0 || !rss.is_finite() || coefficients.iter().any(|c| !c.is_finite()) {
            return None;
        }
        let inverse = invert(&factor, self.tolerance)?;
        let p = x.len();
        let indices: Vec<usize> = (0..p).filter(|&j| free[j]).collect();
        let mut cofactor = vec![vec![0.0; p]; p];
        for (a, &i) in indices.iter().enumerate() {
            for (b, &j) in indices.iter().enumerate() {
                // Row a of R⁻¹ against row b: (RᵀR)⁻¹ = R⁻¹ R⁻ᵀ.
                let product: f64 = inverse.iter().map(|column| column[a] * column[b]).sum();
                cofactor[i][j] = product / (self.scale[i] * self.scale[j]);
            }
        }
        let variance = if freedom > 0.0 { rss / freedom } else { f64::INFINITY };
        let spread = |entry: &f64| if *entry == 0.0 { 0.0 } else { entry * variance };
        let covariance = cofactor.iter().map(|row| row.iter().map(spread).collect()).collect();
        let held = free.iter().map(|f| !f).collect();
        Some(Fit { coefficients, covariance, rss, degrees_of_freedom: freedom, cofactor, held })
    }
}

/// Turns `columns` into an upper triangle by Householder reflections and `target` along with them.
fn reflect(columns: &mut [Vec<f64>], target: &mut [f64]) {
    for k in 0..columns.len() {
        let (before, after) = columns.split_at_mut(k + 1);
        let Some(pivot) = before.get_mut(k) else { return };
        let Some(tail) = pivot.get_mut(k..) else { return };
        let size = length(tail);
        let Some(head) = tail.first_mut() else { return };
        if size == 0.0 {
            continue;
        }
        // The sign that adds, so that nothing cancels.
        let diagonal = if *head > 0.0 { -size } else { size };
        *head -= diagonal;
        let half = -diagonal * *head; // half of |v|², for v the tail with its new head
        if half == 0.0 {
            continue;
        }
        for other in after.iter_mut().map(|column| &mut column[k..]).chain(std::iter::once(&mut target[k..])) {
            let share = dot(tail, other) / half;
            other.iter_mut().zip(tail.iter()).for_each(|(o, v)| *o -= share * v);
        }
        tail.fill(0.0);
        tail[0] = diagonal;
    }
}

/// Solves R x = z; `None` where a diagonal entry is no larger than rounding.
fn back_substitute(columns: &[Vec<f64>], target: &[f64], tolerance: f64) -> Option<Vec<f64>> {
    let mut rest = target.to_vec();
    let mut x = vec![0.0; columns.len()];
    for k in (0..columns.len()).rev() {
        let diagonal = *columns[k].get(k)?;
        if diagonal.abs().is_nan() || diagonal.abs() <= tolerance {
            return None;
        }
        x[k] = rest.get(k)? / diagonal;
        rest.iter_mut().zip(&columns[k]).take(k).for_each(|(r, c)| *r -= c * x[k]);
    }
    Some(x)
}

/// Columns of R⁻¹.
fn invert(columns: &[Vec<f64>], tolerance: f64) -> Option<Vec<Vec<f64>>> {
    let p = columns.len();
    (0..p).map(|k| back_substitute(columns, &(0..p).map(|i| f64::from(u8::from(i == k))).collect::<Vec<_>>(), tolerance)).collect()
}

/// Euclidean length, safe from overflow for any readings that are finite in the first place.
pub(super) fn length(values: &[f64]) -> f64 {
    let largest = values.iter().fold(0.0, |most: f64, v| most.max(v.abs()));
    if largest == 0.0 || !largest.is_finite() {
        return largest;
    }
    largest * values.iter().map(|v| (v / largest).powi(2)).sum::<f64>().sqrt()
}

/// The power of two next below a positive number; one for anything else.
pub(super) fn power_of_two(size: f64) -> f64 {
    if size > 0.0 && size.is_finite() { size.log2().floor().exp2() } else { 1.0 }
}
