//! A series of cold levels: purge that dies out, or a leak that goes on?
//!
//! ```text
//! A_k = a − purge · (1 + ρ + … + ρ^(k−1)) − leak · k + error_k        k = 0, 1 …
//! ```
//!
//! Errors are normal: each reading's own, and the jug's, which every later point carries. The start a is free; purge has a mixture of
//! exponentials, ρ is seldom above 0.7 (`LASTING`), the leak is nothing with probability 0.9 and else anything from a few millilitres to
//! a fifteenth of the coolant, evenly in its logarithm. a and purge are integrated in closed form, ρ and leak on grids. The answer is the
//! whole distribution of the leak's rate with its weight at zero: its interval begins above zero exactly where no leak keeps less
//! than 2.5 %. Its upper end is that of the leaks alone, so that a doubted leak is not made to look small.
//!
//! Limits: gas that is made anew each cycle looks like a leak; a leak that grows is followed only in the mean.

use super::cycles::Course;
use crate::estimate::{Estimate, Unit};

/// Probability of a leak before the series (own choice: one refill in ten leaves a clip or a drain that weeps).
pub const LEAK_PRIOR: f64 = 0.1;

/// Means of the exponentials that purge is mixed from, as shares of the coolant: a system filled under vacuum, one bled by the book, one
/// of which half was exchanged in a hurry (common practice, no source: 200 to 300 mL in 17 L are ordinary).
const PURGES: [f64; 3] = [0.002, 0.008, 0.03];

/// Least and greatest leak in a heat cycle as a share of the coolant (own choice): less is evaporation, more empties the tank at once.
const LEAKS: [f64; 2] = [0.0006, 0.07];

/// Where ρ's probability falls off: as exp(−(ρ/0.55)⁴), even below 0.4, one in a hundred above 0.7 (common practice, no source: two or
/// three cycles bleed a system, so that a third keeps less than a third of the first).
const LASTING: f64 = 0.55;

/// Points of the grids.
const RATIOS: usize = 24;
const RATES: usize = 240;

/// What a series says.
#[derive(Clone, Copy, Debug)]
pub struct Weighed {
    /// Probability that something goes on being lost.
    pub leak_probability: f64,
    /// Steady loss in a heat cycle, mL, with the weight of no leak at zero.
    pub leak_rate: Estimate,
}

/// Weighs a course; `None` if its numbers carry none.
pub fn weigh(course: &Course) -> Option<Weighed> {
    let problem = Problem::of(course)?;
    let none = problem.log_evidence(0.0);
    let rates = problem.rates();
    let logs: Vec<f64> = rates.iter().map(|(rate, _)| problem.log_evidence(*rate)).collect();
    let top = logs.iter().copied().fold(none, f64::max);
    if !top.is_finite() {
        return None;
    }
    let at_zero = (1.0 - LEAK_PRIOR) * (none - top).exp();
    let weights: Vec<f64> = rates.iter().zip(&logs).map(|((_, prior), log)| LEAK_PRIOR * prior * (log - top).exp()).collect();
    let leaking: f64 = weights.iter().sum();
    let total = at_zero + leaking;
    let moments = |power: i32| rates.iter().zip(&weights).map(|((rate, _), weight)| weight * rate.powi(power)).sum::<f64>() / total;
    let quantile = |share: f64, at_zero: f64| {
        let mut left = share * (at_zero + leaking) - at_zero;
        if left <= 0.0 {
            return 0.0;
        }
        for ((rate, _), weight) in rates.iter().zip(&weights) {
            if left <= *weight {
                return *rate;
            }
            left -= weight;
        }
        rates.last().map_or(0.0, |(rate, _)| *rate)
    };
    let mean = moments(1);
    Some(Weighed {
        leak_probability: leaking / total,
        leak_rate: Estimate {
            value: quantile(0.5, at_zero),
            standard_uncertainty: (moments(2) - mean * mean).max(0.0).sqrt(),
            interval_95: [quantile(0.025, at_zero), quantile(0.975, 0.0)],
            unit: Unit::Millilitre,
        },
    })
}

/// Everything that does not depend on the leak: for each ρ its prior weight and the sums of squares.
struct Problem {
    coolant: f64,
    /// Fall in the mean of a cycle, and its standard uncertainty.
    mean_fall: (f64, f64),
    yy: f64,
    yk: f64,
    kk: f64,
    ratios: Vec<Ratio>,
}

struct Ratio {
    log_prior: f64,
    gy: f64,
    gk: f64,
    gg: f64,
}

impl Problem {
    fn of(course: &Course) -> Option<Self> {
        let n = course.points.len();
        let origin = course.points.first()?.account;
        let y: Vec<f64> = course.points.iter().map(|point| point.account - origin).collect();
        let k: Vec<f64> = (0..n).map(|index| index as f64).collect();
        let precision = Precision::of(course)?;
        let steps = (n.checked_sub(1)? as f64).max(1.0);
        let ends =
            course.points.first()?.variance + course.points.last()?.variance + course.points.iter().map(|p| p.added_variance).sum::<f64>();
        let ratios = (0..RATIOS).map(|index| {
            let ratio = (index as f64 + 0.5) / RATIOS as f64;
            let mut sum = 0.0;
            let purged: Vec<f64> = (0..n)
                .map(|index| {
                    let so_far = sum;
                    sum += ratio.powi(i32::try_from(index).unwrap_or(i32::MAX));
                    so_far
                })
                .collect();
            Ratio {
                log_prior: -(ratio / LASTING).powi(4),
                gy: precision.product(&purged, &y),
                gk: precision.product(&purged, &k),
                gg: precision.product(&purged, &purged),
            }
        });
        Some(Self {
            coolant: course.coolant_ml,
            mean_fall: (-y.last()? / steps, ends.sqrt() / steps),
            ratios: ratios.collect(),
            yy: precision.product(&y, &y),
            yk: precision.product(&y, &k),
            kk: precision.product(&k, &k),
        })
    }

    /// Rates of a leak with their prior weights.
    fn rates(&self) -> Vec<(f64, f64)> {
        let [least, greatest] = LEAKS.map(|share| share * self.coolant);
        // Beyond the mean fall nothing is likely.
        let (fall, u) = self.mean_fall;
        let highest = (fall + 6.0 * u).clamp(2.0 * least, greatest);
        let step = (highest - least) / RATES as f64;
        let scale = (greatest / least).ln();
        (0..RATES)
            .map(|index| {
                let rate = least + (index as f64 + 0.5) * step;
                (rate, step / (rate * scale))
            })
            .collect()
    }

    /// Logarithm of the likelihood of the series with a leak of this rate, purge and ρ integrated over their priors.
    fn log_evidence(&self, leak: f64) -> f64 {
        let rest = self.yy + 2.0 * leak * self.yk + leak * leak * self.kk;
        let logs = self.ratios.iter().flat_map(|ratio| {
            // S(p) = rest + 2 p b + p² M, least at p = −b/M.
            let (b, m) = (ratio.gy + leak * ratio.gk, ratio.gg);
            PURGES.map(|share| {
                let mean = share * self.coolant;
                // ∫ exp(−S/2) e^(−p/s)/s dp over p ≥ 0
                let centre = -(b + 1.0 / mean) / m;
                ratio.log_prior - 3f64.ln() - rest / 2.0 + 0.5 * m * centre * centre - mean.ln()
                    + 0.5 * (2.0 * std::f64::consts::PI / m).ln()
                    + log_normal_cdf(centre * m.sqrt())
            })
        });
        log_sum(&logs.collect::<Vec<f64>>())
    }
}

/// Precision of the account's points with the free start taken out.
struct Precision {
    n: usize,
    matrix: Vec<f64>,
}

impl Precision {
    fn of(course: &Course) -> Option<Self> {
        let n = course.points.len();
        let mut covariance = vec![0.0; n * n];
        let mut carried = 0.0;
        for (i, point) in course.points.iter().enumerate() {
            // What was added before a point errs in it and in every later one.
            carried += if i > 0 { point.added_variance } else { 0.0 };
            for j in i..n {
                covariance[i * n + j] = carried;
                covariance[j * n + i] = carried;
            }
            covariance[i * n + i] += point.variance;
        }
        let inverse = inverse(covariance, n)?;
        let sums: Vec<f64> = inverse.chunks(n).map(|row| row.iter().sum()).collect();
        let whole: f64 = sums.iter().sum();
        let matrix = inverse.iter().enumerate().map(|(at, value)| value - sums[at / n] * sums[at % n] / whole).collect();
        Some(Self { n, matrix })
    }

    fn product(&self, left: &[f64], right: &[f64]) -> f64 {
        left.iter().zip(self.matrix.chunks(self.n)).map(|(l, row)| l * row.iter().zip(right).map(|(m, r)| m * r).sum::<f64>()).sum()
    }
}

/// Inverse of a symmetric positive matrix by Gauss and Jordan; `None` where a pivot vanishes.
fn inverse(mut a: Vec<f64>, n: usize) -> Option<Vec<f64>> {
    let mut b: Vec<f64> = (0..n * n).map(|at| if at / n == at % n { 1.0 } else { 0.0 }).collect();
    for pivot in 0..n {
        let by = a[pivot * n + pivot];
        if by.is_nan() || by <= 0.0 || by.is_infinite() {
            return None;
        }
        for column in 0..n {
            a[pivot * n + column] /= by;
            b[pivot * n + column] /= by;
        }
        for row in (0..n).filter(|row| *row != pivot) {
            let factor = a[row * n + pivot];
            for column in 0..n {
                a[row * n + column] -= factor * a[pivot * n + column];
                b[row * n + column] -= factor * b[pivot * n + column];
            }
        }
    }
    Some(b)
}

/// ln Φ(x), by its asymptotic series far down.
fn log_normal_cdf(x: f64) -> f64 {
    if x > -8.0 {
        let tail = statrs::function::erf::erfc(-x / std::f64::consts::SQRT_2) / 2.0;
        return tail.ln();
    }
    let square = x * x;
    -0.5 * square - (-x).ln() - 0.5 * (2.0 * std::f64::consts::PI).ln() + (-1.0 / square + 3.0 / (square * square)).ln_1p()
}

fn log_sum(logs: &[f64]) -> f64 {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top.is_finite() { top + logs.iter().map(|log| (log - top).exp()).sum::<f64>().ln() } else { top }
}
