//! The recorder: from dense signals to the bytes of a log.
//!
//! Channels are polled in turn, each at its own rate; rows are written at theirs and repeat the last answer until the next.
//! Answers arrive rounded as the control unit sends them. Some polls fail (the old value stays), some stretches have no rows.
//! `dialect` turns the rows into text.

use super::random::Random;
use super::scenario::Scenario;
use super::simulation::Signal;
use crate::channel::Channel;
use serde::Serialize;

pub mod dialect;

pub use dialect::{Clock, Dialect, Headings};

/// How the control unit reports the coolant's temperature.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Rounding {
    /// To the nearest multiple of the step, K.
    Nearest(f64),
    /// Down to a multiple of the step, K.
    Down(f64),
    /// An inner count of the first step, then down to whole degrees: degrees of uneven width.
    CountThenDown(f64),
}

impl Rounding {
    /// A temperature as reported, °C.
    pub fn apply(self, celsius: f64) -> f64 {
        match self {
            Rounding::Nearest(step) => (celsius / step).round() * step,
            Rounding::Down(step) => (celsius / step).floor() * step,
            Rounding::CountThenDown(step) => ((celsius / step).floor() * step + 1e-9).floor(),
        }
    }

    /// Decimals that show every step.
    pub fn decimals(self) -> usize {
        match self {
            Rounding::Nearest(step) | Rounding::Down(step) if (step - step.round()).abs() > 1e-9 => {
                if ((10.0 * step) - (10.0 * step).round()).abs() < 1e-9 { 1 } else { 3 }
            }
            _ => 0,
        }
    }
}

/// Which channels can stand for heat in this log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Proxies {
    /// Everything that the engine reports.
    All,
    /// Fuel rate, engine and road speed.
    FuelRate,
    /// Air flow, engine and road speed.
    AirFlow,
    /// Load, engine and road speed.
    Load,
    /// Manifold pressure, engine and road speed.
    ManifoldPressure,
    /// Road speed alone.
    SpeedOnly,
    /// Nothing but the coolant.
    CoolantOnly,
}

/// The recorder.
#[derive(Clone, Debug, PartialEq)]
pub struct Logger {
    /// Rows a second: 0.2–10 (trade).
    pub row_rate: f64,
    /// Seconds between two polls of the coolant: 0.1–10 (trade); other channels alike.
    pub poll_period: f64,
    /// How the coolant's temperature is reported.
    pub rounding: Rounding,
    /// Which channels are recorded.
    pub proxies: Proxies,
    /// Intake, ambient and oil temperatures and barometric pressure too.
    pub surroundings: bool,
    /// A probe on the heater's outlet hose.
    pub heater_probe: bool,
    /// A probe on the radiator's outlet hose.
    pub radiator_probe: bool,
    /// A level sender in the reservoir, in mL.
    pub level_sensor: bool,
    /// A pressure sensor.
    pub pressure_sensor: bool,
    /// A second coolant sensor, in the block.
    pub second_sensor: bool,
    /// Bursts in an hour in which the sensor's connector is loose: 0, or 3–60 (choice), each of 2–40 s.
    pub loose_connector: f64,
    /// Share of polls that fail: 0–0.05 (choice).
    pub failed_polls: f64,
    /// Share of coolant polls answered by a code that means "no reading" (−40 or 215 °C): 0–0.003 (choice).
    pub sentinels: f64,
    /// Stretches without rows in an hour: 0–4 (choice), each of 3–30 s.
    pub holes_an_hour: f64,
    /// How rows are written.
    pub dialect: Dialect,
}

impl Default for Logger {
    fn default() -> Self {
        Self {
            row_rate: 1.0,
            poll_period: 1.0,
            rounding: Rounding::Nearest(1.0),
            proxies: Proxies::All,
            surroundings: true,
            heater_probe: false,
            radiator_probe: false,
            level_sensor: false,
            pressure_sensor: false,
            second_sensor: false,
            loose_connector: 0.0,
            failed_polls: 0.0,
            sentinels: 0.0,
            holes_an_hour: 0.0,
            dialect: Dialect::default(),
        }
    }
}

/// Standard deviation of a level sender's reading, as a share of the whole tank (choice: slosh and float).
pub const LEVEL_SENSOR_NOISE: f64 = 0.006;

/// One column of the log.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// What it holds.
    pub channel: Channel,
    /// Decimals written.
    pub decimals: usize,
    /// Step of the answer, in the channel's unit; 0 where the rounding is the coolant's own.
    step: f64,
}

/// The columns that a logger records for an engine, with the steps of SAE J1979's scalings.
fn columns(scenario: &Scenario) -> Vec<Column> {
    use Channel::*;
    let column = |channel: Channel, step: f64, decimals: usize| Column { channel, decimals, step };
    let coolant = column(CoolantTemperature, 0.0, scenario.logger.rounding.decimals());
    let (engine, road) = (column(EngineSpeed, 0.25, 2), column(VehicleSpeed, 1.0, 0));
    let (load, pressure) = (column(EngineLoad, 100.0 / 255.0, 1), column(ManifoldPressure, 1.0, 0));
    let (air, fuel) = (column(AirFlow, 0.01, 2), column(FuelRate, 0.05, 2));
    let mut chosen = match scenario.logger.proxies {
        Proxies::All => vec![engine, road, load, coolant, pressure, air, fuel],
        Proxies::FuelRate => vec![coolant, engine, road, fuel],
        Proxies::AirFlow => vec![engine, road, coolant, air],
        Proxies::Load => vec![engine, load, coolant, road],
        Proxies::ManifoldPressure => vec![coolant, engine, pressure, road],
        Proxies::SpeedOnly => vec![road, coolant],
        Proxies::CoolantOnly => vec![coolant],
    };
    if scenario.logger.surroundings {
        chosen.extend([
            column(IntakeAirTemperature, 1.0, 0),
            column(AmbientTemperature, 1.0, 0),
            column(OilTemperature, 1.0, 0),
            column(BarometricPressure, 1.0, 0),
            column(ModuleVoltage, 0.001, 3),
        ]);
    }
    let extra = [
        (scenario.logger.heater_probe, column(HeaterOutletTemperature, 0.1, 1)),
        (scenario.logger.radiator_probe, column(RadiatorOutletTemperature, 0.1, 1)),
        (scenario.logger.second_sensor, column(CoolantTemperature2, 1.0, 0)),
        (scenario.logger.level_sensor, column(ReservoirLevel, 5.0, 0)),
        (scenario.logger.pressure_sensor, column(SystemPressure, 1.0, 0)),
    ];
    chosen.extend(extra.into_iter().filter_map(|(fitted, column)| fitted.then_some(column)));
    chosen
}

/// A signal between two seconds, by proportion; switched quantities keep their earlier value.
fn value(signals: &[Signal], at: f64, read: impl Fn(&Signal) -> f64) -> f64 {
    let index = at.max(0.0).floor() as usize;
    match (signals.get(index), signals.get(index + 1)) {
        (Some(now), Some(next)) => read(now) + (read(next) - read(now)) * (at - index as f64),
        (Some(now), None) => read(now),
        (None, _) => signals.last().map_or(0.0, read),
    }
}

fn measure(scenario: &Scenario, signals: &[Signal], channel: Channel, at: f64, pressure: f64) -> f64 {
    let read: fn(&Signal) -> f64 = match channel {
        Channel::CoolantTemperature => |signal| signal.reading,
        Channel::CoolantTemperature2 => |signal| signal.jacket,
        Channel::EngineSpeed => |signal| signal.burn.speed,
        Channel::VehicleSpeed => |signal| signal.speed,
        Channel::EngineLoad => |signal| signal.burn.load,
        Channel::ManifoldPressure => |signal| signal.burn.manifold,
        Channel::AirFlow => |signal| signal.burn.air,
        Channel::FuelRate => |signal| signal.fuel_rate,
        Channel::IntakeAirTemperature => |signal| signal.intake,
        Channel::OilTemperature => |signal| signal.oil,
        Channel::ModuleVoltage => |signal| if signal.running { 14.15 } else { 12.35 },
        Channel::HeaterOutletTemperature => |signal| signal.heater_outlet,
        Channel::RadiatorOutletTemperature => |signal| signal.radiator_outlet,
        Channel::AmbientTemperature => return scenario.weather.ambient,
        Channel::BarometricPressure => return pressure,
        Channel::SystemPressure => |signal| signal.pressure,
        Channel::ReservoirLevel => |signal| signal.level,
        Channel::RunTime => return 0.0,
    };
    value(signals, at, read)
}

/// A connector that makes bad contact in bursts: the circuit is open (−40 °C), shorted (a rail), or has a resistance too much,
/// which reads low.
struct LooseConnector {
    an_hour: f64,
    random: Random,
    next: f64,
    until: f64,
}

impl LooseConnector {
    fn of(scenario: &Scenario) -> Self {
        let an_hour = scenario.logger.loose_connector.max(0.0);
        let mut random = Random::new(scenario.seed, 8);
        let next = if an_hour > 0.0 { random.between(0.0, 7200.0 / an_hour) } else { f64::INFINITY };
        Self { an_hour, random, next, until: f64::NEG_INFINITY }
    }

    fn sense(&mut self, celsius: f64, at: f64) -> f64 {
        if at >= self.next {
            self.until = self.next + self.random.between_log(2.0, 40.0);
            self.next = self.until + self.random.between(0.0, 7200.0 / self.an_hour);
        }
        if at >= self.until || self.random.chance(0.4) {
            return celsius;
        }
        match self.random.choose(&[(0.35, 0), (0.15, 1), (0.5, 2)]) {
            Some(0) => -40.0,
            Some(1) => 140.0,
            _ => (celsius - self.random.between_log(1.0, 50.0)).max(-40.0),
        }
    }
}

/// The log's bytes: rows from the scenario's first to its last second.
pub fn write(scenario: &Scenario, signals: &[Signal]) -> Vec<u8> {
    let logger = &scenario.logger;
    let columns = columns(scenario);
    let mut random = Random::new(scenario.seed, 2);
    let pressure = super::airflow::air_pressure(scenario.weather.altitude);
    let begins = scenario.drive.log_begins.clamp(0.0, 1e6).round();
    let ends = signals.len().saturating_sub(1) as f64;
    let row_period = 1.0 / logger.row_rate.clamp(0.05, 20.0);
    let poll_period = logger.poll_period.clamp(0.05, 60.0);
    let mut due: Vec<f64> = (0..columns.len()).map(|index| begins + poll_period * index as f64 / columns.len() as f64).collect();
    let mut held: Vec<Option<f64>> = vec![None; columns.len()];
    let mut text = dialect::Writer::new(scenario, &columns);
    let mut loose = LooseConnector::of(scenario);
    let mut hole_until = f64::NEG_INFINITY;
    let mut row = 0u32;
    loop {
        let at = begins + f64::from(row) * row_period;
        if at > ends + 1e-9 {
            break;
        }
        row += 1;
        for (index, column) in columns.iter().enumerate() {
            if due[index] > at && held[index].is_some() {
                continue;
            }
            // The newest poll at or before this row; the first row asks everything once.
            let missed = ((at - due[index]) / poll_period).floor().max(0.0);
            let polled = (due[index] + missed * poll_period).min(at);
            due[index] = due[index].min(polled) + (missed + 1.0) * poll_period;
            if held[index].is_some() && random.chance(logger.failed_polls) {
                continue;
            }
            let exact = measure(scenario, signals, column.channel, polled, pressure);
            held[index] = Some(if column.step > 0.0 {
                let noisy = match column.channel {
                    Channel::ModuleVoltage => exact + 0.04 * random.normal(),
                    Channel::ReservoirLevel => (exact + LEVEL_SENSOR_NOISE * scenario.reservoir.total * random.normal()).max(0.0),
                    _ => exact,
                };
                // Temperatures and pressures are reported rounded; speeds and flows cut off.
                if column.channel == Channel::VehicleSpeed {
                    (noisy / column.step).floor() * column.step
                } else {
                    (noisy / column.step).round() * column.step
                }
            } else {
                let sensed = loose.sense(exact + scenario.sensor.noise * random.normal(), polled);
                let answer = logger.rounding.apply(sensed);
                if random.chance(logger.sentinels) { if random.chance(0.5) { -40.0 } else { 215.0 } } else { answer }
            });
        }
        if at < hole_until {
            continue;
        }
        if row > 1 && random.chance(logger.holes_an_hour / 3600.0 * row_period) {
            hole_until = at + random.between(3.0, 30.0);
            continue;
        }
        text.row(at - begins, &held);
    }
    text.finish()
}
