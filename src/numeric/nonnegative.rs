//! Least squares with coefficients that are not negative, from sums of products.
//!
//! For scans that solve thousands of small problems over windows of the same rows: the sums of a window are kept, columns are added to them,
//! and a solution costs a few small Cholesky factors and no memory.
//!
//! ```text
//! minimise Σ (yᵢ − Σⱼ xᵢⱼ βⱼ)²      βⱼ ≥ 0
//! ```
//!
//! An active set of coefficients held at zero, as Lawson and Hanson describe it, begun from those that the free solution leaves positive.
//! Where a like problem has just been solved, the same coefficients are mostly free: its solution is tried first.
//! What else a fit has to say (covariances, other bounds) is left to [`super::least_squares`].
//!
//! Limits: [`MOST_COLUMNS`] columns; half the digits are lost to the squares, so columns must be well separated, or a prior must part
//! them; columns that depend on each other may give `None`.
//!
//! # References
//!
//! - Lawson, C. L. and Hanson, R. J. (1974). *Solving Least Squares Problems*, chapter 23 (chapter from memory).

/// Most columns a problem may have.
pub const MOST_COLUMNS: usize = 8;

/// Where y stands in a row.
pub const Y: usize = MOST_COLUMNS;

/// A row: the columns, 0 where there are fewer, and y last.
pub type Row = [f64; MOST_COLUMNS + 1];

/// A squared sine below this says that a column lies in the span of the others.
const LEAST_SQUARED_SINE: f64 = 1e-11;

/// Smallest gain worth releasing a coefficient for, relative to the length of y: rounding of the gradient.
const GRADIENT_ROUNDING: f64 = 1e-12;

/// Sums of products of rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sums {
    products: [Row; MOST_COLUMNS + 1],
}

/// The least squares of [`Sums`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minimum {
    /// Coefficients, 0 beyond the columns in use.
    pub coefficients: [f64; MOST_COLUMNS],
    /// Sum of squared residuals.
    pub rss: f64,
}

impl Default for Sums {
    fn default() -> Self {
        Self { products: [[0.0; MOST_COLUMNS + 1]; MOST_COLUMNS + 1] }
    }
}

impl Sums {
    /// Adds a row.
    pub fn add(&mut self, row: &Row) {
        for (line, a) in self.products.iter_mut().zip(row) {
            line.iter_mut().zip(row).for_each(|(sum, b)| *sum += a * b);
        }
    }

    /// Adds the products of column `j`, of which there were none so far, with every other column and y, and with itself.
    pub fn add_column(&mut self, j: usize, with: &Row) {
        for (i, product) in with.iter().enumerate() {
            self.products[j][i] = *product;
            self.products[i][j] = *product;
        }
    }

    /// Adds a prior of mean `mean` and standard deviation `deviation` for coefficient `j`.
    pub fn add_prior(&mut self, j: usize, mean: f64, deviation: f64) {
        let mut row = [0.0; MOST_COLUMNS + 1];
        row[j] = 1.0 / deviation;
        row[Y] = mean / deviation;
        self.add(&row);
    }

    /// Least squares over the first `columns` columns with no coefficient negative. `like` is the solution of a like problem, if there is one.
    pub fn minimum(&self, columns: usize, like: Option<&Minimum>) -> Option<Minimum> {
        let columns = columns.min(MOST_COLUMNS);
        let all = (1u32 << columns) - 1;
        let positive = |x: &[f64]| (0..columns).filter(|&j| x[j] > 0.0).fold(0, |set, j| set | 1 << j);
        if let Some(free) = like.map(|like| positive(&like.coefficients))
            && let Some(x) = self.solve(free)
            && positive(&x) == free
            && self.steepest(free, &x, columns).is_none()
        {
            return self.reached(&x, columns);
        }
        let unbounded = self.solve(all)?;
        let mut x = [0.0; MOST_COLUMNS + 1];
        let mut free = positive(&unbounded);
        if free == all {
            x = unbounded;
        } else {
            let mut barred = 0;
            let mut settled = self.settle(&mut free, &mut x, columns);
            for _ in 0..8 * columns {
                settled?;
                let Some(released) = self.steepest(free | barred, &x, columns) else { break };
                let before = (free, x);
                free |= 1 << released;
                settled = self.settle(&mut free, &mut x, columns);
                if settled.is_none() || x == before.1 {
                    // It depends on the free ones, or rounding alone made it look worth releasing.
                    (free, x) = before;
                    barred |= 1 << released;
                    settled = Some(());
                } else {
                    barred = 0;
                }
            }
        }
        self.reached(&x, columns)
    }

    /// What a solution reaches; `None` if it is not finite.
    fn reached(&self, x: &Row, columns: usize) -> Option<Minimum> {
        // |y − Xβ|² = yᵀy − 2 βᵀXᵀy + βᵀXᵀXβ, and free coefficients solve their own equations.
        let y = &self.products[Y];
        let reached: f64 = (0..columns).map(|j| x[j] * y[j]).sum();
        let rss = (y[Y] - reached).max(0.0);
        let mut coefficients = [0.0; MOST_COLUMNS];
        coefficients.copy_from_slice(&x[..MOST_COLUMNS]);
        (rss.is_finite() && coefficients.iter().all(|c| c.is_finite())).then_some(Minimum { coefficients, rss })
    }

    /// Solves the free coefficients, cutting the step at zero and holding what reaches it until none does.
    fn settle(&self, free: &mut u32, x: &mut Row, columns: usize) -> Option<()> {
        for _ in 0..=columns {
            let wanted = self.solve(*free)?;
            let in_set = |j: &usize| *free >> j & 1 == 1;
            let share = (0..columns).filter(in_set).filter(|&j| wanted[j] < 0.0).map(|j| x[j] / (x[j] - wanted[j])).fold(1.0, f64::min);
            let mut held = 0;
            for j in (0..columns).filter(in_set) {
                let blocked = wanted[j] < 0.0 && x[j] / (x[j] - wanted[j]) <= share;
                x[j] = if blocked { 0.0 } else { (x[j] + share * (wanted[j] - x[j])).max(0.0) };
                held |= u32::from(blocked) << j;
            }
            *free &= !held;
            if held == 0 {
                return Some(());
            }
        }
        Some(())
    }

    /// The held coefficient whose release lowers the sum of squares fastest; `None` at the minimum.
    fn steepest(&self, not: u32, x: &Row, columns: usize) -> Option<usize> {
        let least = GRADIENT_ROUNDING * self.products[Y][Y].sqrt();
        let gain = |j: usize| {
            let line = &self.products[j];
            let fitted: f64 = line.iter().zip(x).take(columns).map(|(a, b)| a * b).sum();
            (line[Y] - fitted) / line[j].sqrt()
        };
        let held = (0..columns).filter(|&j| not >> j & 1 == 0).map(|j| (j, gain(j)));
        held.filter(|(_, gain)| *gain > least).max_by(|a, b| a.1.total_cmp(&b.1)).map(|(j, _)| j)
    }

    /// Solution over the columns in `set`, the others at zero, by a Cholesky factor.
    fn solve(&self, set: u32) -> Option<Row> {
        let mut index = [0usize; MOST_COLUMNS];
        let mut p = 0;
        for j in (0..MOST_COLUMNS).filter(|&j| set >> j & 1 == 1) {
            index[p] = j;
            p += 1;
        }
        let index = &index[..p];
        let mut factor = [[0.0; MOST_COLUMNS]; MOST_COLUMNS];
        let mut x = [0.0; MOST_COLUMNS + 1];
        let mut half = [0.0; MOST_COLUMNS];
        for (a, &i) in index.iter().enumerate() {
            for (b, &j) in index[..a].iter().enumerate() {
                let known: f64 = factor[a][..b].iter().zip(&factor[b][..b]).map(|(u, v)| u * v).sum();
                // The diagonal holds one over itself.
                factor[a][b] = (self.products[i][j] - known) * factor[b][b];
            }
            let own = self.products[i][i];
            let known: f64 = factor[a][..a].iter().map(|u| u * u).sum();
            let rest = own - known;
            if rest.is_nan() || rest <= LEAST_SQUARED_SINE * own {
                return None;
            }
            factor[a][a] = rest.sqrt().recip();
            let known: f64 = factor[a][..a].iter().zip(&half).map(|(u, v)| u * v).sum();
            half[a] = (self.products[i][Y] - known) * factor[a][a];
        }
        for (a, &i) in index.iter().enumerate().rev() {
            let known: f64 = index.iter().enumerate().skip(a + 1).map(|(b, &j)| factor[b][a] * x[j]).sum();
            x[i] = (half[a] - known) * factor[a][a];
        }
        Some(x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::least_squares::solve_bounded;

    /// A fixed row of numbers between −1 and 1 that look random.
    fn noise(seed: usize) -> f64 {
        let x = (seed as f64 * 12.9898).sin() * 43_758.545_3;
        2.0 * (x - x.floor()) - 1.0
    }

    #[test]
    fn it_agrees_with_the_general_solver() {
        for problem in 0..200 {
            let (columns, rows) = (2 + problem % 7, 30);
            let x: Vec<Vec<f64>> =
                (0..columns).map(|j| (0..rows).map(|i| noise(problem * 1000 + j * 37 + i * 7) + 0.3 * j as f64).collect()).collect();
            let y: Vec<f64> = (0..rows).map(|i| noise(problem * 771 + i * 13) + x[0][i] - 0.5 * x[1][i]).collect();
            let mut sums = Sums::default();
            for i in 0..rows {
                let mut row = [0.0; MOST_COLUMNS + 1];
                (0..columns).for_each(|j| row[j] = x[j][i]);
                row[Y] = y[i];
                sums.add(&row);
            }
            let general = solve_bounded(&x, &y, None, &vec![0.0; columns], &vec![f64::INFINITY; columns]).expect("it has a solution");
            let minimum = sums.minimum(columns, None).expect("it has a solution");
            let guessed = Minimum { coefficients: std::array::from_fn(|j| noise(problem * 31 + j)), rss: 0.0 };
            let again = [Some(&minimum), Some(&guessed)].map(|like| sums.minimum(columns, like));
            assert_eq!(again, [Some(minimum); 2], "{problem}: whatever is guessed");
            assert!((minimum.rss - general.rss).abs() < 1e-9 * general.rss, "{problem}: {} {}", minimum.rss, general.rss);
            for (a, b) in minimum.coefficients.iter().zip(&general.coefficients) {
                assert!((a - b).abs() < 1e-8, "{problem}: {:?} {:?}", minimum.coefficients, general.coefficients);
            }
        }
    }

    #[test]
    fn columns_that_depend_on_each_other_have_no_solution() {
        let mut sums = Sums::default();
        for i in 0..10 {
            let mut row = [0.0; MOST_COLUMNS + 1];
            (row[0], row[1], row[Y]) = (f64::from(i), 2.0 * f64::from(i), 1.0);
            sums.add(&row);
        }
        assert_eq!(sums.minimum(2, None), None);
    }
}
