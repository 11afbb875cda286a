//! The valve as the scans need it: wax that follows the reading, what an open valve takes away, and the level that it then holds.

use crate::analysis::warm_up_model::Grid;
use crate::numeric::robust;
use crate::run::Trace;

/// Widest lift over which the valve takes more as the reading rises, in kelvin: full lift comes 10 to 15 K above the rating (memory).
const FULL_LIFT_K: f64 = 15.0;

/// Readings kept of a drive for finding the level that it holds.
const LEVEL_SAMPLES: usize = 400;

/// How far above its first lift an open valve lets the reading climb under load, in kelvin (full lift: memory).
const CLIMB_K: f64 = 9.0;

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

/// The level that a drive holds after a moment: the median reading from a minute after it to the end of the drive, where
/// there is a minute of it. The drive is thinned to [`LEVEL_SAMPLES`] readings.
pub(super) struct HeldLevel {
    time: Vec<f64>,
    reading: Vec<f64>,
}

impl HeldLevel {
    pub(super) fn of(drive: &Trace) -> Self {
        let every = drive.len().div_ceil(LEVEL_SAMPLES).max(1);
        let (time, reading) = drive.iter().step_by(every).unzip();
        Self { time, reading }
    }

    /// The level and how far up the drive goes later: the median and the 85 % point.
    pub(super) fn after(&self, moment: f64) -> Option<(f64, f64)> {
        let from = self.time.partition_point(|&time| time < moment + 60.0);
        let long_enough = self.time.last().is_some_and(|last| last - moment >= 120.0);
        let later = self.reading.get(from..).filter(|_| long_enough)?;
        robust::median(later).zip(robust::quantile(later, 0.85))
    }
}

/// Log odds from what the reading does afterwards. A valve regulates a little above the wax temperature at which it begins to lift, 1.5 K
/// with a heavy-tailed half-width of 2 K, and even a climb lifts it no more than the valve's full lift above: a break that the rise
/// later leaves far behind is no knee.
pub(super) fn level_odds(wax: f64, later: Option<(f64, f64)>) -> f64 {
    later.map_or(0.0, |(level, top)| {
        let held = -2.0 * (1.0 + ((level - wax - 1.5) / 2.0).powi(2)).ln();
        let left_behind = ((top - wax - CLIMB_K) / 4.0).clamp(0.0, 4.0);
        held - left_behind.powi(2)
    })
}
