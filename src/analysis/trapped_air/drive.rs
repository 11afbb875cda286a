//! The drive on one clock: what the searches for signs of air look at.

use crate::analysis::heat_input::HeatInput;
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::run::{Run, Trace};

/// Width of a step, in seconds: finer than the changes looked for.
pub const STEP_S: f64 = 1.0;

/// Longest stretch between two readings that counts as known, in seconds: recorders that poll many channels in turn come to 10.
const BRIDGED_S: f64 = 20.0;

/// Most steps looked at: a day's drive.
const MOST_STEPS: usize = 86_400;

/// Coolant and what drives it in even steps while the engine runs.
#[derive(Clone, Debug, Default)]
pub struct Drive {
    /// Seconds from the first row to the first step.
    pub from: f64,
    /// Coolant reading, °C, single odd readings taken out and a mean over five steps taken.
    pub coolant: Vec<f64>,
    /// Whether the reading is known there, or only bridges a gap.
    pub known: Vec<bool>,
    /// Relative heat input.
    pub heat: Vec<f64>,
    /// Road speed, km/h; 0 throughout where it was not logged.
    pub speed: Vec<f64>,
    /// Engine speed, thousands of revolutions a minute; 0 throughout where it was not logged.
    pub revs: Vec<f64>,
}

impl Drive {
    /// The drive of a run; empty without a coolant reading.
    pub fn of(run: &Run, phases: &Phases, heat: &HeatInput) -> Self {
        let Some(coolant) = run.trace(Channel::CoolantTemperature) else { return Self::default() };
        let (from, to) = (phases.fired_s, phases.drive_end(run));
        let steps = (((to - from) / STEP_S).max(0.0) as usize).min(MOST_STEPS);
        let calm = without_odd_readings(&coolant.between(from, to));
        if calm.is_empty() {
            return Self::default();
        }
        let (coolant, known): (Vec<f64>, Vec<bool>) = laid_out(&calm, from, steps).into_iter().unzip();
        let of = |channel: Channel, scale: f64| match run.trace(channel).filter(|trace| !trace.is_empty()) {
            Some(trace) => laid_out(trace, from, steps).into_iter().map(|(value, _)| scale * value).collect(),
            None => vec![0.0; steps],
        };
        Self {
            from,
            coolant: mean_of_five(&coolant),
            known,
            heat: (0..steps).map(|i| heat.at(from + i as f64 * STEP_S, phases)).collect(),
            speed: of(Channel::VehicleSpeed, 1.0),
            revs: of(Channel::EngineSpeed, 0.001),
        }
    }

    /// How many steps the drive has.
    pub fn len(&self) -> usize {
        self.coolant.len()
    }

    /// Whether the drive has no steps.
    pub fn is_empty(&self) -> bool {
        self.coolant.is_empty()
    }

    /// Time of a step, in seconds from the first row.
    pub fn time(&self, step: usize) -> f64 {
        self.from + step as f64 * STEP_S
    }

    /// The step at a time, between none and all of them.
    pub fn step(&self, time: f64) -> usize {
        (((time - self.from) / STEP_S).max(0.0) as usize).min(self.len())
    }
}

/// A trace, which is not empty, by straight lines between its readings, each step with whether readings lie close enough about it.
fn laid_out(trace: &Trace, from: f64, steps: usize) -> Vec<(f64, bool)> {
    let mut next = 0usize;
    (0..steps)
        .map(|i| {
            let time = from + i as f64 * STEP_S;
            while trace.time.get(next).is_some_and(|&t| t <= time) {
                next += 1;
            }
            let before = next.checked_sub(1).map(|at| (trace.time[at], trace.value[at]));
            let after = trace.time.get(next).map(|&t| (t, trace.value[next]));
            match (before, after) {
                (Some((t0, v0)), Some((t1, v1))) => (v0 + (v1 - v0) * (time - t0) / (t1 - t0), t1 - t0 <= BRIDGED_S),
                (Some((t, v)), None) | (None, Some((t, v))) => (v, (time - t).abs() <= BRIDGED_S),
                (None, None) => (0.0, false),
            }
        })
        .collect()
}

/// Median of each reading and its two neighbours: a loose plug's single spike is no vapour.
fn without_odd_readings(trace: &Trace) -> Trace {
    let values = &trace.value;
    let middle = |i: usize| {
        if i == 0 || i + 1 >= values.len() {
            return values[i];
        }
        let (a, b, c) = (values[i - 1], values[i], values[i + 1]);
        a.min(b).max(a.max(b).min(c))
    };
    Trace { time: trace.time.clone(), value: (0..values.len()).map(middle).collect(), step: trace.step }
}

/// Mean of each value and its two neighbours on each side: rounding to a whole degree leaves a third of itself.
fn mean_of_five(values: &[f64]) -> Vec<f64> {
    let mean = |i: usize| {
        let about = &values[i.saturating_sub(2)..(i + 3).min(values.len())];
        about.iter().sum::<f64>() / about.len() as f64
    };
    (0..values.len()).map(mean).collect()
}
