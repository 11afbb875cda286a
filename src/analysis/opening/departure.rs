//! The departure from the closed-valve warm-up: is there one, about where, and what speaks for it?

use super::valve::{Afterwards, WAX_SECONDS, followed, level_odds, pull};
use crate::analysis::warm_up_model::{Grid, WarmUpModel};

/// How long after a reading is first met the comparison goes on, in seconds: longer than a red light, shorter than a descent.
pub(super) const WATCH_S: f64 = 400.0;

/// Scale of the valve's pull in K/min for each kelvin of excess: enough to stop a rise of 1 to 15 K/min within a few kelvin.
pub(super) const PULL_SCALE: f64 = 4.0;

/// What speaks for an opening, as natural logarithms of odds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighing {
    /// Better fit with a valve than without.
    pub fit: f64,
    /// Share of the rise that is taken away.
    pub share: f64,
    /// Where thermostats open, and what reading and heat do from there on.
    pub place: f64,
    /// The share itself, 0 to about 1.
    pub share_taken: f64,
}

impl Weighing {
    /// Log odds of an opening.
    pub fn total(&self) -> f64 {
        self.fit + self.share + self.place
    }
}

/// The departure that is best supported.
#[derive(Clone, Copy, Debug)]
pub(super) struct Departure {
    /// Reading at which a valve would begin to open, °C.
    pub(super) reading: f64,
    /// Step of the grid at which that reading is first met.
    pub(super) at: usize,
    /// What speaks for it.
    pub(super) weighing: Weighing,
}

/// First step used by the fits: 12 s after the engine fired, when coolant that stood at the sensor has passed it.
pub(super) fn fit_start(grid: &Grid, top: f64) -> usize {
    let settled = (12.0 / grid.step).ceil() as usize;
    grid.first_at(top - 45.0).unwrap_or(0).max(settled).min(grid.len())
}

/// The departures that begin at each reading, one kelvin apart, with what speaks for each.
pub(super) fn find(grid: &Grid, model: &WarmUpModel, start: usize, afterwards: &Afterwards, start_reading: f64) -> Vec<Departure> {
    let highest = grid.reading.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let wax = WAX_SECONDS.map(|seconds| followed(grid, seconds));
    let lowest = (start_reading + 6.0).max(55.0);
    let count = ((highest - lowest).floor().max(-1.0) + 1.0) as usize;
    let candidates = (0..count).map(|i| lowest + i as f64).filter_map(|reading| {
        let at = grid.first_at(reading)?;
        let end = (at + (WATCH_S / grid.step) as usize).min(grid.len());
        if at < start + 10 || end < at + (20.0 / grid.step).ceil() as usize {
            return None;
        }
        let shut = model.fit(end, &[])?;
        let opens = wax.iter().filter_map(|wax| model.fit(end, &[(&pull(grid, wax, reading), PULL_SCALE)]));
        let opens = opens.max_by(|a, b| a.log_likelihood.total_cmp(&b.log_likelihood))?;
        let fit = opens.log_likelihood - shut.log_likelihood + pull_prior(opens.coefficients.last().copied().unwrap_or(0.0));
        let (share_taken, u) = share_taken(grid, |step| model.rise_without_valve(&opens, step), at, end);
        Some(Departure {
            reading,
            at,
            weighing: Weighing {
                fit,
                share: share_odds(share_taken, u),
                place: place_odds(reading) + level_odds(wax[1][at], afterwards.later(grid.time[at])) + eased_odds(grid, at),
                share_taken,
            },
        })
    });
    candidates.collect()
}

/// Log of the prior for the valve's pull (K/min per kelvin) against its own middle: log-normal about 1.5 with a factor e.
fn pull_prior(pull: f64) -> f64 {
    -0.5 * (pull.max(1e-3) / 1.5).ln().powi(2)
}

/// Share of the rise that a departure from step `at` on takes away over the next 90 s, and its standard uncertainty.
fn share_taken(grid: &Grid, without: impl Fn(usize) -> f64, at: usize, end: usize) -> (f64, f64) {
    let later = (at + (90.0 / grid.step) as usize).min(end.saturating_sub(1));
    let expected = (without(later) - without(at)).max(0.05);
    let seen = grid.reading[later] - grid.reading[at];
    let u = (2.0 * grid.variance.iter().copied().fold(f64::INFINITY, f64::min)).sqrt() / expected;
    ((1.0 - seen / expected).clamp(-1.0, 2.0), u.min(3.0))
}

/// Log odds from the share: an opening valve takes 0.85 ± 0.25 of the rise, other causes 0.2 ± 0.25.
fn share_odds(share: f64, u: f64) -> f64 {
    let spread = 0.25f64.hypot(u);
    let distance = |middle: f64| ((share - middle) / spread).powi(2);
    // A valve that overshoots and falls takes more than all; that speaks no less for a valve.
    let from_valve = if share > 0.85 { 0.0 } else { distance(0.85) };
    0.5 * (distance(0.2) - from_valve).min(12.0)
}

/// Log odds from a heat input that eases off at the same moment: a rise that flattens as the driver lifts off or stops needs no valve.
pub(super) fn eased_odds(grid: &Grid, at: usize) -> f64 {
    let steps = |seconds: f64| (seconds / grid.step).ceil() as usize;
    let mean = |from: usize, to: usize| {
        let part = &grid.heat[from.min(to)..to];
        part.iter().sum::<f64>() / part.len().max(1) as f64
    };
    let (before, after) = (mean(at.saturating_sub(steps(90.0)), at), mean(at, (at + steps(60.0)).min(grid.len())));
    let eased = 1.0 - after / before.max(0.05);
    -8.0 * (eased - 0.15).clamp(0.0, 0.6)
}

/// Log odds from where thermostats open: heavy-tailed about 88 °C with a half-width of 8 K (ratings 76 to 105 °C, memory).
pub(super) fn place_odds(reading: f64) -> f64 {
    -(1.0 + ((reading - 88.0) / 8.0).powi(2)).ln()
}

/// The best supported of them.
pub(super) fn best(departures: &[Departure]) -> Option<&Departure> {
    departures.iter().max_by(|a, b| a.weighing.total().total_cmp(&b.weighing.total()))
}
