//! Swings counted one by one.

use crate::numeric::{moments, robust};

/// What single swings look like.
pub(super) struct Cycles {
    /// From one rise to the next.
    pub lengths: Vec<f64>,
    /// From the lowest to the highest within each.
    pub heights: Vec<f64>,
    /// Standard deviation of what the smoothing leaves of white reading noise.
    pub noise: f64,
}

impl Cycles {
    /// Standard deviation of the lengths over their mean.
    pub(super) fn irregularity(&self) -> Option<f64> {
        (self.lengths.len() >= super::FEWEST_SWINGS).then_some(())?;
        Some(moments::deviation(&self.lengths)? / moments::mean(&self.lengths)?)
    }
}

/// Swings of `level`, a series about 0, smoothed over half the shortest period.
///
/// A swing begins where the curve rises through a quarter of its amplitude (half the distance between its deciles) after having been below minus a
/// quarter: small noise about the middle begins none. Lengths outside half the shortest to twice the longest period are no swings of the kind asked for, and are left out.
pub(super) fn count(time: &[f64], level: &[f64], shortest: f64, longest: f64) -> Cycles {
    let (smooth, per_mean) = smoothed(time, level, 0.5 * shortest);
    let rough: Vec<f64> = level.windows(3).map(|w| w[1] - 0.5 * (w[0] + w[2])).collect();
    // A second difference of white noise has 1.5 times its variance.
    let noise = robust::spread(&rough).map_or(f64::NAN, |s| s / (1.5 * per_mean.max(1.0)).sqrt());
    let threshold = 0.125 * (robust::quantile(&smooth, 0.9).unwrap_or(0.0) - robust::quantile(&smooth, 0.1).unwrap_or(0.0));
    let mut starts: Vec<(f64, usize)> = Vec::new();
    let mut below = false;
    for i in 0..smooth.len() {
        if smooth[i] < -threshold {
            below = true;
        } else if below && i > 0 && smooth[i] > threshold && threshold > 0.0 {
            below = false;
            // Where the rise passed zero.
            let after = (1..=i).rev().find(|&k| smooth[k - 1] <= 0.0 && smooth[k] > 0.0).unwrap_or(i);
            let share = smooth[after - 1] / (smooth[after - 1] - smooth[after]);
            starts.push((time[after - 1] + share * (time[after] - time[after - 1]), after));
        }
    }
    let (mut lengths, mut heights) = (Vec::new(), Vec::new());
    for pair in starts.windows(2) {
        let length = pair[1].0 - pair[0].0;
        if (0.5 * shortest..=2.0 * longest).contains(&length) {
            let within = &smooth[pair[0].1..pair[1].1.max(pair[0].1 + 1)];
            let high = within.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b));
            let low = within.iter().fold(f64::INFINITY, |a, b| a.min(*b));
            lengths.push(length);
            heights.push(high - low);
        }
    }
    Cycles { lengths, heights, noise }
}

/// Mean of the samples within `width` about each, and how many that takes in the middle case.
fn smoothed(time: &[f64], level: &[f64], width: f64) -> (Vec<f64>, f64) {
    let (mut first, mut last, mut sum) = (0, 0, 0.0);
    let mut counts = Vec::with_capacity(time.len());
    let mut smooth = Vec::with_capacity(time.len());
    for &t in time {
        while last < time.len() && time[last] <= t + 0.5 * width {
            sum += level[last];
            last += 1;
        }
        while time[first] < t - 0.5 * width {
            sum -= level[first];
            first += 1;
        }
        let count = (last - first).max(1) as f64;
        smooth.push(sum / count);
        counts.push(count);
    }
    (smooth, robust::median(&counts).unwrap_or(1.0))
}
