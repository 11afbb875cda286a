//! The valve as the scans need it: wax that follows the reading, what an open valve takes away, and the level that it then holds.

use crate::analysis::warm_up_model::Grid;
use crate::numeric::robust;
use crate::run::Trace;

/// Widest lift over which the valve takes more as the reading rises, in kelvin: full lift comes 10 to 15 K above the rating (memory).
const FULL_LIFT_K: f64 = 15.0;

/// Readings kept of a drive for finding the level that it holds.
const LEVEL_SAMPLES: usize = 400;

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

    pub(super) fn after(&self, moment: f64) -> Option<f64> {
        let from = self.time.partition_point(|&time| time < moment + 60.0);
        let long_enough = self.time.last().is_some_and(|last| last - moment >= 120.0);
        long_enough.then(|| robust::median(&self.reading[from..])).flatten()
    }
}

/// Log odds from the level that the reading holds afterwards: a valve regulates a little above the wax temperature at which it
/// begins to lift, 1.5 K with a heavy-tailed half-width of 2 K (a heavy load or an inlet-side valve lifts it further). A break
/// that the rise later leaves behind is no knee.
pub(super) fn level_odds(wax: f64, level: Option<f64>) -> f64 {
    level.map_or(0.0, |level| -2.0 * (1.0 + ((level - wax - 1.5) / 2.0).powi(2)).ln())
}
