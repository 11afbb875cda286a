//! Phases: when did the engine fire, when did it stop, and when was it running in between?
//!
//! Whether the engine runs is read from the first of these channels that the log has: engine speed, fuel rate, air flow,
//! calculated load. Without any of them a long steady cooling at a stand at the end of the log counts as the engine stopped.
//!
//! Limits: a start-stop system's pauses count as stops of the engine but not as key-off: only the last stop with nothing
//! after it ends the drive.

use crate::channel::Channel;
use crate::run::{Run, Trace};

/// Engine speed below which the engine is not running under its own power, rpm. Cranking is 150 to 300 rpm and the slowest
/// idle of a large diesel about 450 (common practice, no source).
const RUNNING_RPM: f64 = 350.0;

/// How far a cooling coolant's reading may rise between two rows, in kelvin: rounding.
const RIPPLE_K: f64 = 1.5;

/// Fall from which a steady cooling at a stand means a stopped engine, in kelvin: a running one stays at its thermostat, give or
/// take its fan.
const PARKED_FALL_K: f64 = 15.0;

/// When the engine ran.
#[derive(Clone, Debug, PartialEq)]
pub struct Phases {
    /// When the engine fired, in seconds from the first row; 0 if it was running already.
    pub fired_s: f64,
    /// When the engine was last stopped, if the log goes on after that.
    pub key_off_s: Option<f64>,
    /// Stretches in which it ran, `[from, to]` in seconds.
    pub running: Vec<[f64; 2]>,
    /// Which channel told; `None` if no channel can tell.
    pub told_by: Option<Channel>,
}

impl Phases {
    /// Finds the phases of a run.
    pub fn of(run: &Run) -> Self {
        let tellers = [(Channel::EngineSpeed, RUNNING_RPM), (Channel::FuelRate, 0.0), (Channel::AirFlow, 0.0), (Channel::EngineLoad, 0.0)];
        let told = tellers.into_iter().find_map(|(channel, above)| {
            let running = stretches(run.trace(channel)?, above, run.duration);
            (!running.is_empty()).then_some((channel, running))
        });
        let Some((channel, running)) = told else {
            let key_off_s = parked_and_cooling(run);
            let running = vec![[0.0, key_off_s.unwrap_or(run.duration)]];
            return Self { fired_s: 0.0, key_off_s, running, told_by: None };
        };
        let fired_s = running.first().map_or(0.0, |first| first[0]);
        let stopped = running.last().map_or(run.duration, |last| last[1]);
        Self { fired_s, key_off_s: (stopped < run.duration).then_some(stopped), running, told_by: Some(channel) }
    }

    /// End of the drive: key-off, or the end of the log.
    pub fn drive_end(&self, run: &Run) -> f64 {
        self.key_off_s.unwrap_or(run.duration)
    }

    /// Whether the engine runs at this moment.
    pub fn is_running(&self, time: f64) -> bool {
        self.running.iter().any(|[from, to]| (*from..=*to).contains(&time))
    }
}

/// Where a log that has no channel of the engine's shows it parked: from there to the end the vehicle stands, and the coolant, once
/// past its hot soak, only falls, by more than a running engine lets it fall at a stand.
fn parked_and_cooling(run: &Run) -> Option<f64> {
    let coolant = run.trace(Channel::CoolantTemperature)?;
    let moved = run.trace(Channel::VehicleSpeed).and_then(|speed| speed.iter().filter(|(_, speed)| *speed > 0.0).last());
    let mut top = f64::NEG_INFINITY;
    let mut stopped = None;
    for (time, reading) in coolant.iter().collect::<Vec<_>>().into_iter().rev() {
        if reading < top - RIPPLE_K || moved.is_some_and(|(moving, _)| time <= moving) {
            break;
        }
        if reading > top {
            (top, stopped) = (reading, Some(time));
        }
    }
    let fall = top - coolant.value.last()?;
    stopped.filter(|_| fall >= PARKED_FALL_K)
}

/// Stretches in which the trace stays above a value. A reading holds until the next one; the last holds to the end of the log.
fn stretches(trace: &Trace, above: f64, duration: f64) -> Vec<[f64; 2]> {
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut since: Option<f64> = None;
    for (time, value) in trace.iter() {
        match (value > above, since) {
            (true, None) => since = Some(time),
            (false, Some(from)) => {
                found.push([from, time]);
                since = None;
            }
            _ => {}
        }
    }
    if let Some(from) = since {
        found.push([from, duration]);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run_with_engine_speed(points: &[(f64, f64)]) -> Run {
        let trace = Trace { time: points.iter().map(|p| p.0).collect(), value: points.iter().map(|p| p.1).collect(), step: 0.0 };
        Run { duration: points.last().map_or(0.0, |p| p.0), traces: [(Channel::EngineSpeed, trace)].into(), ..Run::default() }
    }

    #[test]
    fn rows_before_the_engine_fires_and_after_key_off_are_set_apart() {
        let phases = Phases::of(&run_with_engine_speed(&[(0.0, 0.0), (4.0, 900.0), (600.0, 800.0), (601.0, 0.0), (900.0, 0.0)]));
        assert_eq!(phases.fired_s, 4.0);
        assert_eq!(phases.key_off_s, Some(601.0));
        assert!(phases.is_running(300.0) && !phases.is_running(700.0));
    }

    #[test]
    fn a_pause_in_traffic_is_not_the_end_of_the_drive() {
        let phases = Phases::of(&run_with_engine_speed(&[(0.0, 900.0), (100.0, 0.0), (130.0, 900.0), (600.0, 900.0)]));
        assert_eq!(phases.key_off_s, None);
        assert_eq!(phases.running.len(), 2);
    }
}
