//! The moments at which heat may have begun to be taken away, and how well each is supported: evidence of the whole rise, for an opening
//! that one departure alone does not show.
//!
//! Every moment of the rise is tried in one common window, so that their likelihoods may be held against each other. From the moment on two
//! things are taken away: a sudden pull, and one that grows with the wax's excess over what it had then.
//!
//! The warm-up model is only nearly true, so the odds that it gives count for less than their face value: a difference Δ of log likelihood
//! counts as `power · ln(1 + Δ/scale)`. That is what a likelihood raised to an unknown power comes to when the power is averaged over a gamma
//! distribution, after Miller and Dunson, who temper a likelihood for a model that is a little wrong.
//!
//! # References
//!
//! - Miller, J. W. and Dunson, D. B. (2019). Robust Bayesian inference via coarsening. *J. Am. Stat. Assoc.* 114, 1113–1125 (from memory).

use super::departure::{Departure, PULL_SCALE, WATCH_S, Weighing, eased_odds, place_odds};
use super::valve::{Afterwards, WAX_SECONDS, followed, pull};
use crate::analysis::warm_up_model::{Grid, WarmUpModel};

/// Scale of the first sudden pull, in K/min, from a rise of 1 to 20 K/min that stops at once.
const STEP_SCALE: f64 = 12.0;

/// How far below its highest so far a reading may lie at the knee, in kelvin: rounding and a ripple.
const STILL_RISING_K: f64 = 1.2;

/// Moments are this far apart: as a rise in kelvin or as time in seconds, whichever comes first.
const APART: (f64, f64) = (0.4, 20.0);

/// Rise that a moment stands for when the reading stands still, in kelvin.
const STANDSTILL_K: f64 = 0.05;

/// Power and scale of the odds between moments, and of those for any opening against none. Held against made runs.
const BETWEEN: (f64, f64) = (2.0, 0.5);
const AGAINST_NONE: (f64, f64) = (2.2, 1.0);

/// Power of the odds from the share: it is taken from the same readings as the fit. Held against made runs.
const SHARE_POWER: f64 = 1.0 / 3.0;

/// One moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moment {
    /// Step of the grid.
    pub(super) at: usize,
    /// Log likelihood of the whole window with a valve that begins to open then.
    log_likelihood: f64,
    share: f64,
    share_taken: f64,
    /// Log odds from the place and from a reading that holds afterwards.
    place: f64,
    /// Log of its weight among the moments, but for the likelihood.
    prior: f64,
    /// The whole log weight, up to a constant.
    pub(super) log_weight: f64,
}

impl Moment {
    /// What speaks for an opening at this moment against none.
    pub(super) fn weighing(&self, grid: &Grid, model: &WarmUpModel, departure: &Departure) -> Option<Weighing> {
        let gain = self.log_likelihood - model.fit(window(grid, departure), &[])?.log_likelihood;
        Some(Weighing {
            fit: tempered(gain, AGAINST_NONE),
            share: SHARE_POWER * self.share,
            place: self.place + 0.5 * eased_odds(grid, self.at),
            share_taken: self.share_taken,
        })
    }
}

/// Odds from a difference of log likelihood under a model that is only nearly true.
fn tempered(difference: f64, (power, scale): (f64, f64)) -> f64 {
    power * (1.0 + difference.max(0.0) / scale).ln()
}

/// Where the window ends in which moments are held against each other: long enough after the departure that a rise which resumes speaks.
fn window(grid: &Grid, departure: &Departure) -> usize {
    (departure.at + (WATCH_S / grid.step) as usize).min(grid.len())
}

/// All moments of the rise, each weighed in the window that ends after the best departure; `departures` lend their odds to the moments beside them.
pub(super) fn all(
    grid: &Grid,
    model: &WarmUpModel,
    start: usize,
    departure: &Departure,
    departures: &[Departure],
    afterwards: &Afterwards,
) -> Vec<Moment> {
    let lowest = departures.first().unwrap_or(departure);
    let wax = followed(grid, WAX_SECONDS[1]);
    let window = window(grid, departure);
    let moment = |(at, rise): (usize, f64)| {
        let sudden = grid.integral(|i| if i > at { 1.0 } else { 0.0 });
        let growing = pull(grid, &wax, wax[at]);
        if at + (16.0 / grid.step).ceil() as usize >= window {
            return None;
        }
        let fit = model.fit(window, &[(&sudden, STEP_SCALE), (&growing, PULL_SCALE)])?;
        let Weighing { share, share_taken, .. } = departures.iter().rev().find(|departure| departure.at <= at).unwrap_or(lowest).weighing;
        let later = afterwards.later(grid.time[at]);
        let place = place_odds(grid.reading[at]) + later.map_or(0.0, |later| 0.7 * later.held_odds());
        let near = later.map_or(0.0, |later| later.near_odds(wax[at]));
        let prior = SHARE_POWER * share + place + near + (rise + STANDSTILL_K).ln();
        Some(Moment { at, log_likelihood: fit.log_likelihood, share, share_taken, place, prior, log_weight: 0.0 })
    };
    let mut moments: Vec<Moment> = rising(grid, lowest.at.max(start + 10)).into_iter().filter_map(moment).collect();
    let best = moments.iter().map(|moment| moment.log_likelihood).fold(f64::NEG_INFINITY, f64::max);
    for moment in &mut moments {
        moment.log_weight = moment.prior - tempered(best - moment.log_likelihood, BETWEEN);
    }
    moments
}

/// The likeliest of them.
pub(super) fn likeliest(moments: &[Moment]) -> Option<&Moment> {
    moments.iter().max_by(|a, b| a.log_weight.total_cmp(&b.log_weight))
}

/// The steps from `from` on at which the valve may begin to open, each with the rise in kelvin that it stands for: the wax follows the coolant
/// from below, so it first reaches its opening while the coolant is about at its highest so far.
fn rising(grid: &Grid, from: usize) -> Vec<(usize, f64)> {
    let mut found = Vec::new();
    let end = grid.len().saturating_sub((20.0 / grid.step).ceil() as usize);
    let mut highest = f64::NEG_INFINITY;
    let mut last: Option<(f64, f64)> = None;
    for (at, (&reading, &time)) in grid.reading.iter().zip(&grid.time).enumerate().take(end) {
        highest = highest.max(reading);
        if at < from || reading < highest - STILL_RISING_K {
            continue;
        }
        let rise = last.map_or(APART.0, |(before, _)| highest - before);
        if rise >= APART.0 || last.is_some_and(|(_, then)| time - then >= APART.1) {
            found.push((at, rise));
            last = Some((highest, time));
        }
    }
    found
}
