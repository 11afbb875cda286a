//! Mann and Kendall's test against trend: pairs that rise less pairs that fall.
//!
//! ```text
//! S = Σᵢ<ⱼ sign(yⱼ − yᵢ)        var S = [n(n − 1)(2n + 5) − Σ t(t − 1)(2t + 5)]/18        t: sizes of groups of equal values
//! Z = (S − sign S)/√var S
//! ```
//!
//! Without equal values and up to [`MOST_EXACT`] runs the chance of |S| is counted exactly: the number of orders of n things with k
//! inversions follows from that of n − 1 things by one pass. Else it is that of Z.
//!
//! # References
//!
//! - Kendall, M. G. (1975). *Rank Correlation Methods*, 4th ed. Griffin (variance with equal values; from memory).

use statrs::distribution::{ContinuousCDF, Normal};

/// Most runs for which orders are counted.
pub const MOST_EXACT: usize = 60;

/// The test of one series.
#[derive(Clone, Debug, PartialEq)]
pub struct Kendall {
    /// Rises less falls.
    pub s: i64,
    /// Variance of S without a trend.
    pub variance: f64,
    /// S with its continuity correction, in standard deviations.
    pub z: f64,
    /// Chance of an S as far from 0 without any trend, two-sided.
    pub chance: f64,
    /// The distribution that it was counted from; `None` with equal values or too many runs.
    pub(super) exact: Option<Orders>,
}

impl Kendall {
    /// Of values in time order.
    pub fn of(values: &[f64]) -> Self {
        let mut s = 0;
        for (i, now) in values.iter().enumerate() {
            s += values[..i].iter().map(|then| i64::from(now > then) - i64::from(now < then)).sum::<i64>();
        }
        let spread = |n: f64| n * (n - 1.0) * (2.0 * n + 5.0);
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        let groups: Vec<f64> = sorted.chunk_by(|a, b| a == b).map(|group| group.len() as f64).collect();
        let variance = (spread(values.len() as f64) - groups.iter().map(|group| spread(*group)).sum::<f64>()) / 18.0;
        let z = if variance > 0.0 { (s - s.signum()) as f64 / variance.sqrt() } else { 0.0 };
        let tied = groups.iter().any(|group| *group > 1.0);
        let exact = (!tied && values.len() <= MOST_EXACT).then(|| Orders::of(values.len()));
        let chance = exact.as_ref().map_or_else(|| by_normal(z), |orders| orders.beyond(s.abs() - 1));
        Self { s, variance, z, chance, exact }
    }

    /// Chance by the normal distribution, two-sided, whatever the number of runs.
    pub fn chance_by_normal(&self) -> f64 {
        by_normal(self.z)
    }
}

fn by_normal(z: f64) -> f64 {
    2.0 * Normal::standard().sf(z.abs())
}

/// How often each S comes up among all orders of n different values.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Orders {
    /// Chance of an order with k inversions, from 0 on.
    chances: Vec<f64>,
}

impl Orders {
    fn of(n: usize) -> Self {
        let mut chances = vec![1.0];
        for size in 2..=n {
            // The largest of `size` things stands in one of `size` places, each behind another number of the rest.
            let longer = chances.len() + size - 1;
            chances = (0..longer)
                .map(|k| (0..size).filter_map(|behind| chances.get(k.checked_sub(behind)?)).sum::<f64>() / size as f64)
                .collect();
        }
        Self { chances }
    }

    /// Chance that |S| is greater than `s`.
    pub(super) fn beyond(&self, s: i64) -> f64 {
        let pairs = self.chances.len() as i64 - 1;
        let far = self.chances.iter().enumerate().filter(|(k, _)| (pairs - 2 * *k as i64).abs() > s);
        far.map(|(_, chance)| chance).sum::<f64>().min(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_runs_can_never_show_a_trend_and_five_can() {
        let chance = |values: &[f64]| Kendall::of(values).chance;
        assert!((chance(&[1.0, 2.0, 3.0, 4.0]) - 2.0 / 24.0).abs() < 1e-12);
        assert!((chance(&[1.0, 2.0, 3.0, 4.0, 5.0]) - 2.0 / 120.0).abs() < 1e-12);
        assert!((chance(&[1.0, 2.0, 3.0, 5.0, 4.0]) - 10.0 / 120.0).abs() < 1e-12, "one swap: 1 + 4 orders either way");
        assert!((chance(&[1.0, 3.0, 2.0]) - 1.0).abs() < 1e-12, "an odd number of pairs leaves no order at 0");
    }
}
