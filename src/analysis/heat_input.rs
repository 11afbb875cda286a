//! Heat input: how hard was the engine burning fuel, moment by moment?
//!
//! Heat to the coolant follows fuel burnt. The log seldom has fuel itself, so the best stand-in that it does have is taken, in
//! this order:
//!
//! 1. fuel rate;
//! 2. air flow, on a spark-ignition engine: it runs stoichiometric, so air is proportional to fuel. A diesel runs lean (from
//!    memory), and an engine whose fuel is not stated may be one;
//! 3. calculated load × engine speed;
//! 4. manifold pressure × engine speed;
//! 5. air flow on an engine that may be a diesel;
//! 6. engine speed;
//! 7. vehicle speed;
//! 8. nothing but the engine running.
//!
//! What is returned is relative: 1 is the median while the engine runs. Whatever the stand-in, the warm-up model adds an idle
//! term of its own, because heat rises less than in proportion to fuel (from memory).
//!
//! Limits: no account of ignition timing, of particle-filter regeneration or of an auxiliary heater.

use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::numeric::robust;
use crate::run::{Run, Trace};
use crate::vehicle::Fuel;

/// What stands for heat in this log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// Fuel rate.
    FuelRate,
    /// Air flow.
    AirFlow,
    /// Calculated load × engine speed.
    LoadTimesSpeed,
    /// Manifold pressure × engine speed.
    PressureTimesSpeed,
    /// Engine speed alone.
    EngineSpeed,
    /// Vehicle speed alone.
    VehicleSpeed,
    /// Nothing: the engine runs or it does not.
    RunningOnly,
}

impl Source {
    /// The stand-in as people say it.
    pub fn spoken(self) -> &'static str {
        match self {
            Source::FuelRate => "fuel rate",
            Source::AirFlow => "air flow",
            Source::LoadTimesSpeed => "load × engine speed",
            Source::PressureTimesSpeed => "manifold pressure × engine speed",
            Source::EngineSpeed => "engine speed alone",
            Source::VehicleSpeed => "vehicle speed alone",
            Source::RunningOnly => "nothing but the engine running",
        }
    }
}

/// Relative heat input of a run.
#[derive(Clone, Debug)]
pub struct HeatInput {
    /// What it was taken from.
    pub source: Source,
    /// Relative heat input: 1 is the median while the engine runs, 0 while it stands. Empty if nothing stands for it.
    pub relative: Trace,
}

impl HeatInput {
    /// Takes the best stand-in that the run has.
    pub fn of(run: &Run, phases: &Phases) -> Self {
        let may_be_lean = !matches!(run.vehicle.fuel, Some(Fuel::Petrol | Fuel::Gas));
        let has = |channel: Channel| run.trace(channel);
        let speed = has(Channel::EngineSpeed);
        let times_speed = |channel: Channel| Some(product(has(channel)?, speed?));
        let candidates: [(Source, &dyn Fn() -> Option<Trace>); 7] = [
            (Source::FuelRate, &|| has(Channel::FuelRate).cloned()),
            (Source::AirFlow, &|| has(Channel::AirFlow).filter(|_| !may_be_lean).cloned()),
            (Source::LoadTimesSpeed, &|| times_speed(Channel::EngineLoad)),
            (Source::PressureTimesSpeed, &|| times_speed(Channel::ManifoldPressure)),
            (Source::AirFlow, &|| has(Channel::AirFlow).cloned()),
            (Source::EngineSpeed, &|| speed.cloned()),
            (Source::VehicleSpeed, &|| has(Channel::VehicleSpeed).cloned()),
        ];
        for (source, trace) in candidates {
            if let Some(relative) = trace().and_then(|trace| relative(trace, phases)) {
                return Self { source, relative };
            }
        }
        Self { source: Source::RunningOnly, relative: Trace::default() }
    }

    /// Relative heat input at a moment: the last reading at or before it, 0 while the engine stands.
    pub fn at(&self, time: f64, phases: &Phases) -> f64 {
        match (phases.is_running(time), self.relative.is_empty()) {
            (false, _) => 0.0,
            (true, true) => 1.0,
            (true, false) => self.relative.at(time).or(self.relative.value.first().copied()).unwrap_or(1.0),
        }
    }
}

/// Product of two traces on the clock of the first: each of its readings times the last of the other's.
fn product(first: &Trace, second: &Trace) -> Trace {
    let pairs = first.iter().filter_map(|(time, value)| second.at(time).map(|other| (time, value * other)));
    let (time, value) = pairs.unzip();
    Trace { time, value, step: 0.0 }
}

/// Scales a trace to a median of 1 while the engine runs; `None` if it is mostly zero there, and so tells nothing.
fn relative(mut trace: Trace, phases: &Phases) -> Option<Trace> {
    let running: Vec<f64> = trace.iter().filter(|(time, _)| phases.is_running(*time)).map(|(_, value)| value.max(0.0)).collect();
    let positive: Vec<f64> = running.iter().copied().filter(|value| *value > 0.0).collect();
    if positive.len() * 4 < running.len() || positive.len() < 10 {
        return None;
    }
    let median = robust::median(&positive)?;
    trace.value.iter_mut().for_each(|value| *value = value.max(0.0) / median);
    Some(trace)
}
