//! Whether a run's records can tell that it held air, from truth alone.
//!
//! The run is compared with its twin without the pockets. It is telling if they differ, anywhere in the log,
//!
//! - by more than 1.5 K for 60 s on end in the reading, each difference less its mean over the 300 s around it; or
//! - by more than 6 K for 60 s on end at a heater outlet that is logged; or
//! - by more than three standard deviations of a reading in a level that was noted (or, for 60 s on end, logged).
//!
//! A valve that hunts and a fan that cycles are chaotic: a small pocket can shift their phase, and what differs then is no
//! signature. The definition counts such runs as telling all the same.

use super::Rehearsal;
use super::logger::LEVEL_SENSOR_NOISE;
use super::scenario::Scenario;
use super::simulation::Signal;

/// Where a run and its twin differ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Telling {
    /// In the coolant reading.
    pub reading: bool,
    /// At a logged heater outlet.
    pub heater: bool,
    /// In a noted or logged level.
    pub level: bool,
}

impl Telling {
    /// Anywhere.
    pub fn any(self) -> bool {
        self.reading || self.heater || self.level
    }
}

/// Seconds for which a difference must last.
const LASTING: usize = 60;

/// Whether `differences`, one a second, exceed a limit for a minute on end.
fn lasts(differences: impl Iterator<Item = f64>, limit: f64) -> bool {
    let mut run = 0;
    differences.into_iter().any(|difference| {
        run = if difference.abs() > limit { run + 1 } else { 0 };
        run >= LASTING
    })
}

/// Differences less their mean over the 300 s around each.
fn without_mean(differences: &[f64]) -> Vec<f64> {
    let mut sums = vec![0.0];
    for difference in differences {
        sums.push(sums.last().copied().unwrap_or(0.0) + difference);
    }
    let mean = |at: usize| {
        let (from, to) = (at.saturating_sub(150), (at + 151).min(differences.len()));
        (sums[to] - sums[from]) / (to - from) as f64
    };
    differences.iter().enumerate().map(|(at, difference)| difference - mean(at)).collect()
}

/// Where a made run differs from its twin without air; `scenario` is the run's.
pub fn telling(scenario: &Scenario, run: &Rehearsal, twin: &Rehearsal) -> Telling {
    let begins = scenario.drive.log_begins.clamp(0.0, 1e6).round() as usize;
    let pairs: Vec<(&Signal, &Signal)> = run.signals.iter().zip(&twin.signals).skip(begins).collect();
    let difference = |read: fn(&Signal) -> f64| pairs.iter().map(|(a, b)| read(a) - read(b)).collect::<Vec<f64>>();
    let (logger, notes, tank) = (&scenario.logger, &scenario.notes, &scenario.reservoir);
    // A half-width as a rectangular distribution.
    let deviation = notes.error_mm * tank.per_mm / 3.0f64.sqrt();
    let noted = notes.taken
        && run
            .truth
            .cycles
            .iter()
            .zip(&twin.truth.cycles)
            .any(|(a, b)| (a.hot - b.hot).abs() > 3.0 * deviation || (a.cold_after - b.cold_after).abs() > 3.0 * deviation);
    let logged = logger.level_sensor && lasts(difference(|signal| signal.level).into_iter(), 3.0 * LEVEL_SENSOR_NOISE * tank.total);
    Telling {
        reading: lasts(without_mean(&difference(|signal| signal.reading)).into_iter(), 1.5),
        heater: logger.heater_probe && lasts(difference(|signal| signal.heater_outlet).into_iter(), 6.0),
        level: noted || logged,
    }
}
