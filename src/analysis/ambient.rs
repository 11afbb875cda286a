//! Ambient: how warm was the air about the vehicle, and how well is that known?
//!
//! Taken from the first of these that the run has: the ambient channel (its median while moving, else over the drive); the notes
//! beside the level readings; the intake air in the first rows of a cold start, before the engine bay warms; the coolant itself
//! at a cold start; and otherwise 15 °C with an uncertainty that covers most weather.
//!
//! Limits: one number for the whole run; an ambient sensor behind a bumper reads some kelvin high when standing.

use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::Run;

/// Coolant reading below which a start can be a cold-soaked one, °C: warmer than any shade.
const COLD_START_C: f64 = 45.0;

/// Where the ambient temperature was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// The ambient channel.
    Channel,
    /// The level notes.
    Notes,
    /// Intake air in the first rows of a cold start.
    Intake,
    /// Coolant in the first rows of a cold start.
    Coolant,
    /// Nothing in the run: assumed.
    Assumed,
}

impl Source {
    /// Where it came from, in words.
    pub fn spoken(self) -> &'static str {
        match self {
            Source::Channel => "the ambient sensor",
            Source::Notes => "the notes",
            Source::Intake => "the intake air at the cold start",
            Source::Coolant => "the coolant at the cold start",
            Source::Assumed => "an assumption: nothing in the log tells",
        }
    }
}

/// Ambient air temperature of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ambient {
    /// Temperature, °C.
    pub temperature: Estimate,
    /// Where it was taken from.
    pub source: Source,
}

impl Ambient {
    /// Takes the best figure that the run has.
    pub fn of(run: &Run, phases: &Phases) -> Self {
        let degrees = |value: f64, u: f64, source: Source| Self { temperature: Estimate::normal(value, u, Unit::Celsius), source };
        if let Some(trace) = run.trace(Channel::AmbientTemperature)
            && let Some(median) = robust::median(&trace.value)
        {
            return degrees(median, 1.5, Source::Channel);
        }
        let noted: Vec<f64> = run.levels.iter().filter_map(|note| note.ambient).collect();
        if let Some(median) = robust::median(&noted) {
            return degrees(median, 2.5, Source::Notes);
        }
        let first = |channel: Channel| {
            run.trace(channel)
                .and_then(|trace| robust::median(&trace.between(0.0, phases.fired_s + 5.0).value).or(trace.value.first().copied()))
        };
        let coolant = first(Channel::CoolantTemperature).filter(|reading| *reading <= COLD_START_C);
        match (first(Channel::IntakeAirTemperature), coolant) {
            // A cold-soaked engine has its intake at the temperature of the air; a warm one heats it.
            (Some(intake), Some(coolant)) if (intake - coolant).abs() <= 6.0 => degrees(intake.min(coolant), 2.0, Source::Intake),
            (Some(intake), _) if intake <= COLD_START_C => degrees(intake - 2.0, 5.0, Source::Intake),
            (_, Some(coolant)) => degrees(coolant - 2.0, 5.0, Source::Coolant),
            _ => degrees(15.0, 12.0, Source::Assumed),
        }
    }
}
