//! The chance that noise about one straight line gains as much from a knee placed at will.
//!
//! With the straight line taken out, a knee at τ is one direction in the space of residuals, and moving τ draws a curve on the unit sphere.
//! Noise points anywhere with equal chance; it gains as much as seen if it falls into the tube around that curve, or around
//! its opposite. Hotelling's formula for the tube is exact but for overlaps, and those make it err on the careful side:
//!
//! ```text
//! w² = (S_line − S_knee)/S_line,  m = n_eff − 2,  L = length of the curve
//! chance = (L/π)(1 − w²)^((m−2)/2) + P(Beta(½, (m−1)/2) ≥ w²)
//! ```

use statrs::distribution::{Beta, ContinuousCDF};

/// Points at which the curve is walked: a polygon of so many sides is shorter than the curve by well under one per cent.
const STEPS: usize = 48;

/// Most times along which a direction is spelled out: its shape, and so the curve, hardly depends on how densely the record is sampled.
const MOST_TIMES: usize = 400;

/// See the module header; 1 where nothing was gained or nothing can be said.
pub(super) fn of_gain(time: &[f64], range: [f64; 2], line_rss: f64, knee_rss: f64, n_eff: f64) -> f64 {
    let dimension = n_eff - 2.0;
    let share = ((line_rss - knee_rss) / line_rss).clamp(0.0, 1.0);
    if share.is_nan() || dimension <= 2.0 {
        return 1.0;
    }
    let tube = curve_length(time, range) / std::f64::consts::PI * (1.0 - share).powf(0.5 * (dimension - 2.0));
    let caps = Beta::new(0.5, 0.5 * (dimension - 1.0)).map_or(1.0, |beta| 1.0 - beta.cdf(share));
    (tube + caps).clamp(0.0, 1.0)
}

/// Length of the curve that the knee's direction draws on the unit sphere.
fn curve_length(time: &[f64], range: [f64; 2]) -> f64 {
    let time: Vec<f64> = time.iter().step_by(time.len().div_ceil(MOST_TIMES).max(1)).copied().collect();
    let n = time.len() as f64;
    let mean = time.iter().sum::<f64>() / n;
    let spread: f64 = time.iter().map(|t| (t - mean).powi(2)).sum();
    let direction = |knee: f64| -> Vec<f64> {
        let bend: Vec<f64> = time.iter().map(|t| (t - knee).max(0.0)).collect();
        let level = bend.iter().sum::<f64>() / n;
        let slope = bend.iter().zip(&time).map(|(b, t)| b * (t - mean)).sum::<f64>() / spread;
        let rest: Vec<f64> = bend.iter().zip(&time).map(|(b, t)| b - level - slope * (t - mean)).collect();
        let size = rest.iter().map(|r| r * r).sum::<f64>().sqrt();
        rest.into_iter().map(|r| r / size).collect()
    };
    let mut before = direction(range[0]);
    let mut length = 0.0;
    for step in 1..=STEPS {
        // Close together at the ends, where the direction turns fastest.
        let share = 0.5 * (1.0 - (std::f64::consts::PI * step as f64 / STEPS as f64).cos());
        let next = direction(range[0] + share * (range[1] - range[0]));
        let chord = before.iter().zip(&next).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt();
        if chord.is_finite() {
            length += 2.0 * (0.5 * chord).min(1.0).asin();
        }
        before = next;
    }
    length
}
