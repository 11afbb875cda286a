//! Three unknowns that enter linearly, with what is known of two of them beforehand.
//!
//! The normal equations of a handful of averaged readings, solved by Cholesky's factor; a prior is one more equation. The columns
//! differ in scale by less than a hundred and the priors hold the nearly parallel ones apart, so half the digits are enough.

/// The solution: best values, the covariance's factor, and what speaks for the columns.
#[derive(Clone, Copy, Debug)]
pub struct Solved {
    /// Best values.
    pub best: [f64; 3],
    /// Three vectors whose sum of outer products is the covariance.
    factor: [[f64; 3]; 3],
    /// Weighted sum of squares, with the priors'.
    pub squares: f64,
    /// Logarithm of the evidence for these columns, up to a constant.
    pub log_evidence: f64,
}

/// Sums over rows of three columns.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sums {
    matrix: [[f64; 3]; 3],
    right: [f64; 3],
    square: f64,
}

impl Sums {
    /// Adds a row with the value `y`, of variance 1/`weight`.
    pub fn add(&mut self, row: [f64; 3], y: f64, weight: f64) {
        for i in 0..3 {
            for j in 0..=i {
                self.matrix[i][j] += weight * row[i] * row[j];
            }
            self.right[i] += weight * row[i] * y;
        }
        self.square += weight * y * y;
    }

    /// The solution; `None` where the columns are not told apart.
    pub fn solve(&self) -> Option<Solved> {
        let lower = cholesky(self.matrix)?;
        let inner = forward(&lower, self.right);
        let squares = (self.square - inner.iter().map(|v| v * v).sum::<f64>()).max(0.0);
        let log_determinant: f64 = (0..3).map(|i| lower[i][i].ln()).sum();
        let unit = |k: usize| backward(&lower, std::array::from_fn(|i| if i == k { 1.0 } else { 0.0 }));
        Some(Solved {
            best: backward(&lower, inner),
            factor: [unit(0), unit(1), unit(2)],
            squares,
            log_evidence: -0.5 * squares - log_determinant,
        })
    }
}

impl Solved {
    /// How the first two unknowns spread: how both move with one independent standard normal variable, and the second with another.
    pub fn spread(&self) -> ([f64; 2], f64) {
        let covariance = |i: usize, j: usize| self.factor.iter().map(|column| column[i] * column[j]).sum::<f64>();
        let first = covariance(0, 0).max(0.0).sqrt();
        let along = if first > 0.0 { covariance(0, 1) / first } else { 0.0 };
        ([first, along], (covariance(1, 1) - along * along).max(0.0).sqrt())
    }
}

/// Lower Cholesky factor of a symmetric matrix given by its lower half; `None` if it is not positive.
fn cholesky(matrix: [[f64; 3]; 3]) -> Option<[[f64; 3]; 3]> {
    let mut lower = [[0.0; 3]; 3];
    for i in 0..3 {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest: f64 = matrix[i][j] - known;
            if i > j {
                lower[i][j] = rest / lower[j][j];
            } else if rest > 1e-12 * matrix[i][i] {
                lower[i][i] = rest.sqrt();
            } else {
                return None;
            }
        }
    }
    Some(lower)
}

/// Solves L x = b.
fn forward(lower: &[[f64; 3]; 3], right: [f64; 3]) -> [f64; 3] {
    let mut x = [0.0; 3];
    for i in 0..3 {
        let known: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
        x[i] = (right[i] - known) / lower[i][i];
    }
    x
}

/// Solves Lᵀ x = b.
fn backward(lower: &[[f64; 3]; 3], right: [f64; 3]) -> [f64; 3] {
    let mut x = [0.0; 3];
    for i in (0..3).rev() {
        let known: f64 = (i + 1..3).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (right[i] - known) / lower[i][i];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_prior_and_readings_meet_in_between_by_their_weights() {
        let mut sums = Sums::default();
        sums.add([1.0, 0.0, 0.0], 10.0, 1.0);
        sums.add([1.0, 0.0, 0.0], 16.0, 2.0);
        sums.add([0.0, 1.0, 0.0], 5.0, 4.0);
        sums.add([0.0, 0.0, 1.0], 1.0, 1.0);
        let solved = sums.solve().unwrap();
        assert!((solved.best[0] - 14.0).abs() < 1e-12 && (solved.best[1] - 5.0).abs() < 1e-12);
        // Weights 3 and 4: variances a third and a quarter; 1·4² + 2·2² is left over.
        let ([first, along], second) = solved.spread();
        assert!((first * first - 1.0 / 3.0).abs() < 1e-12 && along.abs() < 1e-12 && (second * second - 0.25).abs() < 1e-12);
        assert!((solved.squares - 24.0).abs() < 1e-9);
    }

    #[test]
    fn columns_that_cannot_be_told_apart_give_nothing() {
        let mut sums = Sums::default();
        sums.add([1.0, 1.0, 0.0], 1.0, 1.0);
        sums.add([0.0, 0.0, 1.0], 1.0, 1.0);
        assert!(sums.solve().is_none());
    }
}
