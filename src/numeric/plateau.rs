//! Where does a series settle?
//!
//! Used for the band that a regulated temperature holds: from when on, and at what level.
//!
//! The record is cut, from its end backwards, into windows at least as long as one swing, and each is replaced by its mean over time. The
//! tail of windows is settled if
//!
//! ```text
//! every |m_j − M| ≤ band + t·s_w       s_w: what a mean scatters by without any drift, from neighbours
//! the line through the m_j does not drift by more than the band over the tail, or no more than its own 95 % allows
//! ```
//!
//! and the longest such tail is taken. Its level is the mean of the window means, without the last of the approach, and their scatter gives the
//! uncertainty: means over a swing or more are nearly independent, whatever the readings inside do (batch means). The moment of settling is where the mean over half a
//! window last enters the band.
//!
//! Limits: [`FEWEST_WINDOWS`] windows; a swing longer than the window looks like drift. The moment is known no better than a quarter of a
//! window either way.
//!
//! # References
//!
//! - Law, A. M. and Carson, J. S. (1979). A sequential procedure for determining the length of a steady-state simulation.
//!   *Operations Research* 27, 1011–1025 (batch means).
//! - White, K. P. (1997). An effective truncation heuristic for bias reduction in simulation output. *Simulation* 69, 323–334.
//! - von Neumann, J. (1941). Distribution of the ratio of the mean square successive difference to the variance.
//!   *Ann. Math. Statist.* 12, 367–395 (scatter from neighbours).

use super::{autocorrelation, line::Line, moments, robust};
use crate::estimate::{normal_quantile, student_quantile};

/// Fewest windows in a settled tail: a line through three leaves one degree of freedom to see drift with.
pub const FEWEST_WINDOWS: usize = 4;

/// Most windows; a record that holds more is cut into longer ones, so that the work stays bounded.
const MOST_WINDOWS: f64 = 250.0;

/// Why no plateau is reported. Each is a normal outcome, not a bug.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoPlateau {
    /// The record holds too few windows (0 if a number is not finite or the window is not positive).
    TooShort {
        /// Windows at hand.
        have: usize,
        /// Windows needed.
        need: usize,
    },
    /// Still moving at the end of the record.
    Drifting {
        /// Slope over the last windows, in the unit of y per unit of time.
        slope: f64,
    },
}

/// A settled tail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plateau {
    /// Mean over time of the settled part.
    pub level: f64,
    /// Standard deviation of the level.
    pub level_deviation: f64,
    /// 95 % interval of the level.
    pub level_interval: [f64; 2],
    /// When the series settled, on the clock of the samples; the first sample if it was settled throughout.
    pub settled_at: f64,
    /// 95 % interval of that moment.
    pub settled_interval: [f64; 2],
    /// Whether the record was settled from its first window on, so that the moment of settling lies before it.
    pub throughout: bool,
    /// Windows in the settled part.
    pub windows: usize,
}

/// The plateau that `value` over `time` (rising) ends on: window means stay within `band` of the level; `window` as long as a swing or longer.
pub fn find(time: &[f64], value: &[f64], window: f64, band: f64) -> Result<Plateau, NoPlateau> {
    let short = |have| NoPlateau::TooShort { have, need: FEWEST_WINDOWS };
    let sound = time.len() == value.len() && time.iter().chain(value).all(|v| v.is_finite()) && window > 0.0 && band >= 0.0;
    let (Some(&first), Some(&last)) = (time.first().filter(|_| sound), time.last()) else { return Err(short(0)) };
    let window = window.max((last - first) / MOST_WINDOWS);
    let count = ((last - first) / window).floor() as usize;
    if count < FEWEST_WINDOWS {
        return Err(short(count));
    }
    let held = Held::new(time, value);
    // Windows from the end backwards, put into the order of time.
    let ends: Vec<f64> = (0..count).rev().map(|k| last - k as f64 * window).collect();
    let means: Vec<f64> = ends.iter().map(|end| held.mean(end - window, *end)).collect();
    let middles: Vec<f64> = ends.iter().map(|end| end - 0.5 * window).collect();

    let settled = (0..=count - FEWEST_WINDOWS).find(|&start| is_settled(&middles[start..], &means[start..], band));
    let Some(start) = settled else {
        let tail = count - FEWEST_WINDOWS;
        let slope = Line::through(&middles[tail..], &means[tail..], None).map_or(0.0, |line| line.slope);
        return Err(NoPlateau::Drifting { slope });
    };
    let rest = at_rest(&means[start..]);
    let level = moments::mean(rest).ok_or(short(count))?;
    let scatter = moments::deviation(rest).unwrap_or(0.0);
    let from_level: Vec<f64> = rest.iter().map(|mean| mean - level).collect();
    let worth = autocorrelation::of_residuals(&middles[count - rest.len()..], &from_level, 1).n_eff.max(2.0);
    let level_deviation = scatter / worth.sqrt();
    let half = student_quantile(0.975, worth - 1.0) * level_deviation;
    let throughout = start == 0 && held.last_outside(level, band, 0.5 * window, ends[0]).is_none();
    let entered = |band: f64| held.last_outside(level, band, 0.5 * window, ends[start] + window).unwrap_or(first);
    // The mean over half a window strays by up to √2 of what the mean over a whole one does, and blurs a step by half its width either way.
    let reach = half.hypot(normal_quantile(0.975) * std::f64::consts::SQRT_2 * scatter);
    let settled_interval = [(entered(band + reach) - 0.25 * window).max(first), entered((band - reach).max(0.25 * band)) + 0.25 * window];
    Ok(Plateau {
        level,
        level_deviation,
        level_interval: [level - half, level + half],
        settled_at: entered(band),
        settled_interval,
        throughout,
        windows: count - start,
    })
}

/// The part of the settled means that tells the level best: the approach is dropped as far as that lowers the standard error, at most
/// half of the tail (White's rule), and one window more: the rule stops where what is left of the approach equals the scatter.
fn at_rest(means: &[f64]) -> &[f64] {
    let error = |part: &[f64]| moments::deviation(part).map_or(f64::INFINITY, |s| s * s / part.len() as f64);
    let most = (means.len() / 2).min(means.len().saturating_sub(FEWEST_WINDOWS));
    let least = (0..=most).min_by(|&a, &b| error(&means[a..]).total_cmp(&error(&means[b..]))).unwrap_or(0);
    &means[if least > 0 { (least + 1).min(most) } else { 0 }..]
}

/// Whether these window means hold one level.
fn is_settled(middles: &[f64], means: &[f64], band: f64) -> bool {
    let n = means.len() as f64;
    let (Some(level), Some(line)) = (robust::median(means), Line::through(middles, means, None)) else { return false };
    let steps: f64 = means.windows(2).map(|pair| (pair[1] - pair[0]).powi(2)).sum();
    let scatter = (0.5 * steps / (n - 1.0)).sqrt();
    // The scatter may widen the band, but not by more than the band itself: what swings that much from window to window has no level.
    let reach = band + (student_quantile(0.975, n - 1.0) * scatter).min(band);
    let within = means.iter().all(|mean| (mean - level).abs() <= reach);
    let length = middles.last().zip(middles.first()).map_or(0.0, |(last, first)| last - first);
    let [low, high] = line.slope_interval();
    within && ((line.slope * length).abs() <= band || (low <= 0.0 && high >= 0.0 && (line.slope * length).abs() <= 2.0 * band))
}

/// The series as a curve that runs straight from sample to sample, with its running integral.
struct Held<'a> {
    time: &'a [f64],
    value: &'a [f64],
    integral: Vec<f64>,
}

impl<'a> Held<'a> {
    fn new(time: &'a [f64], value: &'a [f64]) -> Self {
        let mut integral = vec![0.0; time.len()];
        let base = value.first().copied().unwrap_or(0.0);
        for i in 1..time.len() {
            integral[i] = integral[i - 1] + (time[i] - time[i - 1]) * (0.5 * (value[i] + value[i - 1]) - base);
        }
        Self { time, value, integral }
    }

    /// Integral, less the first value, from the first sample to `t` within the record.
    fn up_to(&self, t: f64) -> f64 {
        let after = self.time.partition_point(|&s| s <= t).clamp(1, self.time.len() - 1);
        let (t0, t1) = (self.time[after - 1], self.time[after]);
        let (y0, y1) = (self.value[after - 1], self.value[after]);
        let share = if t1 > t0 { ((t - t0) / (t1 - t0)).clamp(0.0, 1.0) } else { 0.0 };
        self.integral[after - 1] + share * (t1 - t0) * (y0 + 0.5 * share * (y1 - y0) - self.value[0])
    }

    /// Mean over time between two moments, as far as the record goes.
    fn mean(&self, from: f64, to: f64) -> f64 {
        let (from, to) = (from.max(self.time[0]), to.min(self.time[self.time.len() - 1]));
        if to > from { self.value[0] + (self.up_to(to) - self.up_to(from)) / (to - from) } else { self.value[0] }
    }

    /// Last moment before `until` at which the mean over `width` lies outside the band about `level`.
    fn last_outside(&self, level: f64, band: f64, width: f64, until: f64) -> Option<f64> {
        let last = self.time.partition_point(|&t| t <= until);
        let from_level = |t: f64| (self.mean(t - 0.5 * width, t + 0.5 * width) - level).abs() - band;
        let outside = (0..last).rev().find(|&i| from_level(self.time[i]) > 0.0)?;
        let Some(&next) = self.time.get(outside + 1) else { return Some(self.time[outside]) };
        // The running mean passes the edge of the band between these two samples.
        let (before, after) = (from_level(self.time[outside]), from_level(next));
        let share = if before > after { (before / (before - after)).clamp(0.0, 1.0) } else { 0.0 };
        Some(self.time[outside] + share * (next - self.time[outside]))
    }
}
