//! How many independent samples are residuals worth?
//!
//! Readings taken twice a second of something that changes over half a minute repeat each other. The residuals of a fit are taken
//! as a first-order process sampled wherever the samples happen to lie:
//!
//! ```text
//! corr(rᵢ, rⱼ) = exp(−|tᵢ − tⱼ| / θ)        θ: correlation time, seconds
//! n_eff = n² / Σᵢⱼ exp(−|tᵢ − tⱼ| / θ)      = n (1 − φ)/(1 + φ) for a long, even record with φ = exp(−Δt/θ)
//! ```
//!
//! θ is found by maximum likelihood, which takes uneven sampling as it comes: given its forerunner, each residual is normal with
//! mean ρᵢ·rᵢ₋₁ and variance σ²(1 − ρᵢ²), ρᵢ = exp(−(tᵢ − tᵢ₋₁)/θ); σ² is solved exactly and θ searched on a logarithmic grid,
//! then refined.
//!
//! A fit with p coefficients swallows part of the correlation: φ̂ comes out low by about (p + (p + 2)φ)/n, a sum that gives the published
//! 1 + 3φ for a mean and 2 + 4φ for a line. That bias is taken out at the median spacing, so `fitted` must say how many coefficients
//! the residuals come from.
//!
//! Limits: a mixture of white noise (rounding) and slow drift is one θ here, and lies between the two. Negative correlation
//! counts as none. θ is kept under the length of the record: drift slower than that is the model's fault, not noise.
//!
//! # References
//!
//! - Jones, R. H. (1985). Time series analysis with unequally spaced data. *Handbook of Statistics* 5, 157–177 (from memory).
//! - Marriott, F. H. C. and Pope, J. A. (1954). Bias in the estimation of autocorrelations. *Biometrika* 41, 390–402 (1 + 3φ).

use super::robust::median;

/// Fewest residuals from which a correlation is read off; fewer count as independent.
const FEWEST: usize = 8;

/// Trial correlation times; a factor 1.5 apart for a record of a thousand samples.
const TRIALS: usize = 20;

/// Correlation of a series of residuals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correlation {
    /// Correlation time θ, in the unit of time; 0 if none is seen.
    pub time: f64,
    /// Correlation of neighbours at the median spacing.
    pub lag_one: f64,
    /// What the series is worth in independent samples, from 1 to its length.
    pub n_eff: f64,
}

/// Correlation of `residuals` at `time` (rising), left by a fit with `fitted` coefficients.
///
/// Under eight residuals, and where they are all zero or not finite, they count as independent.
pub fn of_residuals(time: &[f64], residuals: &[f64], fitted: usize) -> Correlation {
    let n = time.len().min(residuals.len());
    let independent = Correlation { time: 0.0, lag_one: 0.0, n_eff: n as f64 };
    let (time, residuals) = (&time[..n], &residuals[..n]);
    let gaps: Vec<f64> = time.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let positive: Vec<f64> = gaps.iter().copied().filter(|g| *g > 0.0).collect();
    let sound = residuals.iter().all(|r| r.is_finite()) && gaps.iter().all(|g| *g >= 0.0) && residuals.iter().any(|r| *r != 0.0);
    let Some(spacing) = median(&positive).filter(|_| sound && n >= FEWEST) else { return independent };

    let span: f64 = gaps.iter().sum();
    let (shortest, longest) = ((0.2 * spacing).ln(), span.max(spacing).ln());
    let step = (longest - shortest) / TRIALS as f64;
    let score = |log: f64| badness(&gaps, residuals, log.exp());
    let white = badness(&gaps, residuals, 0.0);
    let best = (0..=TRIALS).map(|k| shortest + step * k as f64).map(|log| (score(log), log)).min_by(|a, b| a.0.total_cmp(&b.0));
    let raw = match best {
        Some((value, log)) if value < white => {
            let refined = golden(score, (log - step).max(shortest), (log + step).min(longest), 1e-3);
            (-spacing / refined.exp()).exp()
        }
        _ => 0.0,
    };
    let (p, count) = (fitted as f64, n as f64);
    let room = 1.0 - (p + 2.0) / count;
    let lag_one = if room > 0.1 { ((raw + p / count) / room).min((-spacing / span).exp()) } else { raw };
    let theta = if lag_one > 0.0 { -spacing / lag_one.ln() } else { 0.0 };
    Correlation { time: theta, lag_one, n_eff: worth(time, theta) }
}

/// How many independent samples the mean of samples at `time` is worth, for correlation time `theta`.
pub fn worth(time: &[f64], theta: f64) -> f64 {
    let n = time.len() as f64;
    if theta.is_nan() || theta <= 0.0 || time.len() < 2 {
        return n;
    }
    let mut carried = 0.0;
    let mut sum = n;
    for pair in time.windows(2) {
        carried = (-(pair[1] - pair[0]).max(0.0) / theta).exp() * (1.0 + carried);
        sum += 2.0 * carried;
    }
    (n * n / sum).clamp(1.0, n)
}

/// Minus twice the log likelihood, up to a constant, with σ² solved.
fn badness(gaps: &[f64], residuals: &[f64], theta: f64) -> f64 {
    let n = residuals.len() as f64;
    let mut squares = residuals.first().map_or(0.0, |r| r * r);
    let (mut logs, mut product) = (0.0, 1.0);
    // Neighbouring gaps are mostly equal, and an exponential costs more than all the rest.
    let (mut last, mut kept, mut fresh) = (f64::NAN, 0.0, 1.0);
    for (&gap, pair) in gaps.iter().zip(residuals.windows(2)) {
        if gap != last {
            let decay = if theta > 0.0 { gap / theta } else { f64::INFINITY };
            let lost = -(-decay).exp_m1();
            // Equal times would be a perfect repeat; they are held to a small independent part.
            (last, kept, fresh) = (gap, 1.0 - lost, (lost * (2.0 - lost)).max(1e-9));
        }
        squares += (pair[1] - kept * pair[0]).powi(2) / fresh;
        // One logarithm for many factors: they lie between 1e-9 and 1.
        product *= fresh;
        if product < 1e-200 {
            logs += product.ln();
            product = 1.0;
        }
    }
    logs += product.ln();
    n * (squares / n).ln() + logs
}

/// Minimum of a function between two points by golden sections, to within `tolerance` of their distance.
pub(super) fn golden(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64, tolerance: f64) -> f64 {
    const SHARE: f64 = 0.618_033_988_749_894_8;
    let width = tolerance * (high - low);
    let (mut a, mut b) = (high - SHARE * (high - low), low + SHARE * (high - low));
    let (mut fa, mut fb) = (f(a), f(b));
    while high - low > width {
        let before = high - low;
        if fa <= fb {
            (high, b, fb) = (b, a, fa);
            a = high - SHARE * (high - low);
            fa = f(a);
        } else {
            (low, a, fa) = (a, b, fb);
            b = low + SHARE * (high - low);
            fb = f(b);
        }
        if high - low >= before {
            break; // no room between neighbouring numbers, or none of them is one
        }
    }
    0.5 * (low + high)
}
