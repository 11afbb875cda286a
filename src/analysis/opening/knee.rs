//! The knee: at which moment does heat begin to be taken away, and at what reading?
//!
//! The moment is scanned about the departure with two columns from it on: a sudden pull, and one that grows with the wax's excess.
//! The interval is read off the likelihood over that moment; it is often lopsided.

use super::departure::{Departure, PULL_SCALE, best, fit_start};
use super::valve::{Afterwards, WAX_SECONDS, followed, level_odds, pull};
use super::{Opening, State};
use crate::analysis::warm_up_model::{Grid, Radiator, WarmUpModel};
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;

/// Scale of the first sudden pull, in K/min, from a rise of 1 to 20 K/min that stops at once.
const STEP_SCALE: f64 = 12.0;

/// How far below its highest so far a reading may lie at the knee, in kelvin: rounding and a ripple.
const STILL_RISING_K: f64 = 1.2;

/// How much later than the model's moment the first lift and the visible knee may stand, as readings: standard uncertainties in kelvin,
/// below and above. The model sees heat being taken away as soon as any is; a lift of 2 %, and more so an eye, may need more: a valve
/// that starts softly, an inlet valve whose water must first pass the engine, an overshoot above the knee. Held against two simulators
/// that share no code, whose truths lie on either side (`docs/detectors/opening.md`).
const LIFT_K: [f64; 2] = [1.1, 1.4];
const KNEE_K: [f64; 2] = [0.3, 0.7];

/// How far the reading rises, most likely, from the model's moment to both, in kelvin.
const LATER_K: f64 = 0.1;

/// Power to which the odds between departures far apart are raised: the model is only nearly true, so its odds count for less than
/// their face value there (a coarsened posterior). Held against made runs.
const TEMPERED: f64 = 0.4;

/// Standard uncertainty of the model's moment of opening beyond its likelihood, in seconds: dead times of flow and sensor.
const MOMENT_S: f64 = 6.0;

/// Places the knee: scans the moment at which heat begins to be taken away, about the coarse departure.
pub(super) fn place(grid: &Grid, departures: &[Departure], afterwards: &Afterwards, reading_step: f64, highest: f64) -> Opening {
    let Some(departure) = best(departures) else {
        return Opening::without_numbers(State::NotReached, highest, None);
    };
    let steps = |seconds: f64| (seconds / grid.step).ceil() as usize;
    let end = (departure.at + steps(120.0)).min(grid.len());
    let start = fit_start(grid, departure.reading);
    let model = WarmUpModel::new(grid, start, Radiator::ShutOff);
    let from = departure.at.saturating_sub(steps(90.0)).max(start + 10);
    let to = (departure.at + steps(75.0)).min(end.saturating_sub(steps(16.0)));
    let wax = followed(grid, WAX_SECONDS[1]);
    let mut profile: Vec<(f64, f64, f64)> = Vec::new();
    let mut highest_so_far = grid.reading[..from].iter().copied().fold(f64::NEG_INFINITY, f64::max);
    for knee in from..to {
        let at_knee = grid.reading[knee];
        highest_so_far = highest_so_far.max(at_knee);
        // The wax follows the coolant from below: it first reaches its opening while the coolant is about at its highest so far.
        if at_knee < highest_so_far - STILL_RISING_K {
            continue;
        }
        let odds = level_odds(wax[knee], afterwards.later(grid.time[knee]));
        let sudden = grid.integral(|i| if i > knee { 1.0 } else { 0.0 });
        let growing = pull(grid, &wax, wax[knee]);
        if let Some(fit) = model.fit(end, &[(&sudden, STEP_SCALE), (&growing, PULL_SCALE)]) {
            profile.push((grid.time[knee], at_knee, fit.log_likelihood + odds));
        }
    }
    let likeliest = profile.iter().map(|p| p.2).fold(f64::NEG_INFINITY, f64::max);
    let mut weights: Vec<f64> = profile.iter().map(|p| (p.2 - likeliest).exp()).collect();
    let mut times: Vec<f64> = profile.iter().map(|p| p.0).collect();
    let mut readings: Vec<f64> = profile.iter().map(|p| p.1).collect();
    let here: f64 = weights.iter().sum();
    let standing = |other: &Departure| (TEMPERED * (other.weighing.total() - departure.weighing.total())).exp();
    let (inside, outside): (Vec<&Departure>, Vec<&Departure>) = departures.iter().partition(|other| (from..to).contains(&other.at));
    let share = here / inside.into_iter().map(standing).sum::<f64>().max(1.0);
    for other in outside {
        times.push(grid.time[other.at]);
        readings.push(grid.reading[other.at]);
        weights.push(share * standing(other));
    }
    let weighing = Some(departure.weighing);
    let (Some(time), Some(temperature)) = (
        posterior(&times, &weights, grid.step / 2.0, Unit::Second),
        posterior(&readings, &weights, reading_step.hypot(0.3) * 0.35, Unit::Celsius).map(|t| t.shifted(0.25 * reading_step)),
    ) else {
        return Opening {
            weighing,
            ..Opening::without_numbers(State::NotObservable, highest, Some("the readings about the opening are too few"))
        };
    };
    let rate = rate_before(grid, time.value);
    let reading = temperature.shifted(LATER_K);
    let moment = time.shifted(LATER_K / rate).widened(MOMENT_S);
    let [lift, knee] = [LIFT_K, KNEE_K];
    Opening {
        state: State::Opened,
        temperature: Some(reading.widened_unevenly(lift[0], lift[1])),
        time: Some(moment.widened_unevenly(lift[0] / rate, lift[1] / rate)),
        knee_temperature: Some(reading.widened_unevenly(knee[0], knee[1])),
        knee_time: Some(moment.widened_unevenly(knee[0] / rate, knee[1] / rate)),
        rise_before: rate,
        weighing,
        highest,
        because: None,
    }
}

/// Median and 95 % interval of a quantity under weights, widened by an independent standard uncertainty.
fn posterior(values: &[f64], weights: &[f64], more: f64, unit: Unit) -> Option<Estimate> {
    let total: f64 = weights.iter().sum();
    let median = robust::weighted_quantile(values, weights, 0.5)?;
    let variance = values.iter().zip(weights).map(|(v, w)| (v - median).powi(2) * w).sum::<f64>() / total;
    let low = robust::weighted_quantile(values, weights, 0.025)?;
    let high = robust::weighted_quantile(values, weights, 0.975)?;
    let estimate =
        Estimate { value: median, standard_uncertainty: variance.sqrt(), interval_95: [low.min(median), high.max(median)], unit };
    variance.is_finite().then(|| estimate.widened(more))
}

/// Rise of the reading over the minute before a moment, in K/s, and at least 0.5 K/min.
fn rate_before(grid: &Grid, time: f64) -> f64 {
    let at = grid.time.partition_point(|&t| t < time).min(grid.len() - 1);
    let before = at.saturating_sub((60.0 / grid.step).ceil() as usize);
    let seconds = (at - before).max(1) as f64 * grid.step;
    ((grid.reading[at] - grid.reading[before]) / seconds).max(0.5 / 60.0)
}
