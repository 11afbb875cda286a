//! Which stretch of the log shows the engine cooling down.
//!
//! A stretch begins where the engine stops and ends where it fires again or the log ends. A recorder that was off for hours writes the
//! last running row and the first row of the next morning next to each other; the stop is then taken to be at the last row before
//! the hole. Should the engine have run on unrecorded, it had less time to cool than this reckons with, so the time constant comes
//! out long and every moment late.
//!
//! Readings are those of the log less the offset that the owner states for the sensor.
//!
//! Limits: a log without engine speed, fuel rate, air flow or load cannot tell a stop from a descent, and gives no stretch.

use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::run::{Run, Trace};

/// A hole in the coolant's readings longer than this, in seconds, hides when the engine stopped.
const HOLE_S: f64 = 300.0;

/// Readings after the engine stopped.
#[derive(Clone, Debug)]
pub struct Record {
    /// When the engine stopped, in seconds from the first row; the first row if it was off already.
    pub stopped_s: f64,
    /// The last reading before the stop, with its time; `None` if the log begins after it.
    pub before: Option<(f64, f64)>,
    /// Coolant readings from the stop on.
    pub readings: Trace,
    /// Whether the engine fires again in this log.
    pub runs_again: bool,
}

impl Record {
    /// Every stretch with the engine off: the last one first, then earlier ones from the longest to the shortest.
    pub fn all(run: &Run, phases: &Phases) -> Vec<Self> {
        let Some(mut coolant) = run.trace(Channel::CoolantTemperature).cloned() else { return Vec::new() };
        let offset = run.vehicle.sensor_offset.kelvin();
        coolant.value.iter_mut().for_each(|reading| *reading -= offset);
        let coolant = &coolant;
        let end = run.duration.max(coolant.time.last().copied().unwrap_or(0.0));
        let tellers = [Channel::EngineSpeed, Channel::FuelRate, Channel::AirFlow, Channel::EngineLoad];
        if phases.told_by.is_none() {
            let engine_never_ran = tellers.into_iter().any(|channel| run.trace(channel).is_some());
            return if engine_never_ran { vec![Self::cut(coolant, 0.0, end, false, false)] } else { Vec::new() };
        }
        let starts: Vec<f64> = phases.running.iter().map(|stretch| stretch[0]).collect();
        let mut found = vec![Self::cut(coolant, 0.0, starts.first().copied().unwrap_or(0.0), false, true)];
        for (index, stretch) in phases.running.iter().enumerate() {
            let next = starts.get(index + 1).copied();
            found.push(Self::cut(coolant, stop(coolant, stretch[1]), next.unwrap_or(end), true, next.is_some()));
        }
        let length = |record: &Self| record.readings.time.last().map_or(0.0, |last| last - record.stopped_s);
        found.sort_by(|a, b| a.runs_again.cmp(&b.runs_again).then(length(b).total_cmp(&length(a))));
        found
    }

    fn cut(coolant: &Trace, from: f64, to: f64, ran: bool, runs_again: bool) -> Self {
        let before = coolant.time.partition_point(|&time| time <= from).checked_sub(1).filter(|_| ran);
        let before = before.and_then(|at| Some((*coolant.time.get(at)?, *coolant.value.get(at)?)));
        // The row at which the engine fires still shows the soaked engine, but it belongs to the run.
        let last = if runs_again { to - 1e-6 } else { to };
        Self { stopped_s: from, before, readings: coolant.between(from, last.max(from)), runs_again }
    }
}

/// When the engine stopped: the first row that says so, or the last coolant reading before a long hole that ends there.
fn stop(coolant: &Trace, first_row_off: f64) -> f64 {
    let before = coolant.time.partition_point(|&time| time < first_row_off - 1e-6).checked_sub(1);
    match before.and_then(|at| coolant.time.get(at)) {
        Some(&last) if first_row_off - last > HOLE_S => last,
        _ => first_row_off,
    }
}
