//! Two straight lines that meet: where does the slope change?
//!
//! Used for the knee in coolant temperature when the thermostat opens, and wherever else a steady rise turns into another.
//!
//! ```text
//! y(t) = c + b₁·min(t − τ, 0) + b₂·max(t − τ, 0)
//! ```
//!
//! Every gap between neighbouring samples is visited. Inside a gap the sum of squares has a closed form: with separate lines fitted to
//! the two sides, d(τ) the distance between them at τ and v(τ) its variance for unit noise,
//!
//! ```text
//! S(τ) = S_apart + d(τ)² / v(τ)
//! ```
//!
//! so the least S in a gap is where the two lines cross, or at an end of the gap, and no minimum is missed however many there are.
//! Running means and sums make the whole scan linear in the number of samples. The interval for τ is read off the same profile, because S
//! is often lopsided and a curvature at the minimum would hide that; its ends solve d² = (limit − S_apart)·v, a quadratic:
//!
//! ```text
//! { τ : S(τ) ≤ S(τ̂)·(1 + F₀.₉₅(1, n_eff − 4)/(n_eff − 4)) }      95 %
//! ```
//!
//! Whether two lines are better than one is judged by the largest gain over all τ, with Hotelling's tube formula for the chance that noise
//! alone gains as much somewhere (see [`BrokenLine::chance`]).
//!
//! Limits: one knee, [`SAMPLES_PER_SIDE`] samples on either side, noise of one size throughout. Residuals of slow readings are correlated: the
//! caller passes `n_eff`, or uses [`find_correlated`].
//!
//! # References
//!
//! - Hudson, D. J. (1966). Fitting segmented curves whose join points have to be estimated. *J. Am. Stat. Assoc.* 61, 1097–1129.
//! - Lerman, P. M. (1980). Fitting segmented regression models by grid search. *J. R. Stat. Soc. C* 29(1), 77–84.
//! - Knowles, M. and Siegmund, D. (1989). On Hotelling's approach to testing for a nonlinear parameter in regression.
//!   *Int. Stat. Review* 57, 205–220.

mod chance;
mod profile;

use super::{autocorrelation, least_squares, line::Line};
use crate::estimate::student_quantile;
use profile::Profile;

/// Fewest samples on either side of the knee: two make a line, the third gives it away.
pub const SAMPLES_PER_SIDE: usize = 3;

/// Chance below which noise alone is not believed to have bent the line.
const CHANCE_LIMIT: f64 = 0.05;

/// Roundings of the largest reading that a fitted value may be off by.
const ROUNDINGS: f64 = 8.0;

/// Coefficients of the model: c, b₁, b₂ and τ.
const PARAMETERS: usize = 4;

/// Why no knee is reported. Each is a normal outcome, not a bug.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoKnee {
    /// Not enough samples at different times (or numbers that are not finite) for the model, or for what they are worth.
    TooFewSamples {
        /// Samples at hand, or what they are worth if that is less.
        have: usize,
        /// Samples needed.
        need: usize,
    },
    /// The profile stays low to one end: the knee may lie outside the record.
    Unbounded,
    /// One straight line does as well.
    NotBetterThanLine,
}

/// Two lines that meet.
#[derive(Clone, Debug, PartialEq)]
pub struct BrokenLine {
    /// Where they meet, in the unit of time.
    pub knee: f64,
    /// 95 % interval of the knee, off the profile.
    pub knee_interval: [f64; 2],
    /// Height at the knee.
    pub level: f64,
    /// Standard deviation of the height at the knee, with the knee's own uncertainty in it.
    pub level_deviation: f64,
    /// Slope before the knee.
    pub slope_before: f64,
    /// Standard deviation of the slope before.
    pub slope_before_deviation: f64,
    /// Slope after the knee.
    pub slope_after: f64,
    /// Standard deviation of the slope after.
    pub slope_after_deviation: f64,
    /// Sum of squared residuals.
    pub rss: f64,
    /// The same for one straight line.
    pub line_rss: f64,
    /// Chance that noise about one straight line would gain as much from a knee placed at will.
    pub chance: f64,
    /// What the samples were taken to be worth.
    pub n_eff: f64,
}

impl BrokenLine {
    /// Height at `time`.
    pub fn at(&self, time: f64) -> f64 {
        let from = time - self.knee;
        self.level + if from < 0.0 { self.slope_before * from } else { self.slope_after * from }
    }

    /// Degrees of freedom behind the standard deviations.
    pub fn degrees_of_freedom(&self) -> f64 {
        (self.n_eff - PARAMETERS as f64).max(1.0)
    }

    /// 95 % interval of the height at the knee.
    pub fn level_interval(&self) -> [f64; 2] {
        let half = student_quantile(0.975, self.degrees_of_freedom()) * self.level_deviation;
        [self.level - half, self.level + half]
    }

    /// What the readings leave over, in their order.
    pub fn residuals(&self, time: &[f64], value: &[f64]) -> Vec<f64> {
        time.iter().zip(value).map(|(t, y)| y - self.at(*t)).collect()
    }
}

/// The knee in `value` over `time` (any order, repeats allowed), for samples that are worth `n_eff` independent ones.
pub fn find(time: &[f64], value: &[f64], n_eff: f64) -> Result<BrokenLine, NoKnee> {
    let (time, value) = in_order(time, value)?;
    search(&time, &value, n_eff.min(time.len() as f64))
}

/// As [`find`], with what the samples are worth read off the residuals of the best broken line.
pub fn find_correlated(time: &[f64], value: &[f64]) -> Result<BrokenLine, NoKnee> {
    let (time, value) = in_order(time, value)?;
    let profile = Profile::new(&time, &value).ok_or(too_few(time.len()))?;
    let (knee, _) = profile.minimum().ok_or(too_few(time.len()))?;
    let shape = fit_at(&time, &value, knee).ok_or(too_few(time.len()))?;
    let residuals: Vec<f64> = time.iter().zip(&value).zip(&shape.0).map(|((_, y), fitted)| y - fitted).collect();
    search(&time, &value, autocorrelation::of_residuals(&time, &residuals, PARAMETERS).n_eff)
}

/// The search on ordered samples.
fn search(time: &[f64], value: &[f64], n_eff: f64) -> Result<BrokenLine, NoKnee> {
    let n = time.len();
    if n_eff.is_nan() || n_eff < PARAMETERS as f64 + 1.0 {
        return Err(too_few(n_eff.max(0.0) as usize));
    }
    let profile = Profile::new(time, value).ok_or(too_few(n))?;
    let (knee, _) = profile.minimum().ok_or(too_few(n))?;
    let line = Line::through(time, value, None).ok_or(too_few(n))?;
    let (_, fit, slopes) = fit_at(time, value, knee).ok_or(too_few(n))?;
    // What rounding alone leaves over from an exactly straight record has no shape to judge.
    let rounding = value.iter().fold(0.0, |most: f64, y| most.max(y.abs())) * ROUNDINGS * f64::EPSILON;
    if line.fit.rss <= n as f64 * rounding * rounding {
        return Err(NoKnee::NotBetterThanLine);
    }
    let chance = chance::of_gain(time, profile.range(), line.fit.rss, fit.rss, n_eff);
    if chance.is_nan() || chance > CHANCE_LIMIT {
        return Err(NoKnee::NotBetterThanLine);
    }
    let freedom = n_eff - PARAMETERS as f64;
    let allowed = 1.0 + student_quantile(0.975, freedom).powi(2) / freedom;
    let knee_interval = profile.below(allowed, knee).ok_or(NoKnee::Unbounded)?;
    let whole = gauss_newton(time, value, knee, slopes).map(|fit| fit.correlated(n as f64, n_eff));
    let deviation = |column: usize| whole.as_ref().and_then(|fit| fit.standard_deviation(column)).unwrap_or(f64::INFINITY);
    Ok(BrokenLine {
        knee,
        knee_interval,
        level: fit.coefficients[0],
        level_deviation: deviation(0),
        slope_before: slopes[0],
        slope_before_deviation: deviation(1),
        slope_after: slopes[1],
        slope_after_deviation: deviation(2),
        rss: fit.rss,
        line_rss: line.fit.rss,
        chance,
        n_eff,
    })
}

/// Fitted values, fit and slopes with the knee held at `knee`; by reflections, so that no digit is lost to the running sums.
fn fit_at(time: &[f64], value: &[f64], knee: f64) -> Option<(Vec<f64>, least_squares::Fit, [f64; 2])> {
    let before: Vec<f64> = time.iter().map(|t| (t - knee).min(0.0)).collect();
    let after: Vec<f64> = time.iter().map(|t| (t - knee).max(0.0)).collect();
    let fit = least_squares::solve(&[vec![1.0; time.len()], before.clone(), after.clone()], value, None)?;
    let [level, b1, b2] = fit.coefficients[..] else { return None };
    let fitted = before.iter().zip(&after).map(|(x1, x2)| level + b1 * x1 + b2 * x2).collect();
    Some((fitted, fit, [b1, b2]))
}

/// The fit linearised in all four parameters (height at the knee, slopes, knee), for their joint covariance.
fn gauss_newton(time: &[f64], value: &[f64], knee: f64, slopes: [f64; 2]) -> Option<least_squares::Fit> {
    // The height is asked for on the curve at the moving knee: the column of the knee is what the curve loses as it moves on.
    let columns = [
        vec![1.0; time.len()],
        time.iter().map(|t| (t - knee).min(0.0)).collect(),
        time.iter().map(|t| (t - knee).max(0.0)).collect(),
        time.iter().map(|t| if *t < knee { -slopes[0] } else { -slopes[1] }).collect(),
    ];
    least_squares::solve(&columns, value, None)
}

/// Samples in order of time; refuses what is not finite or too short.
fn in_order(time: &[f64], value: &[f64]) -> Result<(Vec<f64>, Vec<f64>), NoKnee> {
    let finite = time.len() == value.len() && time.iter().chain(value).all(|v| v.is_finite());
    if !finite || time.len() < 2 * SAMPLES_PER_SIDE {
        return Err(too_few(if finite { time.len() } else { 0 }));
    }
    let mut pairs: Vec<(f64, f64)> = time.iter().copied().zip(value.iter().copied()).collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    Ok(pairs.into_iter().unzip())
}

/// The refusal, with what is needed.
fn too_few(have: usize) -> NoKnee {
    NoKnee::TooFewSamples { have, need: 2 * SAMPLES_PER_SIDE }
}
