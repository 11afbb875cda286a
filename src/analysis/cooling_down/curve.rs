//! The falling curve, what the readings say about it, and what follows for later moments.
//!
//! ```text
//! reading(t) = A + θ₀·f(t) + B·exp(−t/σ)        f(t) = (1 + p·t/τ)^(−1/p),   exp(−t/τ) for p = 0
//! ```
//!
//! A is ambient as the sensor reads it, θ₀ the excess of the slow part at the origin, τ its time constant there. p is how the time
//! constant drifts: heat given off goes with excess^(1 + p), p being a quarter in still air (natural convection), more with
//! radiation, nothing by conduction; a second body that cools faster than the coolant looks like more of the same. B is what is left of
//! the hot soak, or of a fan that runs on.
//!
//! Given τ, p and σ the rest is linear and solved exactly with its priors: ambient as far as it is known, B as far as it can still be.
//! τ, p and σ are summed over a grid. So a short record leans on the known ambient and a long one finds its own, with nothing
//! to switch between them.
//!
//! Limits: ambient stays as it is; one fast part; errors of one size, worth `n_eff` readings.
//!
//! # References
//!
//! - Incropera, F. P. et al. *Fundamentals of Heat and Mass Transfer*, chapters 5 and 9 (lumped cooling; laminar natural convection goes with
//!   ΔT^(5/4)).
//! - Gelman, A. et al. *Bayesian Data Analysis*, chapters 5 and 14 (grids; priors as additional data; chapters from memory).

use crate::estimate::{normal_quantile, student_quantile};
use crate::numeric::autocorrelation;

/// Prior of the logarithm of τ: 1 to 3 h is what vehicles do (common practice, no source), taken as one standard deviation each way.
const LOG_TIME_CONSTANT: (f64, f64) = (8.74, 0.55);

/// Prior of the drift p, mean and standard deviation: from nothing to natural convection with radiation. Our own choice.
const DRIFT: (f64, f64) = (0.12, 0.10);

/// The drift where one has to do.
pub const USUAL_DRIFT: f64 = DRIFT.0;

/// Drifts on the grid.
const DRIFTS: [f64; 7] = [-0.09, -0.02, 0.05, 0.12, 0.19, 0.26, 0.33];

/// Time constants of the fast part, in seconds: metal that evens out with its coolant takes minutes (memory).
pub const FAST_S: [f64; 3] = [150.0, 400.0, 1000.0];

/// Shortest and longest τ tried, in seconds.
const TIME_CONSTANTS: [f64; 2] = [600.0, 60_000.0];

/// Points of a first look over ln τ.
const TRIALS: usize = 14;

/// Golden sections that refine it: to a thousandth of a trial step.
const SECTIONS: usize = 14;

/// Nodes either side of the best ln τ; half a standard deviation apart.
const NODES_EACH_SIDE: i32 = 7;

/// Residuals up to this many times rounding's own mean square are rounding. Our own choice.
const ROUNDING_ONLY: f64 = 1.5;

/// Nodes and weights of the five-point Gauss–Hermite rule for a standard normal variable.
const FINE_RULE: [(f64, f64); 5] = [
    (-2.856_970_013_872_806, 0.011_257_411_327_720_69),
    (-1.355_626_179_974_266, 0.222_075_922_005_612_6),
    (0.0, 0.533_333_333_333_333_3),
    (1.355_626_179_974_266, 0.222_075_922_005_612_6),
    (2.856_970_013_872_806, 0.011_257_411_327_720_69),
];

/// The same with three points.
pub const COARSE_RULE: [(f64, f64); 3] = [(-1.732_050_807_568_877, 1.0 / 6.0), (0.0, 2.0 / 3.0), (1.732_050_807_568_877, 1.0 / 6.0)];

/// A quantity known beforehand: mean and standard deviation.
pub type Known = (f64, f64);

/// Readings with what is known beforehand. Times count from the origin.
#[derive(Clone, Debug)]
pub struct Problem {
    /// Times, rising, in seconds from the origin.
    pub time: Vec<f64>,
    /// Readings, °C.
    pub value: Vec<f64>,
    /// Ambient as the sensor would read it, °C.
    pub ambient: Known,
    /// The fast part at the origin, K.
    pub fast: Known,
}

/// One curve that the readings allow.
#[derive(Clone, Copy, Debug)]
pub struct Curve {
    /// Ambient as the sensor reads it, °C.
    pub ambient: f64,
    /// Excess of the slow part at the origin, K.
    pub excess: f64,
    /// Time constant at the origin, s.
    pub time_constant: f64,
    /// Drift p.
    pub drift: f64,
}

/// The curves that the readings allow, each with its weight.
#[derive(Clone, Debug)]
pub struct Curves {
    /// Curve and weight; the weights add to one.
    pub weighted: Vec<(Curve, f64)>,
}

/// The linear part for one τ, p and σ: its best values, half of minus twice the log of what speaks for it, and its covariance's factor.
#[derive(Clone, Copy, Debug)]
struct Solved {
    best: [f64; 3],
    factor: [[f64; 3]; 3],
    squares: f64,
    log_evidence: f64,
}

/// (1 + p·t/τ)^(−1/p), and 0 where a negative drift has reached the end.
fn share_left(time: f64, time_constant: f64, drift: f64) -> f64 {
    if drift == 0.0 { (-time / time_constant).exp() } else { (1.0 + drift * time / time_constant).max(0.0).powf(-1.0 / drift) }
}

impl Curve {
    /// Seconds from the origin until the slow part's excess over ambient has come down to `excess`; infinite for none.
    pub fn falls_to(&self, excess: f64) -> f64 {
        let ratio = self.excess / excess;
        if ratio.is_nan() || excess <= 0.0 || ratio <= 0.0 {
            return f64::INFINITY;
        }
        let log = ratio.ln();
        self.time_constant * if self.drift == 0.0 { log } else { (self.drift * log).exp_m1() / self.drift }
    }

    /// Seconds in which an excess of `from` falls to 1/e of it; infinite for none.
    pub fn e_folding(&self, from: f64) -> f64 {
        self.falls_to(from / std::f64::consts::E) - self.falls_to(from)
    }
}

impl Problem {
    /// The linear part, with every reading of variance `variance`. Columns: ambient, excess, fast part.
    fn solve(&self, time_constant: f64, drift: f64, fast_s: f64, variance: f64) -> Option<Solved> {
        let prior = [self.ambient.1.powi(-2), 0.0, self.fast.1.powi(-2)];
        let mean = [self.ambient.0, 0.0, self.fast.0];
        let mut matrix = [[0.0; 3]; 3];
        let mut right = [0.0; 3];
        let mut square = 0.0;
        for (&t, &y) in self.time.iter().zip(&self.value) {
            let row = [1.0, share_left(t, time_constant, drift), (-t / fast_s).exp()];
            let from = y - mean[0];
            for i in 0..3 {
                for j in 0..=i {
                    matrix[i][j] += row[i] * row[j] / variance;
                }
                right[i] += row[i] * from / variance;
            }
            square += from * from / variance;
        }
        // Everything is counted from the prior's ambient, so its own term is nothing.
        for i in 0..3 {
            matrix[i][i] += prior[i];
        }
        right[2] += prior[2] * mean[2];
        square += prior[2] * mean[2] * mean[2];
        let lower = cholesky(matrix)?;
        let inner = forward(&lower, right);
        let best = backward(&lower, inner);
        let squares = (square - inner.iter().map(|v| v * v).sum::<f64>()).max(0.0);
        let log_determinant: f64 = (0..3).map(|i| lower[i][i].ln()).sum();
        let unit = |k: usize| backward(&lower, std::array::from_fn(|i| if i == k { 1.0 } else { 0.0 }));
        Some(Solved {
            best: [best[0] + mean[0], best[1], best[2]],
            factor: [unit(0), unit(1), unit(2)],
            squares,
            log_evidence: -0.5 * squares - log_determinant,
        })
    }

    /// What speaks for ln τ = `log`: evidence and prior.
    fn support(&self, log: f64, drift: f64, fast_s: f64, variance: f64) -> f64 {
        self.solve(log.exp(), drift, fast_s, variance).map_or(f64::NEG_INFINITY, |solved| solved.log_evidence + prior(log))
    }

    /// The best ln τ for a drift and a fast part.
    fn best_log(&self, drift: f64, fast_s: f64, variance: f64) -> f64 {
        let [low, high] = TIME_CONSTANTS.map(f64::ln);
        let step = (high - low) / TRIALS as f64;
        let support = |log: f64| self.support(log, drift, fast_s, variance);
        let trials = (0..=TRIALS).map(|k| low + step * k as f64).map(|log| (log, support(log)));
        let rough = trials.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(LOG_TIME_CONSTANT.0, |best| best.0);
        const SHARE: f64 = 0.618_033_988_749_894_8;
        let (mut from, mut to) = (rough - step, rough + step);
        let (mut a, mut b) = (to - SHARE * (to - from), from + SHARE * (to - from));
        let (mut at_a, mut at_b) = (support(a), support(b));
        for _ in 0..SECTIONS {
            if at_a > at_b {
                (to, b, at_b) = (b, a, at_a);
                a = to - SHARE * (to - from);
                at_a = support(a);
            } else {
                (from, a, at_a) = (a, b, at_b);
                b = from + SHARE * (to - from);
                at_b = support(b);
            }
        }
        0.5 * (from + to)
    }

    /// What the best curve of a drift and a fast part leaves over, and its weighted sum of squares with the priors'.
    pub fn residuals(&self, drift: f64, fast_s: f64, variance: f64) -> Option<(Vec<f64>, f64)> {
        let time_constant = self.best_log(drift, fast_s, variance).exp();
        let solved = self.solve(time_constant, drift, fast_s, variance)?;
        let [ambient, excess, fast] = solved.best;
        let curve = |t: f64| ambient + excess * share_left(t, time_constant, drift) + fast * (-t / fast_s).exp();
        Some((self.time.iter().zip(&self.value).map(|(&t, &y)| y - curve(t)).collect(), solved.squares))
    }

    /// Variance that each reading is worth, correlation counted in. `least` is what rounding alone has; where the residuals show no more
    /// than that, each of the `steps` that the reading falls through is worth one independent reading, and the variance is known. Else it
    /// is estimated from the residuals of the best curve, and that there are few of them is counted in by Student's t.
    pub fn variance(&self, least: f64, steps: f64) -> f64 {
        let shapes = DRIFTS.iter().step_by(2).flat_map(|&drift| FAST_S.map(|fast_s| (drift, fast_s)));
        let fits = shapes.filter_map(|(drift, fast_s)| self.residuals(drift, fast_s, least));
        let Some((residuals, _)) = fits.min_by(|a, b| a.1.total_cmp(&b.1)) else { return least };
        let n = residuals.len() as f64;
        let worth = autocorrelation::of_residuals(&self.time, &residuals, 4).n_eff;
        let mean_square = residuals.iter().map(|r| r * r).sum::<f64>() / n;
        if mean_square < ROUNDING_ONLY * least {
            return mean_square.max(least) * n / worth.max(steps).min(n);
        }
        let freedom = (worth - 4.0).max(2.0);
        let tails = student_quantile(0.975, freedom) / normal_quantile(0.975);
        mean_square * n / freedom * tails * tails
    }

    /// Every curve that the readings allow; `None` where none falls.
    pub fn curves(&self, variance: f64) -> Option<Curves> {
        let mut nodes: Vec<(Solved, f64, f64, f64)> = Vec::new();
        for drift in DRIFTS {
            let drift_prior = -0.5 * ((drift - DRIFT.0) / DRIFT.1).powi(2);
            for fast_s in FAST_S {
                let middle = self.best_log(drift, fast_s, variance);
                let support = |log: f64| self.support(log, drift, fast_s, variance);
                let width = curvature_width(support, middle);
                for k in -NODES_EACH_SIDE..=NODES_EACH_SIDE {
                    let log = middle + 0.5 * width * f64::from(k);
                    if let Some(solved) = self.solve(log.exp(), drift, fast_s, variance) {
                        nodes.push((solved, log.exp(), drift, solved.log_evidence + prior(log) + drift_prior + width.ln()));
                    }
                }
            }
        }
        let top = nodes.iter().map(|node| node.3).fold(f64::NEG_INFINITY, f64::max);
        let mut weighted = Vec::new();
        for (solved, time_constant, drift, log_weight) in nodes {
            let weight = (log_weight - top).exp();
            if weight.is_nan() || weight < 1e-4 {
                continue;
            }
            for (a, wa) in FINE_RULE {
                for (b, wb) in COARSE_RULE {
                    // The fast part's own direction is left out: it says nothing of later moments.
                    let (first, second) = spread(&solved.factor);
                    let (ambient, excess) = (solved.best[0] + first[0] * a, solved.best[1] + first[1] * a + second * b);
                    if excess > 0.0 {
                        weighted.push((Curve { ambient, excess, time_constant, drift }, weight * wa * wb));
                    }
                }
            }
        }
        let total: f64 = weighted.iter().map(|(_, weight)| weight).sum();
        weighted.iter_mut().for_each(|(_, weight)| *weight /= total);
        (total > 0.0).then_some(Curves { weighted })
    }
}

/// Log of the prior of ln τ.
fn prior(log: f64) -> f64 {
    -0.5 * ((log - LOG_TIME_CONSTANT.0) / LOG_TIME_CONSTANT.1).powi(2)
}

/// Factor of the covariance of ambient and excess: how both move with the first independent variable, and the excess with the second.
fn spread(factor: &[[f64; 3]; 3]) -> ([f64; 2], f64) {
    // Columns of L⁻ᵀ; the covariance is their sum of products.
    let covariance = |i: usize, j: usize| factor.iter().map(|column| column[i] * column[j]).sum::<f64>();
    let first = covariance(0, 0).max(0.0).sqrt();
    let along = if first > 0.0 { covariance(0, 1) / first } else { 0.0 };
    ([first, along], (covariance(1, 1) - along * along).max(0.0).sqrt())
}

/// Standard deviation that the curvature of a log support says, from the fall one step to each side; between 0.0005 and 0.6.
fn curvature_width(support: impl Fn(f64) -> f64, middle: f64) -> f64 {
    let top = support(middle);
    let mut step = 0.2;
    for _ in 0..12 {
        let fall = top - 0.5 * (support(middle - step) + support(middle + step));
        if fall < 1.0 {
            return if fall > 1e-6 { (step / (2.0 * fall).sqrt()).clamp(5e-4, 0.6) } else { 0.6 };
        }
        step /= 2.0;
    }
    5e-4
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
