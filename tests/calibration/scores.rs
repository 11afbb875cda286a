//! What a probability or an interval is worth.

use super::study::Said;

/// Area under the ROC curve: the chance that a run of the first kind is given more than one of the second.
pub fn roc_area(with: &[f64], without: &[f64]) -> f64 {
    let mut sorted = without.to_vec();
    sorted.sort_by(f64::total_cmp);
    let wins: f64 = with
        .iter()
        .map(|p| {
            let below = sorted.partition_point(|other| other < p);
            let not_above = sorted.partition_point(|other| other <= p);
            0.5 * (below + not_above) as f64
        })
        .sum();
    wins / (with.len() * without.len()).max(1) as f64
}

/// Brier skill of probabilities against saying the base rate of these very runs.
pub fn brier_skill(said: &[(f64, bool)]) -> f64 {
    let n = said.len().max(1) as f64;
    let base = said.iter().filter(|(_, trapped)| *trapped).count() as f64 / n;
    let score: f64 = said.iter().map(|(p, trapped)| (p - f64::from(u8::from(*trapped))).powi(2)).sum::<f64>() / n;
    1.0 - score / (base * (1.0 - base)).max(1e-12)
}

/// The probability that the share `alarms` of runs without exceeds.
pub fn cut(without: &[f64], alarms: f64) -> f64 {
    let mut sorted = without.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(((1.0 - alarms) * (sorted.len().max(1) - 1) as f64).round() as usize).copied().unwrap_or(1.0)
}

/// Share of values above a cut.
pub fn above(values: &[f64], cut: f64) -> f64 {
    values.iter().filter(|value| **value > cut).count() as f64 / values.len().max(1) as f64
}

/// How the intervals of one quantity do.
pub struct Intervals {
    /// How many runs have a truth.
    pub asked: usize,
    /// How many of them got an estimate.
    pub answered: usize,
    /// Share of those whose interval holds the truth.
    pub held: f64,
    /// Median width.
    pub width: f64,
    /// Mean interval score of 95 % intervals: width, and 40 times what a miss lies outside (Gneiting and Raftery 2007).
    pub score: f64,
}

/// Scores the intervals of one quantity.
pub fn intervals(said: &[Said]) -> Intervals {
    let pairs: Vec<([f64; 2], f64)> =
        said.iter().filter_map(|said| said.estimate.map(|estimate| (estimate.interval_95, said.truth))).collect();
    let n = pairs.len().max(1) as f64;
    let mut widths: Vec<f64> = pairs.iter().map(|([low, high], _)| high - low).collect();
    widths.sort_by(f64::total_cmp);
    let outside = |[low, high]: [f64; 2], truth: f64| (low - truth).max(truth - high).max(0.0);
    Intervals {
        asked: said.len(),
        answered: pairs.len(),
        held: pairs.iter().filter(|(interval, truth)| outside(*interval, *truth) == 0.0).count() as f64 / n,
        width: widths.get(widths.len() / 2).copied().unwrap_or(f64::NAN),
        score: pairs.iter().map(|(interval, truth)| interval[1] - interval[0] + 40.0 * outside(*interval, *truth)).sum::<f64>() / n,
    }
}
