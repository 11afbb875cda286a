//! The course of a drive over the heat put in: what the warm-up's heat is weighed by, and the common axis of the picture.

use super::Drive;
use crate::channel::Channel;
use crate::run::Trace;

/// Heat beyond the stand-in, as a share of its usual value: friction and idling. Set on made pairs.
const IDLE: f64 = 0.3;

/// Loss, as a share of the usual input, for each kelvin above ambient. Set on made pairs: mostly the heater.
const LOSS: f64 = 0.02;

/// One drive's heat on the common scale.
#[derive(Clone, Debug)]
pub struct Course {
    /// Seconds from the first row, a second apart, from firing to the end of the drive.
    pub time: Vec<f64>,
    /// Heat so far, in minutes at the usual input.
    pub heat: Vec<f64>,
    /// Coolant reading, °C.
    pub reading: Vec<f64>,
    /// Excess over ambient so far, kelvin seconds.
    excess: Vec<f64>,
    /// Seconds with the engine running so far.
    running: Vec<f64>,
}

/// Heat of a part of the rise.
#[derive(Clone, Copy)]
pub(super) struct Part {
    /// Heat per kelvin, in minutes at the usual input.
    pub(super) heat: f64,
    /// Excess over ambient, kelvin seconds per kelvin.
    excess: f64,
    /// How long it took, in seconds of engine running.
    pub(super) seconds: f64,
}

impl Part {
    /// One and the loss's share.
    pub(super) fn with_loss(&self) -> f64 {
        (1.0 + LOSS * self.excess / 60.0 / self.heat).max(0.1)
    }
}

impl Course {
    pub(super) fn of(drive: Drive, raw: &Trace, usual: f64) -> Option<Self> {
        let analysis = drive.analysis;
        let (from, to) = (analysis.phases.fired_s, analysis.phases.drive_end(drive.run));
        let coolant = drive.run.trace(Channel::CoolantTemperature)?.between(from, to);
        let ambient = analysis.ambient.temperature.value;
        let mut course = Self { time: vec![], heat: vec![], reading: vec![], excess: vec![], running: vec![] };
        let (mut heat, mut excess, mut running) = (0.0, 0.0, 0.0);
        let seconds = (to - from).clamp(0.0, 200_000.0) as usize;
        let (mut readings, mut inputs) = (Held::of(&coolant), Held::of(raw));
        for second in 0..=seconds {
            let at = from + second as f64;
            let (reading, input) = (readings.at(at), inputs.at(at));
            let Some(reading) = reading else { continue };
            course.time.push(at);
            course.reading.push(reading);
            course.heat.push(heat);
            course.excess.push(excess);
            course.running.push(running);
            let on = f64::from(u8::from(analysis.phases.is_running(at)));
            running += on;
            excess += reading - ambient;
            heat += on * input.unwrap_or(0.0).max(0.0) / usual / 60.0;
        }
        (!course.time.is_empty()).then_some(course)
    }

    /// Heat put in up to a moment, in minutes at the usual input.
    pub fn heat_at(&self, moment: f64) -> f64 {
        let at = self.time.partition_point(|time| *time < moment).min(self.heat.len().saturating_sub(1));
        self.heat.get(at).copied().unwrap_or(0.0)
    }

    /// The part of the rise between two readings, by their first crossings.
    pub(super) fn part(&self, from: f64, to: f64) -> Option<Part> {
        let crossing = |level: f64| self.reading.iter().position(|reading| *reading >= level);
        let (first, last) = (crossing(from)?, crossing(to)?);
        let over = |sums: &[f64]| Some(sums.get(last)? - sums.get(first)?);
        let (kelvin, seconds) = (to - from, over(&self.running)?);
        let heat = (over(&self.heat)? + IDLE * seconds / 60.0) / kelvin;
        (seconds > 0.0 && heat > 0.0).then_some(Part { heat, excess: over(&self.excess)? / kelvin, seconds })
    }
}

/// Walks along a trace, holding its last reading.
pub(super) struct Held<'a> {
    trace: &'a Trace,
    next: usize,
}

impl<'a> Held<'a> {
    pub(super) fn of(trace: &'a Trace) -> Self {
        Self { trace, next: 0 }
    }

    /// The last reading at or before a moment; moments must rise.
    pub(super) fn at(&mut self, at: f64) -> Option<f64> {
        while self.trace.time.get(self.next).is_some_and(|time| *time <= at) {
            self.next += 1;
        }
        self.next.checked_sub(1).and_then(|last| self.trace.value.get(last)).copied()
    }
}
