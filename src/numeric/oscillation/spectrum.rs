//! Peaks of the periodogram, tried against first-order noise.

use crate::numeric::autocorrelation::golden;
use crate::numeric::least_squares::{self, Fit};
use std::f64::consts::TAU;

/// Trial frequencies per independent one, so that a peak between two of them loses little.
const OVERSAMPLING: f64 = 3.0;

/// Most trial frequencies: bounds the work for a long record.
const MOST_FREQUENCIES: f64 = 1500.0;

/// Peaks of the periodogram that are tried against noise.
const PROPOSALS: usize = 5;

/// Level, drift, the two parts of the wave, its frequency and the correlation time.
const PARAMETERS: f64 = 6.0;

/// Trial correlation times.
const CORRELATION_TRIALS: usize = 8;

/// One peak.
#[derive(Clone, Copy, Debug)]
pub(super) struct Peak {
    pub frequency: f64,
    pub frequency_deviation: f64,
    pub amplitude: f64,
    pub amplitude_deviation: f64,
    pub chance: f64,
}

/// A series about its line, and the frequencies to try.
pub(super) struct Spectrum<'a> {
    time: Vec<f64>,
    value: &'a [f64],
    frequencies: Vec<f64>,
    bandwidth: f64,
}

impl<'a> Spectrum<'a> {
    pub(super) fn new(time: &[f64], value: &'a [f64], shortest: f64, longest: f64) -> Option<Self> {
        let span = time.last()? - time.first()?;
        let middle = 0.5 * (time.last()? + time.first()?);
        let (low, high) = (1.0 / longest, 1.0 / shortest);
        let mean = time.iter().sum::<f64>() / time.len() as f64;
        let variance = time.iter().map(|t| (t - mean).powi(2)).sum::<f64>() / time.len() as f64;
        let bandwidth = (high - low) * (4.0 * std::f64::consts::PI * variance).sqrt();
        let count = (OVERSAMPLING * span * (high - low)).clamp(8.0, MOST_FREQUENCIES).ceil() as usize;
        let frequencies = (0..=count).map(|k| low + (high - low) * k as f64 / count as f64).collect();
        (value.len() >= 8).then(|| Self { time: time.iter().map(|t| t - middle).collect(), value, frequencies, bandwidth })
    }

    /// The peak least likely to be noise.
    pub(super) fn best(&self) -> Option<Peak> {
        let power: Vec<f64> = self.frequencies.iter().map(|f| self.power(*f)).collect();
        let at = |k: usize| power.get(k).copied().unwrap_or(0.0);
        let mut tops: Vec<usize> = (0..power.len()).filter(|&k| at(k) >= at(k + 1) && (k == 0 || at(k) >= at(k - 1))).collect();
        tops.sort_by(|&a, &b| at(b).total_cmp(&at(a)));
        tops.truncate(PROPOSALS);
        let alone = self.likelihood(None)?.0;
        tops.into_iter().filter_map(|k| self.tried(k, alone)).min_by(|a, b| a.chance.total_cmp(&b.chance))
    }

    /// Share of the squares that a wave of this frequency takes, mean floating.
    fn power(&self, frequency: f64) -> f64 {
        // Sums of 1, c, s, cc, cs, ss, y, yc, ys; the series has mean near 0.
        let mut sums = [0.0; 8];
        for (t, y) in self.time.iter().zip(self.value) {
            let (s, c) = (TAU * frequency * t).sin_cos();
            for (sum, term) in sums.iter_mut().zip([c, s, c * c, c * s, s * s, *y, y * c, y * s]) {
                *sum += term;
            }
        }
        let n = self.value.len() as f64;
        let [c, s, cc, cs, ss, y, yc, ys] = sums.map(|sum| sum / n);
        let (cc, cs, ss, yc, ys) = (cc - c * c, cs - c * s, ss - s * s, yc - y * c, ys - y * s);
        let power = (ss * yc * yc + cc * ys * ys - 2.0 * cs * yc * ys) / (cc * ss - cs * cs);
        if power.is_finite() { power } else { 0.0 }
    }

    /// The peak at trial frequency `k`, moved to its top, with its chance and uncertainties.
    fn tried(&self, k: usize, alone: f64) -> Option<Peak> {
        let around = |k: usize| self.frequencies.get(k).copied();
        let low = around(k.saturating_sub(1))?;
        let high = around(k + 1).or_else(|| around(k))?;
        let frequency = golden(|f| -self.power(f), low, high, 1e-3);
        let (with, theta, fit) = self.likelihood(Some(frequency))?;
        // A short record gains more than its limit says, by about the share of its samples that the parameters take.
        let samples = self.value.len() as f64;
        let height = 0.5 * (alone - with).max(0.0) * (samples - PARAMETERS) / samples;
        let chance = ((-height).exp() * (1.0 + self.bandwidth * height.sqrt())).min(1.0);
        let [_, _, a, b] = fit.coefficients[..] else { return None };
        let amplitude = a.hypot(b);
        // The wave once more, with the frequency free in first order.
        let slide = |t: &f64| {
            let (s, c) = (TAU * frequency * t).sin_cos();
            TAU * t * (b * c - a * s)
        };
        let mut columns = self.columns(Some(frequency));
        columns.push(self.time.iter().map(slide).collect());
        let (columns, value) = self.whitened(&columns, theta);
        let whole = least_squares::solve(&columns, &value, None)?;
        let c = &whole.covariance;
        let variance = (a * a * c[2][2] + 2.0 * a * b * c[2][3] + b * b * c[3][3]) / (amplitude * amplitude);
        Some(Peak { frequency, frequency_deviation: c[4][4].sqrt(), amplitude, amplitude_deviation: variance.max(0.0).sqrt(), chance })
    }

    /// Least minus twice the log likelihood over correlation times, that time, and the fit there.
    fn likelihood(&self, frequency: Option<f64>) -> Option<(f64, f64, Fit)> {
        let columns = self.columns(frequency);
        let span = self.time.last()? - self.time.first()?;
        let spacing = span / self.time.len() as f64;
        let score = |theta: f64| -> Option<(f64, Fit)> {
            let (columns, value) = self.whitened(&columns, theta);
            let fit = least_squares::solve(&columns, &value, None)?;
            let n = value.len() as f64;
            let logs: f64 = self.gaps().map(|gap| fresh(gap, theta).ln()).sum();
            Some((n * (fit.rss / n).ln() + logs, fit))
        };
        let (low, high) = ((0.2 * spacing).ln(), span.ln());
        let width = (high - low) / CORRELATION_TRIALS as f64;
        let cost = |log: f64| score(log.exp()).map_or(f64::INFINITY, |s| s.0);
        let best =
            (0..=CORRELATION_TRIALS).map(|k| low + width * k as f64).map(|log| (cost(log), log)).min_by(|a, b| a.0.total_cmp(&b.0))?.1;
        // A parabola through three points is near enough: the likelihood is flat at its top.
        let (before, at, after) = (cost(best - width), cost(best), cost(best + width));
        let shift = 0.5 * width * (before - after) / (before - 2.0 * at + after);
        let tried = [best, if shift.is_finite() { best + shift.clamp(-width, width) } else { best }];
        let refined = tried.into_iter().min_by(|a, b| cost(*a).total_cmp(&cost(*b)))?;
        score(refined.exp()).map(|(value, fit)| (value, refined.exp(), fit))
    }

    /// Level, drift and, with a frequency, the wave.
    fn columns(&self, frequency: Option<f64>) -> Vec<Vec<f64>> {
        let mut columns = vec![vec![1.0; self.time.len()], self.time.clone()];
        if let Some(f) = frequency {
            columns.push(self.time.iter().map(|t| (TAU * f * t).cos()).collect());
            columns.push(self.time.iter().map(|t| (TAU * f * t).sin()).collect());
        }
        columns
    }

    fn gaps(&self) -> impl Iterator<Item = f64> {
        self.time.windows(2).map(|pair| pair[1] - pair[0])
    }

    /// Columns and values as differences from what the sample before foretells, scaled to equal variance.
    fn whitened(&self, columns: &[Vec<f64>], theta: f64) -> (Vec<Vec<f64>>, Vec<f64>) {
        let factors: Vec<(f64, f64)> = self.gaps().map(|gap| ((-gap / theta).exp(), fresh(gap, theta).sqrt())).collect();
        let white = |series: &[f64]| -> Vec<f64> {
            let rest = series.windows(2).zip(&factors).map(|(pair, (rho, size))| (pair[1] - rho * pair[0]) / size);
            series.first().copied().into_iter().chain(rest).collect()
        };
        (columns.iter().map(|column| white(column)).collect(), white(self.value))
    }
}

/// Share of the variance that is new after `gap`.
fn fresh(gap: f64, theta: f64) -> f64 {
    (-(-2.0 * gap / theta).exp_m1()).max(1e-9)
}
