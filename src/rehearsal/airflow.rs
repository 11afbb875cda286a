//! Air through radiator and heater: heat capacity rates and conductances.
//!
//! The radiator is cut into cells in series on the coolant's side, all meeting fresh air (cross flow, air unmixed between
//! cells). A cell with air capacity rate `C` and conductance `U` gives off `C·(1 − exp(−U/C))·(T − T_air)`. `U` puts the
//! air's side (growing with the square root of its flow) and the coolant's side (with its flow to the power 3/4) in series.
//!
//! # References
//!
//! - Kays, W. M. & London, A. L. *Compact Heat Exchangers*: effectiveness and number of transfer units (from memory).
//! - The pressure of air falls with height as in the ISO 2533 standard atmosphere (here its expansion to second order).

use super::arithmetic::{exp_minus, share_between, three_quarters};
use super::scenario::{Fan, Fault, Scenario};

/// Air pressure at a height in metres, kPa.
pub fn air_pressure(altitude: f64) -> f64 {
    let x = 2.25577e-5 * altitude;
    101.325 * (1.0 - 5.2559 * x + 0.5 * 5.2559 * 4.2559 * x * x)
}

/// Air density against that at 20 °C at sea level.
pub fn relative_density(weather: &super::scenario::Weather) -> f64 {
    air_pressure(weather.altitude) / 101.325 * 293.15 / (273.15 + weather.ambient)
}

/// The radiator with its share of clear core.
#[derive(Clone, Copy, Debug)]
pub struct Radiator {
    conductance: f64,
    full_air: f64,
    rated_flow: f64,
}

impl Radiator {
    /// The radiator that a scenario describes.
    pub fn of(scenario: &Scenario) -> Self {
        let clear = scenario.faults.iter().fold(1.0, |clear, fault| match fault {
            Fault::BlockedRadiator(share) => clear * share.clamp(0.02, 1.0),
            _ => clear,
        });
        let conductance = scenario.circuit.radiator_conductance * clear;
        // Twice the conductance: an effectiveness near 0.4 at 100 km/h, as cores of a car have.
        Self { conductance, full_air: 2.0 * conductance, rated_flow: scenario.circuit.pump_flow }
    }

    /// Air heat capacity rate, kW/K, for a road speed in km/h, the fan's share and the air's relative density.
    ///
    /// Ram air and fan add as squares do (both push against the same core); 0.4 % drifts through at standstill.
    pub fn air(&self, speed: f64, fan: f64, density: f64) -> f64 {
        let ram = speed / 100.0;
        self.full_air * density * ((ram * ram + fan * fan).sqrt() + 0.004)
    }

    /// Heat given off per kelvin by one of `cells` cells, kW/K.
    pub fn cell_conductance(&self, air: f64, coolant_flow: f64, cells: f64) -> f64 {
        let air_side = 1.25 * self.conductance * (air / self.full_air).sqrt();
        let coolant_side = 5.0 * self.conductance * (0.01 + three_quarters(coolant_flow / self.rated_flow));
        let conductance = air_side * coolant_side / (air_side + coolant_side);
        air / cells * (1.0 - exp_minus(conductance / air))
    }
}

/// Heat per kelvin of the heater core at full flow of coolant, kW/K, for a blower setting from 0 to 1.
pub fn heater_conductance(conductance: f64, blower: f64) -> f64 {
    let air = 0.9 * conductance * blower.clamp(0.0, 1.0) + 0.002;
    air * (1.0 - exp_minus(conductance * (0.3 + 0.7 * blower.clamp(0.0, 1.0).sqrt()) / air))
}

/// The fan and where it is in its cycle.
#[derive(Clone, Copy, Debug)]
pub struct FanState {
    fan: Fan,
    health: f64,
    running: bool,
    engagement: f64,
    seconds_since_key_off: f64,
}

impl FanState {
    /// The fan that a scenario describes, at rest.
    pub fn of(scenario: &Scenario) -> Self {
        let health = scenario.faults.iter().fold(1.0, |health, fault| match fault {
            Fault::WeakFan(share) => health * share.clamp(0.0, 1.0),
            _ => health,
        });
        Self { fan: scenario.fan, health, running: false, engagement: 0.0, seconds_since_key_off: 0.0 }
    }

    /// Moves on by one second; returns the air share. `engine` is the engine speed as a share of rated.
    pub fn tick(&mut self, reading: f64, radiator: f64, engine: f64, key_on: bool) -> f64 {
        self.seconds_since_key_off = if key_on { 0.0 } else { self.seconds_since_key_off + 1.0 };
        let share = match self.fan {
            Fan::Electric { on, off, run_on, strength } => {
                let powered = key_on || self.seconds_since_key_off <= run_on;
                self.running = powered && if self.running { reading > off } else { reading >= on };
                // Two seconds to run up and down.
                let wanted = f64::from(u8::from(self.running));
                self.engagement += (wanted - self.engagement) * 0.4;
                strength * self.engagement
            }
            Fan::Viscous { engages, span, strength } => {
                // The coupling slips at 15 % when cold, and takes a minute to fill and empty.
                let wanted = 0.15 + 0.85 * share_between(radiator, engages, engages + span);
                self.engagement += (wanted - self.engagement) / 60.0;
                strength * self.engagement * engine
            }
            Fan::Belt { strength } => strength * engine,
        };
        share * self.health
    }

    /// Whether an electric fan is switched on.
    pub fn switched_on(&self) -> bool {
        self.running
    }
}
