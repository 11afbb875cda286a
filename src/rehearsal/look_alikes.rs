//! What a log can hold that looks like trapped air and is not.
//!
//! Each changes a scenario so that its own pattern shows: the layout, the weather, the driver, the recorder, the person. Ranges
//! are choices within what workshops see (common practice, no source) unless they say otherwise.

use super::combustion::fuel_facts;
use super::random::Random;
use super::scenario::{Drive, Engine, Fan, Fault, Road, Scenario, Start};
use crate::vehicle::{Control, Fuel, Side};
use serde::Serialize;

/// Something that looks like trapped air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LookAlike {
    /// An inlet-side valve: the reading overshoots the rating.
    InletLayout,
    /// The vehicle file states another rating than the valve's.
    WrongRating,
    /// A long climb with a trailer.
    HardClimb,
    /// A loose connector: readings jump to −40, to a rail or anywhere.
    LooseConnector,
    /// Many stretches without rows.
    LoggerGaps,
    /// Values repeated for many seconds, then caught up at once.
    StaleValues,
    /// The fan cycles at a stand in warm weather.
    FanCycling,
    /// A valve with much play and a slow wax hunts.
    Hunting,
    /// Stop-start traffic.
    StopStart,
    /// The heater is turned off; its outlet hose is cold at any revs.
    HeaterOff,
    /// A cabin thermostat opens and shuts the heater's valve.
    CabinThermostat,
    /// A blocked heater matrix: cold at any revs.
    BlockedMatrix,
    /// A noisy sensor and a careless reader.
    ReadingNoise,
    /// The vehicle does not stand where it stood.
    NotLevel,
    /// Coolant leaks.
    Leak,
    /// The cap does not hold; an overflow bottle is not drawn back.
    CapNotHolding,
    /// Hard frost with the heater on: the knee comes late or never.
    HardFrost,
    /// A diesel idles in the cold with the heater on.
    DieselIdling,
    /// Moving off after a long stand with the fan at work: the reading falls by ten kelvin.
    MovingOffAfterFan,
    /// A restart with a hot engine and a cool radiator.
    HotRestart,
}

impl LookAlike {
    /// Every look-alike.
    pub const ALL: [LookAlike; 20] = [
        LookAlike::InletLayout,
        LookAlike::WrongRating,
        LookAlike::HardClimb,
        LookAlike::LooseConnector,
        LookAlike::LoggerGaps,
        LookAlike::StaleValues,
        LookAlike::FanCycling,
        LookAlike::Hunting,
        LookAlike::StopStart,
        LookAlike::HeaterOff,
        LookAlike::CabinThermostat,
        LookAlike::BlockedMatrix,
        LookAlike::ReadingNoise,
        LookAlike::NotLevel,
        LookAlike::Leak,
        LookAlike::CapNotHolding,
        LookAlike::HardFrost,
        LookAlike::DieselIdling,
        LookAlike::MovingOffAfterFan,
        LookAlike::HotRestart,
    ];

    /// Puts it into a scenario.
    pub fn put_into(self, scenario: &mut Scenario, random: &mut Random) {
        scenario.look_alike = Some(self);
        match self {
            LookAlike::InletLayout => inlet(scenario, random),
            LookAlike::WrongRating => {
                scenario.stated.thermostat = true;
                scenario.stated.rating_error = (random.between(6.0, 12.0) * if random.chance(0.6) { -1.0 } else { 1.0 }).round();
            }
            LookAlike::HardClimb => {
                scenario.drive.road = Road::Hill;
                scenario.drive.eagerness = random.between(0.6, 0.95);
                scenario.body.mass *= random.between(1.2, 1.6);
                scenario.weather.ambient = random.between(10.0, 38.0);
            }
            LookAlike::LooseConnector => scenario.logger.loose_connector = random.between_log(3.0, 60.0),
            LookAlike::LoggerGaps => scenario.logger.holes_an_hour = random.between(8.0, 40.0),
            LookAlike::StaleValues => {
                scenario.logger.poll_period = random.between_log(4.0, 20.0);
                scenario.logger.failed_polls = random.between(0.1, 0.5);
            }
            LookAlike::FanCycling => fan_cycling(scenario, random),
            LookAlike::Hunting => {
                scenario.valve.hysteresis = random.between(2.5, 5.0);
                scenario.valve.wax_lag = random.between(30.0, 60.0);
            }
            LookAlike::StopStart => scenario.drive.road = Road::Traffic,
            LookAlike::HeaterOff => {
                scenario.cabin.heater_valve = 0.0;
                scenario.logger.heater_probe = true;
            }
            LookAlike::CabinThermostat => {
                scenario.cabin.heater_valve = 1.0;
                scenario.cabin.valve_period = random.between(40.0, 200.0).round();
                scenario.cabin.blower = random.between(0.3, 1.0);
                scenario.logger.heater_probe = true;
            }
            LookAlike::BlockedMatrix => {
                scenario.cabin.heater_valve = 1.0;
                scenario.faults.push(Fault::BlockedHeater(random.between_log(0.01, 0.15)));
                scenario.logger.heater_probe = true;
            }
            LookAlike::ReadingNoise => {
                scenario.sensor.noise = random.between(0.4, 1.5);
                scenario.notes.error_mm = random.between(3.0, 6.0);
            }
            LookAlike::NotLevel => {
                scenario.notes.taken = true;
                scenario.notes.uneven_mm = random.between(4.0, 10.0);
            }
            LookAlike::Leak => {
                scenario.faults.push(leak(random));
                scenario.notes.taken = true;
            }
            LookAlike::CapNotHolding => {
                scenario.faults.push(Fault::CapNotHolding(random.between(0.0, 0.4)));
                scenario.notes.taken = true;
            }
            LookAlike::HardFrost => {
                scenario.weather.ambient = random.between(-25.0, -12.0);
                (scenario.cabin.heater_valve, scenario.cabin.blower) = (1.0, random.between(0.5, 1.0));
            }
            LookAlike::DieselIdling => diesel_idling(scenario, random),
            LookAlike::MovingOffAfterFan => {
                fan_cycling(scenario, random);
                scenario.drive.idle_before = random.between(900.0, 1500.0).round();
                scenario.drive.road = if random.chance(0.5) { Road::Town } else { Road::Rural };
                scenario.drive.moving = random.between(600.0, 1500.0).round();
            }
            LookAlike::HotRestart => scenario.drive.start = Start::Warm(random.between(75.0, 95.0)),
        }
    }
}

/// A leak as it comes.
pub fn leak(random: &mut Random) -> Fault {
    if random.chance(0.6) { Fault::LeakHot(random.between_log(20.0, 300.0)) } else { Fault::LeakCold(random.between_log(1.0, 12.0)) }
}

fn inlet(scenario: &mut Scenario, random: &mut Random) {
    scenario.valve.side = Side::Inlet;
    scenario.circuit.bypass_share = random.between(0.35, 0.7);
    scenario.valve.bypass_closing = random.between(0.6, 0.95);
}

/// An electric fan, little wind and warm air: it must come on at a stand.
fn fan_cycling(scenario: &mut Scenario, random: &mut Random) {
    if !matches!(scenario.fan, Fan::Electric { .. }) {
        let on = (scenario.valve.rating + random.between(9.0, 14.0)).round();
        scenario.fan = Fan::Electric { on, off: on - random.between(3.0, 8.0).round(), run_on: 0.0, strength: random.between(0.4, 0.8) };
    }
    scenario.weather.ambient = random.between(24.0, 40.0);
    scenario.cabin.blower = random.between(0.0, 0.2);
    scenario.cabin.accessory = random.between(0.5, 1.2) * scenario.engine.displacement.min(3.5);
    if random.chance(0.6) {
        scenario.drive = Drive { road: Road::Idle, moving: scenario.drive.moving.max(2400.0), ..scenario.drive };
    } else {
        scenario.drive.idle_after = random.between(500.0, 1200.0).round();
    }
}

/// The same vehicle with a diesel of its size, a diesel's valve and fan thresholds kept.
fn diesel_idling(scenario: &mut Scenario, random: &mut Random) {
    if scenario.engine.fuel != Fuel::Diesel {
        let typical = Engine::of_size(Fuel::Diesel, scenario.engine.displacement.max(1.4));
        let ratio = scenario.engine.loss_conductance / Engine::of_size(scenario.engine.fuel, scenario.engine.displacement).loss_conductance;
        scenario.engine = Engine { loss_conductance: typical.loss_conductance * ratio, ..typical };
        scenario.body.top_gear *= fuel_facts(Fuel::Diesel).0 / 60.0;
        (scenario.valve.control, scenario.valve.heating) = (Control::Wax, 0.0);
        if scenario.valve.rating > 92.0 {
            scenario.valve.rating = 83.0;
        }
    }
    scenario.weather.ambient = random.between(-20.0, 5.0);
    (scenario.cabin.heater_valve, scenario.cabin.blower) = (1.0, random.between(0.5, 1.0));
    scenario.drive.road = Road::Idle;
}
