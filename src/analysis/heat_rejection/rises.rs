//! Rises: how far does the reading stand, for a minute or more, above the level at which the valve begins to hold?
//!
//! The level is the knee where the log has one, else what the reading exceeds for three quarters of the time at road speed. A
//! rise is the highest mean over `SUSTAINED_S` within one stretch, less that level; rounding adds 0.3 steps to the level's
//! uncertainty.
//!
//! Limits: without a knee and without a drive at road speed the level is known to a dozen kelvin only.

use super::fan_cycles;
use crate::analysis::opening::Opening;
use crate::analysis::reported_degrees;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::{Run, Trace};

/// Length of the mean that counts as sustained, in seconds: half a fan cycle or more, longer than an overtaking, short enough for
/// a reading that runs away.
pub(super) const SUSTAINED_S: f64 = 60.0;

/// Standard uncertainty of the level where the log has no knee, in kelvin, when it is what the reading exceeds for three quarters
/// of the time: at road speed the valve's travel under ordinary load blurs it, at standstill it may lie anywhere between the
/// valve's level and the fan's (our own choice).
const LEVEL_DRIVEN_U: f64 = 3.5;
const LEVEL_STANDING_U: f64 = 6.0;

/// Lowest level that a valve holds, °C: the lowest rating in common use (memory). A reading that stays below it shows a valve
/// that does not shut, and no level.
const LOWEST_LEVEL_C: f64 = 76.0;

/// Road speed from which the air of the road counts, km/h.
const MOVING_KMH: f64 = 30.0;

/// Driving from which the level is taken at road speed, in seconds.
const LEAST_DRIVEN_S: f64 = 120.0;

/// Stretches at road speed: the gaps between those in which the vehicle is slow, cut to where it is faster than `MOVING_KMH` in
/// the mean.
pub(super) fn moving_stretches(run: &Run, from: f64, to: f64) -> Vec<[f64; 2]> {
    let Some(speed) = run.trace(Channel::VehicleSpeed) else { return Vec::new() };
    let slow = fan_cycles::slow_stretches(run, from, to);
    let edges: Vec<f64> = std::iter::once(from).chain(slow.iter().flatten().copied()).chain(std::iter::once(to)).collect();
    let mean = |from: f64, to: f64| robust::median(&speed.between(from, to).value).unwrap_or(0.0);
    edges.chunks_exact(2).map(|pair| [pair[0], pair[1]]).filter(|[from, to]| to - from >= 20.0 && mean(*from, *to) >= MOVING_KMH).collect()
}

/// The level at which the valve begins to hold: the knee, else what the reading seldom falls below at road speed (or at all).
pub(super) fn level(drive: &Trace, opening: &Opening, moving: &[[f64; 2]]) -> Option<Estimate> {
    let excess = reported_degrees::mean_excess(drive.step);
    if let Some(knee) = opening.knee_temperature {
        return Some(knee.shifted(excess));
    }
    let at_speed: Vec<f64> = moving.iter().flat_map(|[from, to]| drive.between(*from, *to).value).collect();
    let driven: f64 = moving.iter().map(|[from, to]| to - from).sum();
    let (readings, u) = if driven >= LEAST_DRIVEN_S { (&at_speed, LEVEL_DRIVEN_U) } else { (&drive.value, LEVEL_STANDING_U) };
    robust::quantile(readings, 0.25).map(|reading| Estimate::normal((reading + excess).max(LOWEST_LEVEL_C), u, Unit::Celsius))
}

/// Highest sustained mean within the stretches, above the level.
pub(super) fn above(drive: &Trace, stretches: &[[f64; 2]], level: &Estimate) -> Option<Estimate> {
    let seen: f64 = stretches.iter().map(|[from, to]| to - from).sum();
    let highest = stretches.iter().filter_map(|[from, to]| highest_mean(&drive.between(*from, *to))).max_by(f64::total_cmp);
    // No stretch as long as the mean: what short ones reach bounds it from above, so their whole does.
    let highest = highest.or_else(|| {
        let readings: Vec<f64> = stretches.iter().flat_map(|[from, to]| drive.between(*from, *to).value).collect();
        robust::quantile(&readings, 0.9)
    })?;
    (seen >= SUSTAINED_S).then_some(())?;
    let reading = highest + reported_degrees::mean_excess(drive.step);
    let u = (0.3 * drive.step).hypot(level.standard_uncertainty);
    Some(Estimate::normal(reading - level.value, u, Unit::Kelvin))
}

/// Highest mean over `SUSTAINED_S` in one stretch; `None` if it is shorter.
fn highest_mean(stretch: &Trace) -> Option<f64> {
    let (mut first, mut sum, mut best) = (0, 0.0, None::<f64>);
    let begins = *stretch.time.first()?;
    for (i, (time, value)) in stretch.iter().enumerate() {
        sum += value;
        while stretch.time[first] < time - SUSTAINED_S {
            sum -= stretch.value[first];
            first += 1;
        }
        if time - begins >= SUSTAINED_S {
            let mean = sum / (i + 1 - first) as f64;
            best = Some(best.map_or(mean, |best| best.max(mean)));
        }
    }
    best
}
