//! The valve as the scans need it: wax that follows the reading, what an open valve takes away, and the level that it then holds.

use crate::analysis::heat_input::HeatInput;
use crate::analysis::phases::Phases;
use crate::analysis::warm_up_model::Grid;
use crate::numeric::robust;
use crate::run::Trace;

/// Widest lift over which the valve takes more as the reading rises, in kelvin: full lift comes 10 to 15 K above the rating (memory).
const FULL_LIFT_K: f64 = 15.0;

/// Readings kept of a drive for finding the level that it holds.
const LEVEL_SAMPLES: usize = 400;

/// How far above its first lift an open valve lets the reading climb under load, in kelvin (full lift: memory).
const CLIMB_K: f64 = 9.0;

/// Spread within which a reading counts as held, in kelvin: the band of a valve with its hysteresis.
const HELD_K: f64 = 6.0;

/// How fast the wax follows the reading, in seconds: time constants of 10 to 40 s (memory).
pub(super) const WAX_SECONDS: [f64; 2] = [8.0, 25.0];

/// The reading as the wax follows it, low-passed over `seconds`.
pub(super) fn followed(grid: &Grid, seconds: f64) -> Vec<f64> {
    let keep = (-grid.step / seconds).exp();
    let mut wax = grid.reading.first().copied().unwrap_or(0.0);
    let follow = |reading: &f64| {
        wax = reading + (wax - reading) * keep;
        wax
    };
    grid.reading.iter().map(follow).collect()
}

/// What a valve takes away that begins to lift where its wax passes `opening`, as a level in kelvin for a pull of 1 K/min a kelvin.
pub(super) fn pull(grid: &Grid, wax: &[f64], opening: f64) -> Vec<f64> {
    grid.integral(|i| (wax[i] - opening).clamp(0.0, FULL_LIFT_K))
}

/// What a drive does after a moment: the level it holds, how narrowly, and whether the heat input gave it reason to move. The drive is
/// thinned to [`LEVEL_SAMPLES`] readings.
pub(super) struct Afterwards {
    time: Vec<f64>,
    reading: Vec<f64>,
    /// Relative heat input, averaged over about a minute.
    heat: Vec<f64>,
}

/// The drive from a minute after a moment on.
#[derive(Clone, Copy)]
pub(super) struct Later {
    /// Median reading, °C.
    pub(super) level: f64,
    /// 15 and 85 % points of the reading, °C.
    pub(super) spread: [f64; 2],
    /// How long it lasts, in seconds.
    pub(super) seconds: f64,
    /// How much the heat input varies, as a fraction of its mean.
    pub(super) heat_varies: f64,
}

impl Afterwards {
    pub(super) fn of(drive: &Trace, heat: &HeatInput, phases: &Phases) -> Self {
        let every = drive.len().div_ceil(LEVEL_SAMPLES).max(1);
        let (time, reading): (Vec<f64>, Vec<f64>) = drive.iter().step_by(every).unzip();
        let raw: Vec<f64> = time.iter().map(|&time| heat.at(time, phases)).collect();
        let lasts = time.last().zip(time.first()).map_or(1.0, |(last, first)| (last - first) / time.len() as f64);
        let half = (30.0 / lasts.max(0.1)).ceil() as usize;
        let mean = |i: usize| {
            let part = &raw[i.saturating_sub(half)..(i + half + 1).min(raw.len())];
            part.iter().sum::<f64>() / part.len() as f64
        };
        Self { heat: (0..raw.len()).map(mean).collect(), time, reading }
    }

    /// What comes after a moment; `None` without a minute of it.
    pub(super) fn later(&self, moment: f64) -> Option<Later> {
        let from = self.time.partition_point(|&time| time < moment + 60.0);
        let seconds = self.time.last()? - moment - 60.0;
        let (reading, heat) = (self.reading.get(from..)?, self.heat.get(from..)?);
        let mean = heat.iter().sum::<f64>() / heat.len().max(1) as f64;
        let variance = heat.iter().map(|heat| (heat - mean).powi(2)).sum::<f64>() / heat.len().max(1) as f64;
        let point = |share: f64| robust::quantile(reading, share);
        (seconds >= 60.0).then_some(())?;
        Some(Later { level: point(0.5)?, spread: [point(0.15)?, point(0.85)?], seconds, heat_varies: variance.sqrt() / mean.max(1e-6) })
    }
}

/// Log odds from what the reading does afterwards, for wax that begins to lift at `wax` °C.
///
/// A valve regulates a little above that, 1.5 K with a heavy-tailed half-width of 2 K, and even a climb lifts the reading no more
/// than the valve's full lift above: a break that the rise later leaves far behind is no knee. And a reading that holds for
/// minutes while the heat input varies is held by something: with the valve shut it would follow the heat.
pub(super) fn level_odds(wax: f64, later: Option<Later>) -> f64 {
    later.map_or(0.0, |later| {
        let [_, top] = later.spread;
        let near = -2.0 * (1.0 + ((later.level - wax - 1.5) / 2.0).powi(2)).ln();
        let left_behind = ((top - wax - CLIMB_K) / 4.0).clamp(0.0, 4.0);
        near - left_behind.powi(2) + later.held_odds()
    })
}

impl Later {
    /// Log odds between moments from the level, for wax that begins to lift at `wax` °C: a valve regulates a little above that, 2.8 K with a
    /// heavy-tailed half-width of 3.2 K. Held against made runs.
    pub(super) fn near_odds(&self, wax: f64) -> f64 {
        -0.8 * (1.0 + ((self.level - wax - 2.8) / 3.2).powi(2)).ln()
    }

    /// Log odds from a reading that holds for minutes while the heat input varies: with the valve shut it would follow the heat.
    pub(super) fn held_odds(&self) -> f64 {
        let [bottom, top] = self.spread;
        let narrow = (-((top - bottom) / HELD_K).powi(2)).exp();
        (self.seconds / 240.0).min(4.0) * narrow * (self.heat_varies / 0.3).min(1.0)
    }
}
