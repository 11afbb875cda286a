//! Gulps: steps down in a level that was logged while driving.
//!
//! As a pocket leaves the circuit its gas comes up in the tank and coolant takes its place: the level falls within seconds and stays
//! down. Around it the level trends with the coolant's growth and sloshes.
//!
//! ```text
//! level = line in time + step at t₀ + slosh · acceleration + noise          in a window about each t₀
//! ```
//!
//! The readings are thinned to medians, what follows the vehicle's acceleration is taken out over the whole stretch, and a step is fitted
//! about every one of them, which is itself left out: a fall takes seconds. Noise is that of steps fitted everywhere: robust, so that a few gulps do not hide themselves, and
//! from both signs, so that slow sloshing which looks like steps raises it. A gulp is a fall beyond what the largest of so many
//! independent steps would be by chance in one log of a hundred.
//!
//! Limits: a gulp smaller than the sloshing is not seen, two within a window may be counted as one, and cornering is not in any
//! channel. The unit of a logged level is not known; it is inferred where the tank's size allows only one, and else the volume stays unknown.

use crate::channel::Channel;
use crate::estimate::{Estimate, Unit, student_quantile};
use crate::numeric::least_squares::Normal;
use crate::numeric::robust;
use crate::run::{Run, Trace};
use crate::vehicle::Reservoir;

/// Width of a thinned reading, in seconds, where the log is not slower.
const WIDTH_S: f64 = 5.0;

/// Thinned readings on either side of a step.
const SIDE: usize = 6;

/// Logs without any gulp in which one is found by chance.
const FALSE_ALARM: f64 = 0.01;

/// Fewest thinned readings that tell what noise is.
const FEWEST: usize = 6 * SIDE;

/// Standard uncertainty of the scale as a share (own choice).
const SCALE_SHARE: f64 = 0.04;

/// A step down of the level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gulp {
    /// Between which moments it fell, in seconds from the first row.
    pub at_s: [f64; 2],
    /// How far, in the channel's own unit.
    pub fall: Estimate,
    /// Coolant that went in, mL; `None` where the channel's unit is not known.
    pub volume: Option<Estimate>,
}

/// Steps down of the logged level between two moments (from the valve's opening to the end of the drive); `None` where the level
/// was not logged, or too shortly to tell steps from sloshing.
pub fn gulps(run: &Run, from_s: f64, to_s: f64) -> Option<Vec<Gulp>> {
    let level = run.trace(Channel::ReservoirLevel)?.between(from_s, to_s);
    let thin = thinned(&level);
    if thin.len() < FEWEST {
        return None;
    }
    let calm = without_slosh(&thin, run.trace(Channel::VehicleSpeed));
    let steps: Vec<Option<f64>> = (0..calm.len()).map(|at| step(&calm, at)).collect();
    let known: Vec<f64> = steps.iter().flatten().copied().collect();
    // No step is smaller than what the channel's own steps leave after a mean over a side.
    let least = level.step / (12.0 * SIDE as f64).sqrt();
    let noise = robust::spread(&known)?.max(least);
    if noise.is_nan() || noise <= 0.0 {
        return None;
    }
    let independent = (known.len() as f64 / 2.0).max(1.0);
    // The noise itself is known only as well as windows that do not overlap tell it.
    let windows = known.len() as f64 / (2 * SIDE) as f64;
    let limit = noise * student_quantile(1.0 - FALSE_ALARM / independent, windows);
    let scale = millilitres_per_unit(&level, &run.vehicle.reservoir);
    Some(falls(&calm, &steps, limit).into_iter().map(|(at_s, fall)| gulp(at_s, fall, noise, scale)).collect())
}

fn gulp(at_s: [f64; 2], fall: f64, noise: f64, scale: Option<f64>) -> Gulp {
    let volume = scale.map(|scale| Estimate::normal(fall * scale, (noise * scale).hypot(SCALE_SHARE * fall * scale), Unit::Millilitre));
    Gulp { at_s, fall: Estimate::normal(fall, noise, Unit::One), volume }
}

/// Falls beyond the limit, each the deepest within a window.
fn falls(calm: &Trace, steps: &[Option<f64>], limit: f64) -> Vec<([f64; 2], f64)> {
    let depth = |at: usize| steps.get(at).copied().flatten().map_or(0.0, |step| -step);
    (0..steps.len())
        .filter(|&at| {
            let near = at.saturating_sub(SIDE)..=at + SIDE;
            depth(at) > limit && near.clone().all(|other| depth(other) < depth(at) || (depth(other) == depth(at) && other >= at))
        })
        .filter_map(|at| Some(([*calm.time.get(at.checked_sub(1)?)?, *calm.time.get(at + 1)?], depth(at))))
        .collect()
}

/// Step about thinned reading `at`, by a line in time with a step over a window without that reading; `None` near the ends and over gaps.
fn step(calm: &Trace, at: usize) -> Option<f64> {
    let window = at.checked_sub(SIDE)?..at + 1 + SIDE;
    let (time, value) = (calm.time.get(window.clone())?, calm.value.get(window)?);
    let (first, last) = (*time.first()?, *time.last()?);
    if last - first > 3.0 * WIDTH_S * 2.0 * SIDE as f64 {
        return None;
    }
    let middle = (first + last) / 2.0;
    let mut normal = Normal::new(3);
    for (index, (time, value)) in time.iter().zip(value).enumerate().filter(|(index, _)| *index != SIDE) {
        normal.add(&[1.0, (time - middle) / (last - first), if index < SIDE { 0.0 } else { 1.0 }], *value, 1.0);
    }
    normal.solve()?.coefficients.get(2).copied()
}

/// The level without what follows the vehicle's acceleration, by least squares of differences on differences.
fn without_slosh(thin: &Trace, speed: Option<&Trace>) -> Trace {
    let Some(speed) = speed else { return thin.clone() };
    let acceleration: Vec<f64> = thin
        .time
        .iter()
        .map(|time| match (speed.at(time - WIDTH_S / 2.0), speed.at(time + WIDTH_S / 2.0)) {
            (Some(before), Some(after)) => (after - before) / WIDTH_S,
            _ => 0.0,
        })
        .collect();
    let (mut products, mut squares) = (Vec::new(), 0.0);
    for (level, acceleration) in thin.value.windows(2).zip(acceleration.windows(2)) {
        let change = acceleration[1] - acceleration[0];
        if change.abs() > 0.2 {
            // A slope a pair, later weighed by its square: a median keeps gulps out of it.
            products.push(((level[1] - level[0]) / change, change * change));
            squares += change * change;
        }
    }
    let (slopes, weights): (Vec<f64>, Vec<f64>) = products.into_iter().unzip();
    let slope =
        if slopes.len() >= FEWEST && squares > 0.0 { robust::weighted_quantile(&slopes, &weights, 0.5).unwrap_or(0.0) } else { 0.0 };
    let value = thin.value.iter().zip(&acceleration).map(|(level, acceleration)| level - slope * acceleration).collect();
    Trace { time: thin.time.clone(), value, step: thin.step }
}

/// Medians over steps of time that hold a reading.
fn thinned(trace: &Trace) -> Trace {
    let rows: Vec<(f64, f64)> = trace.iter().collect();
    let mut thin = Trace { step: trace.step, ..Trace::default() };
    for group in rows.chunk_by(|a, b| (a.0 / WIDTH_S).floor() == (b.0 / WIDTH_S).floor()) {
        let values: Vec<f64> = group.iter().map(|row| row.1).collect();
        if let Some(median) = robust::median(&values) {
            thin.time.push(group.iter().map(|row| row.0).sum::<f64>() / group.len() as f64);
            thin.value.push(median);
        }
    }
    thin
}

/// Millilitres of one unit of the channel; `None` where more than one unit is possible.
///
/// More than [`HIGHEST_MM`] is a volume. Less than a hundred is per cent or millimetres: per cent where the file states the tank but not its
/// millimetre, millimetres where it is the other way about.
fn millilitres_per_unit(level: &Trace, reservoir: &Reservoir) -> Option<f64> {
    /// Tallest tank, in mm (own choice).
    const HIGHEST_MM: f64 = 300.0;
    let middle = robust::median(&level.value)?;
    let highest = level.value.iter().copied().fold(0.0, f64::max);
    if middle > HIGHEST_MM {
        return Some(1.0);
    }
    match (reservoir.total, reservoir.millilitres_per_mm) {
        (Some(total), None) if highest <= 100.0 => Some(total.millilitres() / 100.0),
        (None, Some(per_mm)) => Some(per_mm),
        _ => None,
    }
}
