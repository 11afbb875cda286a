//! Warmth: how warm was the circuit, in the mean over its coolant, when a level was read?
//!
//! ```text
//! cold   T̄ = T_air + what is left of the drive's warmth
//! hot    T̄ = T_air + f · (T_sensor − T_air) · exp(−Δt/τ)          Δt from a quarter of an hour after the end of the drive
//! ```
//!
//! The sensor sits in the hottest coolant; radiator, return line and tank are cooler, so that the mean keeps only a share f of the
//! excess. Two fifths of the coolant are out there. With the valve in its band they stand anywhere from a third of the excess to nearly
//! all of it; with the valve shut they are almost cold: see `OPEN_SHARE` and `SHUT_SHARE`. A logged radiator outlet narrows it. For a
//! quarter of an hour the hot metal makes up for what is lost to the air.
//!
//! The air is that of the note, else that of the run. An error in the run's figure is shared by all readings that use it, and mostly
//! drops out of a difference of two cold levels; that is kept apart in [`Warmth::shared_u`].
//!
//! Limits: one mean for the circuit; a sensor that stands in vapour reads low; the clock of the notes and that of the log are taken as
//! one, within a quarter of an hour.

use crate::analysis::ambient::Ambient;
use crate::analysis::cooling_down::CoolingDown;
use crate::analysis::opening::State;
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::numeric::robust;
use crate::run::{LevelReading, NoteTime, Run};
use chrono::{NaiveDateTime, Timelike};

/// Share of the sensor's excess that the circuit's mean has, and its standard uncertainty, with the valve in its band: sixty
/// hundredths of the coolant at 0.95, forty between 0.2 and 0.95, with what the metal adds and the radiator loses in the first minutes (own
/// choice).
const OPEN_SHARE: (f64, f64) = (0.78, 0.10);

/// The same with the valve shut throughout (own choice).
const SHUT_SHARE: (f64, f64) = (0.66, 0.09);

/// The same where the log does not tell.
const UNKNOWN_SHARE: (f64, f64) = (0.74, 0.11);

/// Share of the coolant in radiator, return line and tank, and standard uncertainty (own choice).
const OUTER_COOLANT: (f64, f64) = (0.40, 0.07);

/// Standard uncertainty of the circuit against the air temperature noted beside a cold reading, K: a thermometer or a dashboard, and an
/// engine that lags behind the morning (own choice).
const NOTED_AIR_K: f64 = 1.2;

/// Standard uncertainty of the circuit at a cold start against its first reading, K: the sensor's tolerance and a whole-degree step.
const FIRST_READING_K: f64 = 1.2;

/// By how much the air at one reading may differ from the run's figure, K: day and night (common practice, no source).
const DAY_AND_NIGHT_K: f64 = 3.0;

/// Coolant this far above the air at the start of the log is not cold, K.
const NOT_COLD_K: f64 = 8.0;

/// What is left of the drive's warmth at a "cold after" without a time, and standard uncertainty, K (own choice: five to twelve hours).
const LEFT_OVER_K: (f64, f64) = (0.7, 1.0);

/// Time constants that vehicles have while nothing better is known, in seconds: short, usual, long (common practice, no source).
const TIME_CONSTANTS_S: [f64; 3] = [3600.0, 7200.0, 10_800.0];

/// How long after the end of the drive hot metal keeps the coolant from cooling, in seconds (own choice).
const SOAK_S: f64 = 900.0;

/// From the end of the drive to a hot reading without a time, in seconds, and the longest after which it still belongs to the drive.
const HOT_READING_S: f64 = 300.0;
const LONGEST_TO_HOT_S: f64 = 10_800.0;

/// By how much the two clocks may differ, in seconds.
const CLOCKS_APART_S: f64 = 900.0;

/// Mean temperature of the coolant in the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warmth {
    /// Mean, °C.
    pub celsius: f64,
    /// Standard uncertainty of this reading's own, K.
    pub own_u: f64,
    /// Standard uncertainty of the run's air temperature, K, where it was used; 0 where not.
    pub shared_u: f64,
    /// How much of an error in that air temperature comes through.
    pub air_share: f64,
}

impl Warmth {
    /// Exactly known: the reference of 20 °C.
    pub fn exactly(celsius: f64) -> Self {
        Self { celsius, own_u: 0.0, shared_u: 0.0, air_share: 0.0 }
    }
}

/// What the log tells about the circuit's warmth.
#[derive(Clone, Debug)]
pub struct Drive {
    ambient: Ambient,
    /// Date and time of the end of the drive.
    ended: Option<NaiveDateTime>,
    started: Option<NaiveDateTime>,
    /// First coolant reading, freed from the stated offset.
    first: Option<f64>,
    /// Coolant at the end of the drive, likewise.
    last: Option<f64>,
    /// Share of the excess that the mean has.
    share: (f64, f64),
    /// Time constants: short, likely, long.
    time_constants: [f64; 3],
}

impl Drive {
    /// Reads a run; `valve` is what its log shows of the thermostat.
    pub fn of(run: &Run, phases: &Phases, ambient: &Ambient, valve: State, cooling: &CoolingDown) -> Self {
        let end = phases.drive_end(run);
        let offset = run.vehicle.sensor_offset.kelvin();
        let coolant = run.trace(Channel::CoolantTemperature);
        let median = |channel: Channel, from: f64, to: f64| robust::median(&run.trace(channel)?.between(from, to).value);
        let last = coolant.and_then(|trace| {
            let reading = robust::median(&trace.between(end - 60.0, end + 5.0).value);
            // A log that loses the coolant before the end says nothing about the end.
            reading.or_else(|| trace.time.last().filter(|time| end - **time < 300.0).and(trace.value.last().copied()))
        });
        let moment = |seconds: f64| run.started?.checked_add_signed(chrono::TimeDelta::try_milliseconds((seconds * 1000.0) as i64)?);
        let constants = match &cooling.time_constant {
            Some(constant) => [constant.interval_95[0].max(600.0), constant.value, constant.interval_95[1]],
            None => TIME_CONSTANTS_S,
        };
        let radiator = median(Channel::RadiatorOutletTemperature, end - 60.0, end + 5.0);
        Self {
            ambient: *ambient,
            ended: moment(end),
            started: run.started,
            first: coolant.and_then(|trace| trace.value.first()).map(|reading| reading - offset),
            last: last.map(|reading| reading - offset),
            share: share(valve, radiator.zip(last), ambient.temperature.value),
            time_constants: constants,
        }
    }

    /// Seconds from the end of the drive to the note; `None` where either lacks its time. A time of day counts within the day
    /// that begins three hours before the end.
    pub fn after_end(&self, note: &LevelReading) -> Option<f64> {
        let ended = self.ended?;
        match note.time {
            NoteTime::Full(moment) => Some((moment - ended).num_milliseconds() as f64 / 1000.0),
            NoteTime::OfDay(clock) => {
                let seconds = f64::from(clock.num_seconds_from_midnight()) - f64::from(ended.num_seconds_from_midnight());
                Some((seconds + LONGEST_TO_HOT_S).rem_euclid(86_400.0) - LONGEST_TO_HOT_S)
            }
            NoteTime::Order => None,
        }
    }

    /// Whether a hot reading can be this drive's: by its time, or because it has none.
    pub fn owns_hot(&self, note: &LevelReading) -> bool {
        self.after_end(note).is_none_or(|after| (-CLOCKS_APART_S..=LONGEST_TO_HOT_S).contains(&after))
    }

    /// At a hot reading of this drive; `None` without a coolant reading from its end.
    pub fn hot(&self, note: &LevelReading) -> Option<Warmth> {
        let air = self.air(note, 1.5);
        let after = self.after_end(note).unwrap_or(HOT_READING_S).max(0.0);
        let excess = self.last? - air.celsius;
        let cooling = (after - SOAK_S).max(0.0);
        let [_, decay, _] = self.decays(cooling);
        let (share, share_u) = self.share;
        // The share says where the coolant is, the decay how much of it is left; the spread of time constants is small by then.
        let decay_u = self.decay_u(cooling);
        let kept = share * decay;
        Some(Warmth {
            celsius: air.celsius + kept * excess,
            own_u: (excess * decay * share_u).hypot(excess * share * decay_u).hypot((1.0 - kept) * air.own_u).hypot(kept),
            shared_u: air.shared_u,
            air_share: 1.0 - kept,
        })
    }

    /// At a cold reading.
    pub fn cold(&self, note: &LevelReading) -> Warmth {
        let air = self.air(note, NOTED_AIR_K);
        let after = self.after_end(note);
        if after.is_some_and(|after| after > 0.0) || matches!(note.occasion, crate::run::Occasion::ColdAfter) {
            return self.cooled(air, after);
        }
        // Read shortly before the log begins, or without a time: the first coolant reading belongs to it.
        let before_start = match (note.time, self.started, after) {
            (NoteTime::Order, ..) | (_, None, _) | (.., None) => Some(0.0),
            (_, Some(started), Some(after)) => self.ended.map(|ended| -after - (ended - started).num_seconds() as f64),
        };
        let near = before_start.is_some_and(|seconds| seconds <= 3600.0 + CLOCKS_APART_S);
        match self.first {
            Some(first) if near && (first - air.celsius).abs() <= NOT_COLD_K => {
                if note.ambient.is_some() {
                    Warmth { celsius: 0.5 * (first + air.celsius), own_u: NOTED_AIR_K.min(FIRST_READING_K), ..air }
                } else {
                    Warmth { celsius: first, own_u: FIRST_READING_K, shared_u: 0.0, air_share: 0.0 }
                }
            }
            // The log begins warm: the level was read longer before, or the engine was not cold.
            Some(first) if near => Warmth { own_u: air.own_u.max((first - air.celsius).abs() / 6.0), ..air },
            _ => air,
        }
    }

    /// The air at a note, as the warmth of whatever stands in it.
    fn air(&self, note: &LevelReading, noted_u: f64) -> Warmth {
        match note.ambient {
            Some(celsius) => Warmth { celsius, own_u: noted_u, shared_u: 0.0, air_share: 0.0 },
            None => Warmth {
                celsius: self.ambient.temperature.value,
                own_u: DAY_AND_NIGHT_K,
                shared_u: self.ambient.temperature.standard_uncertainty,
                air_share: 1.0,
            },
        }
    }

    /// The circuit `after` seconds after the end of the drive, standing in this air.
    fn cooled(&self, air: Warmth, after: Option<f64>) -> Warmth {
        let known = after.zip(self.last).filter(|(after, _)| *after > 0.0 && *after < 7.0 * 86_400.0);
        let (left, left_u) = match known {
            Some((after, last)) => {
                let excess = self.share.0 * (last - air.celsius).max(0.0);
                (excess * self.decays(after)[1], excess * self.decay_u(after))
            }
            None => LEFT_OVER_K,
        };
        Warmth { celsius: air.celsius + left, own_u: air.own_u.hypot(left_u), ..air }
    }

    /// What is left of an excess after a time: by the short, the likely and the long time constant.
    fn decays(&self, after: f64) -> [f64; 3] {
        self.time_constants.map(|constant| (-after / constant).exp())
    }

    /// Standard uncertainty of what is left: short and long constant as ends of a rectangle.
    fn decay_u(&self, after: f64) -> f64 {
        let [least, _, most] = self.decays(after);
        (most - least) / 12f64.sqrt()
    }
}

/// The share of the excess that the circuit's mean has.
fn share(valve: State, radiator_and_last: Option<(f64, f64)>, air: f64) -> (f64, f64) {
    if let Some((radiator, last)) = radiator_and_last
        && last - air > 20.0
    {
        // Radiator and return line between the logged outlet and the sensor, nearer to the outlet.
        let outer = ((last + 2.0 * radiator) / 3.0 - air) / (last - air);
        let (coolant, coolant_u) = OUTER_COOLANT;
        return (0.95 + coolant * (outer - 0.95), 0.04f64.hypot(coolant_u * (outer - 0.95)));
    }
    match valve {
        State::Opened | State::AlreadyOpen | State::OpenThroughout => OPEN_SHARE,
        State::NotReached => SHUT_SHARE,
        State::NotObservable => UNKNOWN_SHARE,
    }
}
