//! Peaks of the periodogram, tried against first-order noise.

use crate::numeric::autocorrelation::golden;
use crate::numeric::least_squares::{self, Fit, Normal};
use crate::numeric::moments;
use std::f64::consts::TAU;

/// Trial frequencies per independent one, so that a peak between two of them loses little.
const OVERSAMPLING: f64 = 3.0;

/// Most trial frequencies: bounds the work for a long record.
const MOST_FREQUENCIES: f64 = 1500.0;

/// Peaks of the periodogram that are tried against noise.
const PROPOSALS: usize = 5;

/// Level, drift, the two parts of the wave, its frequency and the correlation time.
const PARAMETERS: f64 = 6.0;

/// Steps between the briefest and the longest trial correlation time.
const CORRELATION_STEPS: usize = 8;

/// The trial correlation times among those that are laid out: the first and the last are there as neighbours only.
const TRIALS: std::ops::RangeInclusive<usize> = 1..=CORRELATION_STEPS + 1;

/// One peak.
#[derive(Clone, Copy, Debug)]
pub(super) struct Peak {
    pub frequency: f64,
    pub frequency_deviation: f64,
    pub amplitude: f64,
    pub amplitude_deviation: f64,
    pub chance: f64,
}

/// First-order noise of one correlation time, as a whitening of the series' own gaps.
#[derive(Clone)]
struct Noise {
    /// What each sample keeps of the one before, and one over the standard deviation of what is new.
    factors: Vec<(f64, f64)>,
    /// Sum of the logarithms of the new variances.
    log_determinant: f64,
}

impl Noise {
    fn new(time: &[f64], theta: f64) -> Self {
        let mut log_determinant = 0.0;
        // Neighbouring gaps are mostly equal, and exponentials cost more than all the rest.
        let (mut last, mut known, mut logarithm) = (f64::NAN, (0.0, 1.0), 0.0);
        let factors = time.windows(2).map(|pair| {
            let gap = pair[1] - pair[0];
            if gap != last {
                let fresh = (-(-2.0 * gap / theta).exp_m1()).max(1e-9);
                (last, known, logarithm) = (gap, ((-gap / theta).exp(), fresh.sqrt().recip()), fresh.ln());
            }
            log_determinant += logarithm;
            known
        });
        let factors = factors.collect();
        Self { factors, log_determinant }
    }

    /// Rows as differences from what the row before foretells, scaled to equal variance.
    fn whiten<const P: usize>(&self, rows: &[[f64; P]]) -> impl Iterator<Item = [f64; P]> {
        let rest = rows.windows(2).zip(&self.factors);
        let rest = rest.map(|(pair, (rho, scale))| std::array::from_fn(|j| (pair[1][j] - rho * pair[0][j]) * scale));
        rows.first().copied().into_iter().chain(rest)
    }

    /// Least squares of the rows' last entry on those before it.
    fn fit<const P: usize>(&self, rows: &[[f64; P]]) -> Option<Fit> {
        let mut columns = vec![Vec::with_capacity(rows.len()); P];
        for row in self.whiten(rows) {
            columns.iter_mut().zip(row).for_each(|(column, cell)| column.push(cell));
        }
        let value = columns.pop()?;
        least_squares::solve(&columns, &value, None)
    }
}

/// A series about its line, and the frequencies to try.
pub(super) struct Spectrum<'a> {
    time: Vec<f64>,
    value: &'a [f64],
    /// Mean of the values.
    mean: f64,
    frequencies: Vec<f64>,
    bandwidth: f64,
    /// Logarithms of the trial correlation times, evenly apart.
    logs: Vec<f64>,
    /// The noise of each.
    noises: Vec<Noise>,
}

impl<'a> Spectrum<'a> {
    pub(super) fn new(time: &[f64], value: &'a [f64], shortest: f64, longest: f64) -> Option<Self> {
        (value.len() >= 8).then_some(())?;
        let span = time.last()? - time.first()?;
        let middle = 0.5 * (time.last()? + time.first()?);
        let (low, high) = (1.0 / longest, 1.0 / shortest);
        let about = moments::mean(time)?;
        let variance = time.iter().map(|t| (t - about).powi(2)).sum::<f64>() / time.len() as f64;
        let bandwidth = (high - low) * (4.0 * std::f64::consts::PI * variance).sqrt();
        let count = (OVERSAMPLING * span * (high - low)).clamp(8.0, MOST_FREQUENCIES).ceil() as usize;
        let frequencies = (0..=count).map(|k| low + (high - low) * k as f64 / count as f64).collect();
        let time: Vec<f64> = time.iter().map(|t| t - middle).collect();
        let (briefest, slowest) = ((0.2 * span / time.len() as f64).ln(), span.ln());
        let apart = (slowest - briefest) / CORRELATION_STEPS as f64;
        let logs: Vec<f64> = (0..=CORRELATION_STEPS + 2).map(|k| briefest + apart * (k as f64 - 1.0)).collect();
        let noises = logs.iter().map(|log| Noise::new(&time, log.exp())).collect();
        Some(Self { time, value, mean: moments::mean(value)?, frequencies, bandwidth, logs, noises })
    }

    /// The peak least likely to be noise.
    pub(super) fn best(&self) -> Option<Peak> {
        let power = self.powers();
        let at = |k: usize| power.get(k).copied().unwrap_or(0.0);
        let mut tops: Vec<usize> = (0..power.len()).filter(|&k| at(k) >= at(k + 1) && (k == 0 || at(k) >= at(k - 1))).collect();
        tops.sort_by(|&a, &b| at(b).total_cmp(&at(a)));
        tops.truncate(PROPOSALS);
        let alone: Vec<[f64; 3]> = self.samples().map(|(t, y)| [1.0, t, y]).collect();
        let alone = self.likelihood(&alone)?.0;
        let proposed = tops.into_iter().filter_map(|k| {
            let frequency = *self.frequencies.get(k)?;
            let shift = if k == 0 || k + 1 == power.len() { 0.0 } else { vertex([at(k - 1), at(k), at(k + 1)]) };
            let frequency = frequency + shift * (self.frequencies.get(1)? - self.frequencies.first()?);
            Some((self.chance(self.likelihood(&self.with_wave(frequency))?.0, alone), frequency))
        });
        let (_, near) = proposed.min_by(|a, b| a.0.total_cmp(&b.0))?;
        self.peak(near, alone)
    }

    /// Power at every trial frequency. They are evenly apart, so from one to the next each sample's angle grows by the same step, and its
    /// sine and cosine are turned by that step instead of being computed anew.
    fn powers(&self) -> Vec<f64> {
        let [first, second, ..] = self.frequencies[..] else { return Vec::new() };
        let waves = |frequency: f64| self.time.iter().map(move |t| (TAU * frequency * t).sin_cos());
        let turn: Vec<(f64, f64)> = waves(second - first).collect();
        let mut wave: Vec<(f64, f64)> = waves(first).collect();
        let power = |_: &f64| {
            self.power_of(wave.iter_mut().zip(&turn).map(|(wave, (turn_s, turn_c))| {
                let (s, c) = *wave;
                *wave = (s * turn_c + c * turn_s, c * turn_c - s * turn_s);
                (s, c)
            }))
        };
        self.frequencies.iter().map(power).collect()
    }

    /// Power at one frequency.
    fn power(&self, frequency: f64) -> f64 {
        self.power_of(self.time.iter().map(|t| (TAU * frequency * t).sin_cos()))
    }

    /// Share of the squares that a wave takes, mean floating; the wave as a sine and a cosine for each sample.
    fn power_of(&self, wave: impl Iterator<Item = (f64, f64)>) -> f64 {
        // Sums of c, s, cc, cs, yc, ys; the squares of sine and cosine add up to one, and the series has mean near 0.
        let mut sums = [0.0; 6];
        for ((s, c), y) in wave.zip(self.value) {
            for (sum, term) in sums.iter_mut().zip([c, s, c * c, c * s, y * c, y * s]) {
                *sum += term;
            }
        }
        let n = self.value.len() as f64;
        let [c, s, cc, cs, yc, ys] = sums.map(|sum| sum / n);
        let (cc, cs, ss, yc, ys) = (cc - c * c, cs - c * s, 1.0 - cc - s * s, yc - self.mean * c, ys - self.mean * s);
        let power = (ss * yc * yc + cc * ys * ys - 2.0 * cs * yc * ys) / (cc * ss - cs * cs);
        if power.is_finite() { power } else { 0.0 }
    }

    /// Chance that noise makes such a peak: minus twice the log likelihood with the wave against that without.
    fn chance(&self, with: f64, alone: f64) -> f64 {
        // A short record gains more than its limit says, by about the share of its samples that the parameters take.
        let samples = self.value.len() as f64;
        let height = 0.5 * (alone - with).max(0.0) * (samples - PARAMETERS) / samples;
        ((-height).exp() * (1.0 + self.bandwidth * height.sqrt())).min(1.0)
    }

    /// The peak nearest to a frequency, moved to its top, with its chance and uncertainties.
    fn peak(&self, near: f64, alone: f64) -> Option<Peak> {
        let [first, second, .., last] = self.frequencies[..] else { return None };
        let apart = second - first;
        let frequency = golden(|f| -self.power(f), (near - apart).max(first), (near + apart).min(last), 1e-3);
        let rows = self.with_wave(frequency);
        let (with, noise) = self.likelihood(&rows)?;
        let [_, _, a, b] = noise.fit(&rows)?.coefficients[..] else { return None };
        let amplitude = a.hypot(b);
        // The wave once more, with the frequency free in first order.
        let slide: Vec<[f64; 6]> = rows.iter().map(|&[one, t, c, s, y]| [one, t, c, s, TAU * t * (b * c - a * s), y]).collect();
        let whole = noise.fit(&slide)?;
        let c = &whole.covariance;
        let variance = (a * a * c[2][2] + 2.0 * a * b * c[2][3] + b * b * c[3][3]) / (amplitude * amplitude);
        let (frequency_deviation, amplitude_deviation) = (c[4][4].sqrt(), variance.max(0.0).sqrt());
        Some(Peak { frequency, frequency_deviation, amplitude, amplitude_deviation, chance: self.chance(with, alone) })
    }

    /// Least minus twice the log likelihood over correlation times, and the noise there; of rows whose last entry is y.
    fn likelihood<const P: usize>(&self, rows: &[[f64; P]]) -> Option<(f64, Noise)> {
        let mut costs = vec![None; self.noises.len()];
        let mut tried = |k: usize| *costs.get_mut(k)?.get_or_insert_with(|| cost(rows, self.noises.get(k)?));
        // Every second one first, then the neighbours of the best: the likelihood has one broad top.
        let mut best_of = |trials: &mut dyn Iterator<Item = usize>| -> Option<(f64, usize)> {
            trials.filter_map(|k| Some((tried(k)?, k))).min_by(|a, b| a.0.total_cmp(&b.0))
        };
        let (_, rough) = best_of(&mut TRIALS.step_by(2))?;
        let (at, best) = best_of(&mut TRIALS.filter(|k| k.abs_diff(rough) <= 1))?;
        // A parabola through three points is near enough: the likelihood is flat at its top.
        let shift = vertex([tried(best - 1)?, at, tried(best + 1)?]);
        let apart = self.logs.get(best)? - self.logs.get(best - 1)?;
        let moved = Noise::new(&self.time, (self.logs.get(best)? + shift * apart).exp());
        match cost(rows, &moved) {
            Some(value) if value <= at => Some((value, moved)),
            _ => Some((at, self.noises.get(best)?.clone())),
        }
    }

    /// Times about their middle, and values.
    fn samples(&self) -> impl Iterator<Item = (f64, f64)> {
        self.time.iter().copied().zip(self.value.iter().copied())
    }

    /// Level, drift, the wave and the value.
    fn with_wave(&self, frequency: f64) -> Vec<[f64; 5]> {
        let row = |(t, y): (f64, f64)| {
            let (s, c) = (TAU * frequency * t).sin_cos();
            [1.0, t, c, s, y]
        };
        self.samples().map(row).collect()
    }
}

/// Minus twice the log likelihood of the best fit of each row's last entry on those before it under a noise, up to a constant.
fn cost<const P: usize>(rows: &[[f64; P]], noise: &Noise) -> Option<f64> {
    let n = rows.len() as f64;
    Some(n * (Normal::of_rows(noise.whiten(rows)).solve()?.rss / n).ln() + noise.log_determinant)
}

/// Where the parabola through three values, evenly apart, turns: from −1 to 1 about the middle one; 0 where it does not.
fn vertex([before, at, after]: [f64; 3]) -> f64 {
    let shift = 0.5 * (before - after) / (before - 2.0 * at + after);
    if shift.is_finite() { shift.clamp(-1.0, 1.0) } else { 0.0 }
}
