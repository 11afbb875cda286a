//! What the readings say about the falling curve ([`super::curve`]).
//!
//! Given τ, p and σ the rest is linear and solved exactly with its priors: ambient as far as it is known, the fast part as far as it
//! can still be. τ, p and σ are summed over a grid, each node weighted by its evidence. So a short record leans on the known
//! ambient and a long one finds its own, with nothing to switch between them.
//!
//! Limits: one fast part; errors of one size.
//!
//! # References
//!
//! - Gelman, A. et al. *Bayesian Data Analysis*, chapters 5 and 14 (grids; priors as additional data; chapters from memory).
//! - Abramowitz, M. and Stegun, I. A. *Handbook of Mathematical Functions*, table 25.10 (Gauss–Hermite rule; number from memory).

use super::curve::{Curve, share_left};
use super::linear::{Solved, Sums};
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

/// The curves that the readings allow, each with its weight.
#[derive(Clone, Debug)]
pub struct Curves {
    /// Curve and weight; the weights add to one.
    pub weighted: Vec<(Curve, f64)>,
}

impl Problem {
    /// The linear part, with every reading of variance `variance`. Columns: ambient, excess, fast part.
    fn solve(&self, time_constant: f64, drift: f64, fast_s: f64, variance: f64) -> Option<Solved> {
        let mut sums = Sums::default();
        for (&t, &y) in self.time.iter().zip(&self.value) {
            // Counted from the ambient that is known, so that its prior pulls towards nothing.
            sums.add([1.0, share_left(t, time_constant, drift), (-t / fast_s).exp()], y - self.ambient.0, 1.0 / variance);
        }
        sums.add([1.0, 0.0, 0.0], 0.0, self.ambient.1.powi(-2));
        sums.add([0.0, 0.0, 1.0], self.fast.0, self.fast.1.powi(-2));
        let mut solved = sums.solve()?;
        solved.best[0] += self.ambient.0;
        Some(solved)
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
                    let (first, second) = solved.spread();
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
