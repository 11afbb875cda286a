//! Normal equations that add up: for scans over many windows.

use super::triangle::Triangle;
use super::{Fit, bounded};

/// A squared sine below this says that a column lies in the span of the others: sums of squares carry about 16 digits, and the
/// differences of running sums that scans use lose some of them.
const LEAST_SQUARED_SINE: f64 = 1e-11;

/// Sums of products of rows: XᵀWX, XᵀWy, yᵀWy.
///
/// Sums of disjoint sets of rows add, and running sums subtract, so that a table of running sums answers any window at once. What is lost
/// is half the digits: see the module header.
#[derive(Clone, Debug, PartialEq)]
pub struct Normal {
    /// `columns` × `columns`, row by row.
    xtx: Vec<f64>,
    /// One entry a column.
    xty: Vec<f64>,
    yty: f64,
    /// Rows of positive weight.
    n: f64,
}

impl Normal {
    /// No rows yet.
    pub fn new(columns: usize) -> Self {
        Self { xtx: vec![0.0; columns * columns], xty: vec![0.0; columns], yty: 0.0, n: 0.0 }
    }

    /// The sums of rows of equal weight, each with its y as the last of its `P` entries: quicker than one by one.
    pub fn of_rows<const P: usize>(rows: impl Iterator<Item = [f64; P]>) -> Self {
        let (mut products, mut n) = ([[0.0; P]; P], 0.0);
        for row in rows {
            for (line, a) in products.iter_mut().zip(row) {
                line.iter_mut().zip(row).for_each(|(sum, b)| *sum += a * b);
            }
            n += 1.0;
        }
        let Some((with_y, columns)) = products.split_last() else { return Self::new(0) };
        Self {
            xtx: columns.iter().flat_map(|line| &line[..P - 1]).copied().collect(),
            xty: with_y[..P - 1].to_vec(),
            yty: with_y[P - 1],
            n,
        }
    }

    /// How many columns the rows have.
    pub fn columns(&self) -> usize {
        self.xty.len()
    }

    /// Rows of positive weight.
    pub fn rows(&self) -> f64 {
        self.n
    }

    /// Adds a row; entries beyond the number of columns are ignored and missing ones count as 0. A weight that is not positive
    /// adds nothing.
    pub fn add(&mut self, row: &[f64], y: f64, weight: f64) {
        if weight.is_nan() || weight <= 0.0 {
            return;
        }
        let p = self.columns();
        for (i, &a) in row.iter().take(p).enumerate() {
            for (sum, &b) in self.xtx[i * p..(i + 1) * p].iter_mut().zip(row) {
                *sum += weight * a * b;
            }
            self.xty[i] += weight * a * y;
        }
        self.yty += weight * y * y;
        self.n += 1.0;
    }

    /// The rows of both; `None` if they have different columns.
    pub fn plus(&self, other: &Self) -> Option<Self> {
        self.combined(other, 1.0)
    }

    /// The rows of `self` without those of `other`, which must be among them; `None` if they have different columns.
    pub fn minus(&self, other: &Self) -> Option<Self> {
        self.combined(other, -1.0)
    }

    /// Least squares for these rows; `None` where [`super::solve`] would give none, and where too few digits are left.
    pub fn solve(&self) -> Option<Fit> {
        let p = self.columns();
        self.triangle()?.fit(&vec![true; p], &vec![0.0; p])
    }

    /// As [`Normal::solve`], within bounds; columns that depend on each other give `None` here even where a bound would part them.
    pub fn solve_bounded(&self, lower: &[f64], upper: &[f64]) -> Option<Fit> {
        bounded::solve(&self.triangle()?, lower, upper)
    }

    fn combined(&self, other: &Self, sign: f64) -> Option<Self> {
        if self.columns() != other.columns() {
            return None;
        }
        let sum = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x + sign * y).collect();
        Some(Self {
            xtx: sum(&self.xtx, &other.xtx),
            xty: sum(&self.xty, &other.xty),
            yty: self.yty + sign * other.yty,
            n: self.n + sign * other.n,
        })
    }

    /// Cholesky factor of the scaled sums: the same triangle that reflections of the rows would give.
    fn triangle(&self) -> Option<Triangle> {
        let p = self.columns();
        if p == 0 || p > super::MOST_COLUMNS || self.n < p as f64 {
            return None;
        }
        let scale: Vec<f64> = (0..p).map(|j| self.xtx[j * p + j].sqrt()).collect();
        if scale.iter().any(|s| !s.is_finite() || *s <= 0.0) {
            return None;
        }
        let mut columns = vec![vec![0.0; p]; p];
        let mut target = vec![0.0; p];
        for j in 0..p {
            for i in 0..=j {
                let known: f64 = (0..i).map(|k| columns[i][k] * columns[j][k]).sum();
                let rest = self.xtx[i * p + j] / (scale[i] * scale[j]) - known;
                if i < j {
                    columns[j][i] = rest / columns[i][i];
                } else if rest > LEAST_SQUARED_SINE {
                    columns[j][j] = rest.sqrt();
                } else {
                    return None;
                }
            }
            let known: f64 = (0..j).map(|k| columns[j][k] * target[k]).sum();
            target[j] = (self.xty[j] / scale[j] - known) / columns[j][j];
        }
        let reached: f64 = target.iter().map(|v| v * v).sum();
        let beyond = (self.yty - reached).max(0.0);
        beyond.is_finite().then_some(Triangle { columns, target, beyond, rows: self.n, scale, tolerance: 0.0 })
    }
}
