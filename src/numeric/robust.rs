//! Centre, spread and slope that a few wild readings do not move.
//!
//! The median and the median absolute deviation ignore up to half of the readings; the Theil–Sen slope ignores up to 29 %. All of
//! them are worth less than means for clean data (the median about 64 %, the slope about 91 % for normal noise), which is the
//! price.
//!
//! Limits: values that are not finite, or none at all, give `None`. Readings in coarse steps make the median jump by whole steps
//! and can make the deviation 0: that says "more than half of the readings are equal", not "exact".
//!
//! # References
//!
//! - Hampel, F. R. (1974). The influence curve and its role in robust estimation. *J. Am. Stat. Assoc.* 69, 383–393.
//! - Sen, P. K. (1968). Estimates of the regression coefficient based on Kendall's tau. *J. Am. Stat. Assoc.* 63, 1379–1389.
//! - Hamed, K. H. and Rao, A. R. (1998). A modified Mann–Kendall trend test for autocorrelated data. *J. Hydrology* 204, 182–196.

use crate::estimate::normal_quantile;

/// What turns a median absolute deviation into a standard deviation of normal data: one over the 75 % point of the standard normal
/// distribution, because half of the readings lie within 0.6745 standard deviations of the centre.
pub const DEVIATION_TO_SIGMA: f64 = 1.482_602_218_505_602;

/// Most points whose pairs are all formed (eighty thousand slopes); longer series are first thinned by medians of neighbours.
const MOST_POINTS: usize = 400;

/// Median; the mean of the middle two for an even count.
pub fn median(values: &[f64]) -> Option<f64> {
    quantile(values, 0.5)
}

/// Quantile by linear interpolation between order statistics (Hyndman and Fan's type 7); `share` from 0 to 1.
pub fn quantile(values: &[f64], share: f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&share) || values.is_empty() || values.iter().any(|v| !v.is_finite()) {
        return None;
    }
    Some(selected(&mut values.to_vec(), share * (values.len() - 1) as f64))
}

/// The value at a place of the order, between two of them by a straight line; `values` not empty, in any order, and left in another.
fn selected(values: &mut [f64], place: f64) -> f64 {
    let (_, &mut below, above) = values.select_nth_unstable_by(place.floor() as usize, f64::total_cmp);
    if place.fract() == 0.0 {
        return below + 0.0; // a negative nothing loses its sign
    }
    let above = above.iter().copied().min_by(f64::total_cmp).unwrap_or(below);
    below + (above - below) * place.fract()
}

/// The smallest value that, with all below it, holds at least `share` of the weight; halfway to the next value where it holds exactly
/// that share, so that equal weights give the ordinary median.
///
/// With [`holding_times`] as weights it is the level under which the reading stood for that share of the time, however unevenly it was
/// sampled.
pub fn weighted_quantile(values: &[f64], weights: &[f64], share: f64) -> Option<f64> {
    let sound = values.len() == weights.len() && values.iter().all(|v| v.is_finite()) && weights.iter().all(|w| w.is_finite() && *w >= 0.0);
    if !sound || !(0.0..=1.0).contains(&share) {
        return None;
    }
    let mut pairs: Vec<(f64, f64)> = values.iter().copied().zip(weights.iter().copied()).filter(|(_, w)| *w > 0.0).collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = pairs.iter().map(|(_, w)| w).sum();
    let wanted = share * total;
    let rounding = 1e-12 * total;
    let mut held = 0.0;
    for (index, (value, weight)) in pairs.iter().enumerate() {
        held += weight;
        if held >= wanted - rounding {
            let next = pairs.get(index + 1).filter(|_| (held - wanted).abs() <= rounding && share > 0.0);
            return Some(next.map_or(*value, |(above, _)| 0.5 * (value + above)));
        }
    }
    pairs.last().map(|(value, _)| *value)
}

/// How long each reading stands for: from halfway to the one before it to halfway to the one after it, and no further than
/// `longest`/2 either way, so that a gap in the record weighs no more than an ordinary reading. `time` in rising order.
pub fn holding_times(time: &[f64], longest: f64) -> Vec<f64> {
    let half = |from: Option<&f64>, to: Option<&f64>| match (from, to) {
        (Some(from), Some(to)) => (0.5 * (to - from)).clamp(0.0, 0.5 * longest.max(0.0)),
        _ => 0.0,
    };
    (0..time.len()).map(|i| half(i.checked_sub(1).and_then(|j| time.get(j)), time.get(i)) + half(time.get(i), time.get(i + 1))).collect()
}

/// Median absolute deviation from the median, times [`DEVIATION_TO_SIGMA`]: the standard deviation if the readings were normal.
pub fn spread(values: &[f64]) -> Option<f64> {
    let centre = median(values)?;
    let deviations: Vec<f64> = values.iter().map(|v| (v - centre).abs()).collect();
    median(&deviations).map(|deviation| deviation * DEVIATION_TO_SIGMA)
}

/// Values farther apart than this, in seconds, cannot spare one as wild.
const SLOWEST_S: f64 = 10.0;

/// The highest level that a series reaches and keeps for a while: the highest median of stretches of `seconds` that overlap by half, with the
/// moment at which it is first met. Wild values, also bursts of them shorter than half a stretch, are no peak. A stretch holds five values at
/// least; series with more than ten seconds between values are taken as they are. `None` without values.
pub fn highest_kept(time: &[f64], value: &[f64], seconds: f64) -> Option<(f64, f64)> {
    let spacing: Vec<f64> = time.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let first_top = |best: Option<(f64, f64)>, now: (f64, f64)| best.filter(|best| best.1 >= now.1).or(Some(now));
    let usual = median(&spacing).unwrap_or(f64::INFINITY);
    let seconds = seconds.max(5.2 * usual);
    if time.len() != value.len() || usual > SLOWEST_S {
        return time.iter().copied().zip(value.iter().copied()).fold(None, first_top);
    }
    let after = |from: usize, seconds: f64| (from + time[from..].partition_point(|&t| t < time[from] + seconds)).max(from + 1);
    let mut best: Option<(f64, f64)> = None;
    let mut from = 0;
    while from < time.len() {
        let to = after(from, seconds);
        // What is left at the end, or stands alone between gaps, is too short to be a stretch.
        if to - from >= 3 || best.is_none() {
            let level = median(&value[from..to])?;
            let met = (from..to).find(|&i| value[i] >= level).map_or(time[from], |i| time[i]);
            best = first_top(best, (met, level));
        }
        from = after(from, seconds / 2.0);
    }
    best
}

/// A straight line through the medians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MedianLine {
    /// Median of the slopes of all pairs.
    pub slope: f64,
    /// Median of y less slope times median of t.
    pub intercept: f64,
    /// 95 % interval of the slope.
    pub interval_95: [f64; 2],
}

/// Theil–Sen line with Sen's interval, from Kendall's statistic with its correction for equal readings.
///
/// `n_eff` tells from slope and intercept what the points are worth if their residuals are correlated (their number if not): the variance
/// of Kendall's statistic grows by n/n_eff. Series of more than four hundred points are thinned by medians of neighbours. `None` under
/// three distinct times and where lengths differ.
pub fn theil_sen(time: &[f64], value: &[f64], n_eff: impl FnOnce(f64, f64) -> f64) -> Option<MedianLine> {
    if time.len() != value.len() || time.iter().chain(value).any(|v| !v.is_finite()) {
        return None;
    }
    let group = time.len().div_ceil(MOST_POINTS).max(1);
    let thin = |series: &[f64]| -> Vec<f64> { series.chunks(group).filter_map(median).collect() };
    let (t, y) = (thin(time), thin(value));
    let mut slopes = Vec::with_capacity(t.len() * t.len().saturating_sub(1) / 2);
    for (i, (&t0, &y0)) in t.iter().zip(&y).enumerate() {
        slopes.extend(t[..i].iter().zip(&y[..i]).filter(|(t1, _)| **t1 != t0).map(|(t1, y1)| (y0 - y1) / (t0 - t1)));
    }
    if slopes.len() < 3 || slopes.iter().any(|slope| !slope.is_finite()) {
        return None;
    }
    let pairs = slopes.len() as f64;
    let slope = selected(&mut slopes, 0.5 * (pairs - 1.0));
    let intercept = median(value)? - slope * median(time)?;
    let n = t.len() as f64;
    let worth = (n_eff(slope, intercept) / group as f64).clamp(1.0, n);
    let variance = (pair_variance(n) - ties(&t).map(pair_variance).sum::<f64>() - ties(&y).map(pair_variance).sum::<f64>()).max(0.0);
    let reach = normal_quantile(0.975) * (variance * n / worth).sqrt();
    let lowest = (0.5 * (pairs - reach)).round().max(1.0) - 1.0;
    let highest = (0.5 * (pairs + reach)).round().clamp(0.0, pairs - 1.0);
    Some(MedianLine { slope, intercept, interval_95: [lowest, highest].map(|place| selected(&mut slopes, place)) })
}

/// Variance of Kendall's statistic for `n` untied points.
fn pair_variance(n: f64) -> f64 {
    n * (n - 1.0) * (2.0 * n + 5.0) / 18.0
}

/// Sizes of the groups of equal values.
fn ties(values: &[f64]) -> impl Iterator<Item = f64> {
    let sorted = sorted(values).unwrap_or_default();
    let sizes: Vec<f64> = sorted.chunk_by(|a, b| a == b).map(|group| group.len() as f64).collect();
    sizes.into_iter()
}

/// Sorted copy; `None` if empty or not finite.
fn sorted(values: &[f64]) -> Option<Vec<f64>> {
    if values.is_empty() || values.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let mut copy = values.to_vec();
    copy.sort_by(f64::total_cmp);
    Some(copy)
}
