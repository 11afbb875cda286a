//! Sensor offset: what does the coolant sensor read when everything in the engine is at the temperature of the air?
//!
//! After a night's stand coolant, intake air, ambient air and oil are alike. The coolant's reading less the median of the others, before
//! the engine fires or in the first seconds after it, is then the sensor's offset. That the engine had soaked is not taken for
//! granted; one of these must say so ([`Evidence`]): hours of silence before the start, oil as cold as the air, or air channels
//! that agree with each other and with the coolant. A warm restart shows none and gives no offset.
//!
//! The uncertainty holds the tolerance of each of the other sensors, rounding of all of them, and that metal, bay and outside air differ a
//! little even after a night.
//!
//! Limits: an offset at the morning's temperature; at 90 °C a sensor may be off by another amount. Sun on the bonnet warms the air in the
//! intake before the coolant. Without oil or hours, an offset beyond what still counts as agreement cannot be told from a warm engine.
//!
//! # References
//!
//! - JCGM 100:2008 (GUM), 4.3.7 (rectangular distributions) and 5.1 (combination; clauses from memory).

use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::{NoteTime, Occasion, Run};
use serde::Serialize;

/// How long after firing a reading still shows the soaked engine, in seconds: the first 2 K of rise come 7 to 16 s after it in public logs.
const FIRST_SECONDS: f64 = 4.0;

/// Tolerance of a temperature sensor in a vehicle, half-width in kelvin (memory).
const TOLERANCE_K: f64 = 2.0;

/// Standard uncertainty from coolant, intake and outside air not being quite alike after a soak, in kelvin. Our own choice.
const SOAK_K: f64 = 0.8;

/// Oil this close to the air has soaked, in kelvin: two sensors' tolerances.
const OIL_AGREES_K: f64 = 4.0;

/// Air channels this close to each other agree, in kelvin: two sensors' tolerances.
const AIR_AGREES_K: f64 = 4.0;

/// Coolant this close to air channels that agree may be soaked without other evidence, in kelvin. Our own choice.
const COOLANT_AGREES_K: f64 = 5.0;

/// Hours of silence after which an engine counts as soaked: the excess has fallen to 7 % after eight hours at a time constant of three.
const SOAK_HOURS: f64 = 8.0;

/// What says that the engine had soaked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Evidence {
    /// The log or the notes show this many hours since the engine last ran.
    Hours(f64),
    /// The oil is as cold as the air.
    Oil,
    /// The air channels agree with each other and with the coolant.
    Channels,
}

impl Evidence {
    /// The evidence in words, for "…, so the engine was cold".
    pub fn spoken(self) -> String {
        match self {
            Evidence::Hours(hours) => format!("the engine had stood for {hours:.0} h"),
            Evidence::Oil => "the oil was as cold as the air".to_owned(),
            Evidence::Channels => "coolant and air read alike before the start".to_owned(),
        }
    }
}

/// Offset of the coolant sensor: reading less truth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SensorOffset {
    /// Reading less truth, in kelvin.
    #[serde(flatten)]
    pub offset: Estimate,
    /// What says that the engine had soaked.
    #[serde(skip)]
    pub evidence: Evidence,
    /// The channels that it was compared with.
    #[serde(skip)]
    pub against: Vec<Channel>,
    /// What the owner states as the offset, in kelvin; 0 where nothing is stated.
    #[serde(skip)]
    pub stated: f64,
}

/// Why there is no offset to give. Each is a normal outcome.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoOffset {
    /// No coolant reading before or just after the engine fires.
    NoCoolantAtStart,
    /// No other channel tells a temperature at the start.
    NothingToCompare,
    /// Nothing says that the engine had soaked.
    NotSoaked,
}

impl NoOffset {
    /// The reason as a sentence.
    pub fn spoken(self) -> &'static str {
        match self {
            NoOffset::NoCoolantAtStart => "the log has no coolant reading from the moment of the start",
            NoOffset::NothingToCompare => "the log has no intake, ambient or oil temperature to compare the coolant with",
            NoOffset::NotSoaked => "the engine was not cold through when the log starts, or nothing shows that it was",
        }
    }

    /// What to record next time.
    pub fn hint(self) -> &'static str {
        match self {
            NoOffset::NoCoolantAtStart => "start the recorder with the ignition on, before the engine fires",
            NoOffset::NothingToCompare => "record intake air, ambient air or oil temperature as well",
            NoOffset::NotSoaked => "record the first start after a night, with intake air and oil temperature",
        }
    }
}

impl SensorOffset {
    /// Examines a run.
    pub fn of(run: &Run, phases: &Phases) -> Result<Self, NoOffset> {
        let until = phases.fired_s + FIRST_SECONDS;
        let at_start = |channel: Channel| run.trace(channel).and_then(|trace| robust::median(&trace.between(0.0, until).value));
        let coolant = at_start(Channel::CoolantTemperature).ok_or(NoOffset::NoCoolantAtStart)?;
        let seen = |channels: &[Channel]| -> Vec<(Channel, f64)> {
            channels.iter().filter_map(|&channel| at_start(channel).map(|reading| (channel, reading))).collect()
        };
        let air = seen(&[Channel::IntakeAirTemperature, Channel::AmbientTemperature]);
        let oil = seen(&[Channel::OilTemperature]);
        let evidence = evidence(run, phases, coolant, &air, &oil);
        let compared: Vec<(Channel, f64)> = air.into_iter().chain(oil).collect();
        if compared.is_empty() {
            return Err(NoOffset::NothingToCompare);
        }
        let evidence = evidence.ok_or(NoOffset::NotSoaked)?;
        let readings: Vec<f64> = compared.iter().map(|(_, reading)| *reading).collect();
        let middle = robust::median(&readings).ok_or(NoOffset::NothingToCompare)?;
        let steps = compared.iter().map(|(channel, _)| channel).chain([&Channel::CoolantTemperature]);
        let step = steps.filter_map(|&channel| run.trace(channel)).map(|trace| trace.step).fold(0.0, f64::max);
        let other = (TOLERANCE_K / 3f64.sqrt()).hypot(step / 12f64.sqrt());
        // Of two the median is the mean; of three rectangular values its variance is a fifth of the squared half-width, 1.8 times
        // the mean's.
        let worth = if readings.len() < 3 { readings.len() as f64 } else { readings.len() as f64 / 1.8 };
        let u = (other / worth.sqrt()).hypot(SOAK_K).hypot(step / 12f64.sqrt());
        Ok(Self {
            offset: Estimate::normal(coolant - middle, u, Unit::Kelvin),
            evidence,
            against: compared.iter().map(|(channel, _)| *channel).collect(),
            stated: run.vehicle.sensor_offset.kelvin(),
        })
    }

    /// What is measured beyond what the owner states.
    pub fn beyond_stated(&self) -> Estimate {
        self.offset.shifted(-self.stated)
    }
}

fn evidence(run: &Run, phases: &Phases, coolant: f64, air: &[(Channel, f64)], oil: &[(Channel, f64)]) -> Option<Evidence> {
    if let Some(hours) = hours_before(run, phases).filter(|hours| *hours >= SOAK_HOURS) {
        return Some(Evidence::Hours(hours));
    }
    let readings: Vec<f64> = air.iter().map(|(_, reading)| *reading).collect();
    let middle = robust::median(&readings)?;
    if oil.iter().any(|(_, reading)| (reading - middle).abs() <= OIL_AGREES_K) {
        return Some(Evidence::Oil);
    }
    // Oil that is warmer than the air says that the engine is, whatever the coolant reads.
    let agree = oil.is_empty() && readings.iter().all(|reading| (reading - middle).abs() <= 0.5 * AIR_AGREES_K);
    (agree && (coolant - middle).abs() <= COOLANT_AGREES_K).then_some(Evidence::Channels)
}

/// Hours without the engine running before it fires: a hole in the log just before, or the last note of a hot engine.
fn hours_before(run: &Run, phases: &Phases) -> Option<f64> {
    let hole = run.gaps.iter().filter(|gap| gap[1] <= phases.fired_s && !phases.running.iter().any(|ran| ran[0] < gap[1]));
    let silence = hole.map(|gap| (gap[1] - gap[0]) / 3600.0).fold(0.0, f64::max);
    let noted = run.started.and_then(|started| {
        let hot = run.levels.iter().filter(|note| note.occasion == Occasion::HotAfterDrive);
        let times = hot.filter_map(|note| if let NoteTime::Full(time) = note.time { Some(time) } else { None });
        let last = times.filter(|time| *time < started).max()?;
        Some((started - last).num_seconds() as f64 / 3600.0)
    });
    Some(silence.max(noted.unwrap_or(0.0))).filter(|hours| *hours > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::Trace;

    /// A log whose engine fires at 5 s, with a first reading of each channel.
    fn start(readings: &[(Channel, f64)]) -> Run {
        let constant = |value: f64| Trace { time: vec![0.0, 2.0, 4.0], value: vec![value; 3], step: 1.0 };
        let mut run = Run { duration: 600.0, ..Run::default() };
        run.traces = readings.iter().map(|&(channel, value)| (channel, constant(value))).collect();
        let engine = Trace { time: vec![0.0, 5.0, 600.0], value: vec![0.0, 1100.0, 800.0], step: 0.0 };
        run.traces.insert(Channel::EngineSpeed, engine);
        run
    }

    fn of(run: &Run) -> Result<SensorOffset, NoOffset> {
        SensorOffset::of(run, &Phases::of(run))
    }

    const COOLANT: Channel = Channel::CoolantTemperature;
    const INTAKE: Channel = Channel::IntakeAirTemperature;
    const AMBIENT: Channel = Channel::AmbientTemperature;
    const OIL: Channel = Channel::OilTemperature;

    #[test]
    fn a_night_with_oil_as_cold_as_the_air_shows_a_sensor_that_reads_high() {
        let found = of(&start(&[(COOLANT, 20.0), (INTAKE, 12.0), (AMBIENT, 11.0), (OIL, 13.0)])).unwrap();
        assert_eq!(found.evidence, Evidence::Oil);
        assert_eq!(found.offset.value, 8.0);
        assert!(found.offset.interval_95[0] > 4.0, "{:?}", found.offset);
    }

    #[test]
    fn a_healthy_sensor_has_zero_within_its_interval_and_one_channel_says_less_than_three() {
        let one = of(&start(&[(COOLANT, 13.0), (INTAKE, 12.0)])).unwrap();
        let three = of(&start(&[(COOLANT, 13.0), (INTAKE, 12.0), (AMBIENT, 12.0), (OIL, 12.0)])).unwrap();
        assert_eq!(one.evidence, Evidence::Channels);
        assert!(one.offset.interval_95[0] < 0.0 && one.offset.interval_95[1] > 0.0);
        assert!(one.offset.standard_uncertainty > three.offset.standard_uncertainty);
    }

    #[test]
    fn a_warm_restart_gives_no_offset() {
        let restarts: [&[(Channel, f64)]; 4] = [
            &[(COOLANT, 60.0), (INTAKE, 35.0)],
            &[(COOLANT, 25.0), (INTAKE, 18.0), (AMBIENT, 12.0)],
            &[(COOLANT, 22.0), (INTAKE, 18.0), (OIL, 40.0)],
            &[(COOLANT, 30.0), (INTAKE, 20.0), (AMBIENT, 20.0)],
        ];
        for restart in restarts {
            assert_eq!(of(&start(restart)), Err(NoOffset::NotSoaked), "{restart:?}");
        }
    }

    #[test]
    fn hours_of_silence_before_the_start_speak_for_themselves() {
        let mut run = start(&[(COOLANT, 22.0), (INTAKE, 12.0)]);
        assert_eq!(of(&run), Err(NoOffset::NotSoaked));
        run.gaps = vec![[1.0, 5.0]];
        assert_eq!(of(&run), Err(NoOffset::NotSoaked));
        let hours = chrono::TimeDelta::hours(11);
        let started = chrono::DateTime::from_timestamp(1_700_000_000, 0).unwrap().naive_utc();
        run.started = Some(started);
        run.levels = vec![crate::run::LevelReading {
            time: NoteTime::Full(started - hours),
            occasion: Occasion::HotAfterDrive,
            reading: 40.0,
            unit: crate::run::ReadingUnit::Millimetre,
            ambient: None,
            cap_opened: None,
            method: None,
            note: String::new(),
        }];
        assert_eq!(of(&run).unwrap().evidence, Evidence::Hours(11.0));
    }

    #[test]
    fn missing_channels_say_which() {
        assert_eq!(of(&start(&[(INTAKE, 12.0)])), Err(NoOffset::NoCoolantAtStart));
        assert_eq!(of(&start(&[(COOLANT, 12.0)])), Err(NoOffset::NothingToCompare));
    }

    #[test]
    fn the_interval_holds_the_offset_of_sensors_within_their_tolerance() {
        // Lehmer's generator, modulus 2³¹ − 1. Two standard errors of 2000 runs are 1 %.
        let mut state = 1_u64;
        let mut between = |low: f64, high: f64| {
            state = state * 48_271 % 2_147_483_647;
            low + (high - low) * state as f64 / 2_147_483_647.0
        };
        for others in [&[INTAKE][..], &[INTAKE, AMBIENT], &[INTAKE, AMBIENT, OIL]] {
            let (mut held, mut all) = (0, 0);
            for _ in 0..2000 {
                let (air, offset) = (between(-10.0, 30.0), between(-1.5, 1.5));
                // Three rectangular parts of ± 0.8 K have the standard deviation of the soak's own share.
                let soak = between(-0.8, 0.8) + between(-0.8, 0.8) + between(-0.8, 0.8);
                let mut readings = vec![(COOLANT, (air + offset + soak).round())];
                readings.extend(others.iter().map(|&other| (other, (air + between(-TOLERANCE_K, TOLERANCE_K)).round())));
                if let Ok(found) = of(&start(&readings)) {
                    held += usize::from((found.offset.interval_95[0]..=found.offset.interval_95[1]).contains(&offset));
                    all += 1;
                }
            }
            let share = f64::from(held as u32) / f64::from(all);
            assert!(all > 1900 && (0.935..0.975).contains(&share), "{} others: {share} of {all}", others.len());
        }
    }
}
