//! The search for the time constant and what follows from it.

use super::{Decay, Known, NoDecay, Projected};
use crate::estimate::student_quantile;
use crate::numeric::{autocorrelation, least_squares};

/// Trial time constants on the grid: about ten a decade for a record of a thousand samples.
const TRIALS: usize = 60;

/// Shortest time constant tried, in shortest spacings between samples: faster than this, one sample has it all.
const FASTEST: f64 = 0.1;

/// Longest time constant tried, in lengths of the record: slower than this, the curve over the record is a straight line to 0.03 % of
/// its fall.
const SLOWEST: f64 = 100.0;

/// Points of the profile kept.
const KEPT: usize = 24;

/// Linearised steps that finish the search; each shrinks the error left by orders of magnitude.
const FINISHING_STEPS: usize = 6;

/// A decay through `value` over `time` (rising), for samples that are worth `n_eff` independent ones.
pub fn fit(time: &[f64], value: &[f64], known: Known, n_eff: f64) -> Result<Decay, NoDecay> {
    Search::new(time, value, known, n_eff.min(time.len() as f64))?.conclude(n_eff)
}

/// As [`fit`], with what the samples are worth read off the residuals.
pub fn fit_correlated(time: &[f64], value: &[f64], known: Known) -> Result<Decay, NoDecay> {
    let search = Search::new(time, value, known, time.len() as f64)?;
    let n_eff = autocorrelation::of_residuals(time, &search.residuals(), free(known)).n_eff;
    search.conclude(n_eff)
}

/// Parameters that are fitted.
fn free(known: Known) -> usize {
    match known {
        Known::Nothing => 3,
        Known::Asymptote(_) | Known::Start { .. } => 2,
    }
}

/// The best decay, before anything is said about how well it is known.
struct Search<'a> {
    since: Vec<f64>,
    value: &'a [f64],
    known: Known,
    origin: f64,
    /// Logarithms of trial time constants with their sums of squares.
    grid: Vec<(f64, f64)>,
    best: Projected,
}

impl<'a> Search<'a> {
    fn new(time: &[f64], value: &'a [f64], known: Known, worth: f64) -> Result<Self, NoDecay> {
        let stated = match known {
            Known::Nothing => true,
            Known::Asymptote(level) => level.is_finite(),
            Known::Start { time, value } => time.is_finite() && value.is_finite(),
        };
        let finite = time.len() == value.len() && stated && time.iter().chain(value).all(|v| v.is_finite());
        let need = free(known) + 1;
        let refuse = |have: f64| NoDecay::TooFewSamples { have: have.max(0.0) as usize, need };
        let &[first, ..] = time else { return Err(refuse(0.0)) };
        if !finite || worth.is_nan() || worth < need as f64 {
            return Err(refuse(if finite { worth } else { 0.0 }));
        }
        let origin = if let Known::Start { time, .. } = known { time } else { first };
        let since: Vec<f64> = time.iter().map(|t| t - origin).collect();
        let spacing = time.windows(2).map(|pair| pair[1] - pair[0]).filter(|gap| *gap > 0.0).fold(f64::INFINITY, f64::min);
        let span = since.iter().fold(0.0, |most: f64, t| most.max(t.abs()));
        if !spacing.is_finite() || span <= 0.0 {
            return Err(refuse(1.0));
        }
        let solve = |log: f64| Projected::solve(&since, value, known, log.exp());
        let sum = |log: f64| solve(log).map_or(f64::INFINITY, |shape| shape.rss);
        let (fastest, slowest) = ((FASTEST * spacing).ln(), (SLOWEST * span).ln());
        let step = (slowest - fastest) / TRIALS as f64;
        let grid: Vec<(f64, f64)> = (0..=TRIALS).map(|k| fastest + step * k as f64).map(|log| (log, sum(log))).collect();
        let lows = grid.windows(3).filter(|w| w[1].1 <= w[0].1 && w[1].1 <= w[2].1);
        let refined = lows.map(|w| autocorrelation::golden(sum, w[0].0, w[2].0, 1e-5)).map(|log| (log, sum(log)));
        let lowest = refined.filter(|(_, s)| s.is_finite()).min_by(|a, b| a.1.total_cmp(&b.1));
        let rough = lowest.and_then(|(log, _)| solve(log)).ok_or(NoDecay::Unbounded)?;
        let best = finished(&since, value, known, rough);
        Ok(Self { since, value, known, origin, grid, best })
    }

    fn residuals(&self) -> Vec<f64> {
        left_over(&self.since, self.value, &self.best)
    }

    /// Intervals and covariance for samples worth `n_eff`.
    fn conclude(self, n_eff: f64) -> Result<Decay, NoDecay> {
        let Self { ref since, value, known, origin, ref grid, best } = self;
        let solve = |log: f64| Projected::solve(since, value, known, log.exp());
        let worth = n_eff.min(value.len() as f64);
        let need = free(known) + 1;
        if worth.is_nan() || worth < need as f64 {
            return Err(NoDecay::TooFewSamples { have: worth.max(0.0) as usize, need });
        }
        let freedom = worth - free(known) as f64;
        let limit = best.rss * (1.0 + student_quantile(0.975, freedom).powi(2) / freedom);
        let sum = |log: f64| solve(log).map_or(f64::INFINITY, |shape| shape.rss);
        let ends = profile_ends(grid, best.time_constant.ln(), limit, sum).ok_or(NoDecay::Unbounded)?;
        let profile = (0..=KEPT).filter_map(|k| solve(ends[0] + (ends[1] - ends[0]) * k as f64 / KEPT as f64)).collect();
        Ok(Decay {
            asymptote: best.a,
            start: best.a + best.b,
            origin,
            time_constant: best.time_constant,
            time_constant_interval: ends.map(f64::exp),
            covariance: covariance(since, value, known, &best, worth).ok_or(NoDecay::Unbounded)?,
            rss: best.rss,
            degrees_of_freedom: freedom,
            n_eff: worth,
            profile,
        })
    }
}

/// Residuals of the curve.
fn left_over(since: &[f64], value: &[f64], shape: &Projected) -> Vec<f64> {
    since.iter().zip(value).map(|(t, y)| y - shape.a - shape.b * (-t / shape.time_constant).exp()).collect()
}

/// Where the profile passes `limit` on either side of `best` (logarithms of τ); `None` if it stays below to an end of the grid.
fn profile_ends(grid: &[(f64, f64)], best: f64, limit: f64, sum: impl Fn(f64) -> f64) -> Option<[f64; 2]> {
    let within = |(log, s): &(f64, f64)| (*s <= limit).then_some(*log);
    let low = grid.iter().find_map(within).map_or(best, |log| log.min(best));
    let high = grid.iter().rev().find_map(within).map_or(best, |log| log.max(best));
    let below = grid.iter().rev().find(|(log, s)| *log < low && *s > limit)?.0;
    let above = grid.iter().find(|(log, s)| *log > high && *s > limit)?.0;
    let bisect = |mut inside: f64, mut outside: f64| {
        for _ in 0..24 {
            let middle = 0.5 * (inside + outside);
            if sum(middle) <= limit { inside = middle } else { outside = middle }
        }
        0.5 * (inside + outside)
    };
    Some([bisect(low, below), bisect(high, above)])
}

/// Gauss–Newton steps in all parameters, kept while they do not raise the sum of squares.
fn finished(since: &[f64], value: &[f64], known: Known, mut shape: Projected) -> Projected {
    for _ in 0..FINISHING_STEPS {
        let residuals = left_over(since, value, &shape);
        let Some(step) = least_squares::solve(&jacobian(since, known, &shape), &residuals, None) else { return shape };
        let change = step.coefficients.last().copied().unwrap_or(0.0);
        let Some(next) = Projected::solve(since, value, known, shape.time_constant + change) else { return shape };
        if next.rss > shape.rss * (1.0 + 1e-12) || next.time_constant <= 0.0 {
            return shape;
        }
        shape = next;
    }
    shape
}

/// Columns of the free parameters: asymptote and start as far as they are free, and the time constant last.
fn jacobian(since: &[f64], known: Known, shape: &Projected) -> Vec<Vec<f64>> {
    let tau = shape.time_constant;
    let left = |t: &f64| (-t / tau).exp();
    let asymptote: Vec<f64> = since.iter().map(|t| 1.0 - left(t)).collect();
    let start: Vec<f64> = since.iter().map(left).collect();
    let constant: Vec<f64> = since.iter().map(|t| shape.b * left(t) * t / (tau * tau)).collect();
    match known {
        Known::Nothing => vec![asymptote, start, constant],
        Known::Asymptote(_) => vec![start, constant],
        Known::Start { .. } => vec![asymptote, constant],
    }
}

/// Covariance of (asymptote, start, time constant).
fn covariance(since: &[f64], value: &[f64], known: Known, shape: &Projected, worth: f64) -> Option<[[f64; 3]; 3]> {
    let fit =
        least_squares::solve(&jacobian(since, known, shape), &left_over(since, value, shape), None)?.correlated(value.len() as f64, worth);
    let places: &[usize] = match known {
        Known::Nothing => &[0, 1, 2],
        Known::Asymptote(_) => &[1, 2],
        Known::Start { .. } => &[0, 2],
    };
    let mut all = [[0.0; 3]; 3];
    for (row, &i) in fit.covariance.iter().zip(places) {
        for (entry, &j) in row.iter().zip(places) {
            all[i][j] = *entry;
        }
    }
    Some(all)
}
