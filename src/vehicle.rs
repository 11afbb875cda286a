//! What the owner states about the vehicle: the vehicle file.
//!
//! Every entry is optional and every quantity carries its unit as text ("7.2 L", "87 degC"), so that a file written by hand
//! cannot be read in the wrong unit. `docs/vehicle-file.md` is the reference for whoever writes one; [`mod@file`] reads it.

pub mod file;

pub use file::VehicleError;

pub use crate::coolant::Base;
use crate::units::{Pressure, Temperature, TemperatureDifference, Volume};
use serde::Deserialize;

/// What burns in the engine; decides which channels may stand for heat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Fuel {
    /// Spark ignition, runs stoichiometric: air flow is proportional to fuel.
    Petrol,
    /// Compression ignition, runs lean: air flow says little about fuel.
    Diesel,
    /// Natural gas or LPG, spark ignition.
    Gas,
}

/// Where the thermostat sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// After the sensor, on the way to the radiator.
    Outlet,
    /// On the return from the radiator, before the pump.
    Inlet,
    /// Not stated.
    #[default]
    Unknown,
}

/// What moves the thermostat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Control {
    /// A wax element alone.
    Wax,
    /// A wax element with an electric heater.
    Heated,
    /// A motor or solenoid.
    Driven,
    /// Not stated.
    #[default]
    Unknown,
}

/// How the reservoir belongs to the circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReservoirKind {
    /// Under system pressure, part of the circuit; gas collects in it.
    ExpansionTank,
    /// At air pressure behind the cap; moves only after the cap lifts.
    OverflowBottle,
}

/// The thermostat as stamped.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Thermostat {
    /// Stamped start-to-open temperature.
    pub rating: Option<Temperature>,
    /// Where it sits.
    pub side: Side,
    /// What moves it.
    pub control: Control,
}

/// The reservoir and its scale.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Reservoir {
    /// How it belongs to the circuit.
    pub kind: Option<ReservoirKind>,
    /// Volume of the whole tank.
    pub total: Option<Volume>,
    /// Volume at the MIN mark.
    pub min_mark: Option<Volume>,
    /// Volume at the MAX mark.
    pub max_mark: Option<Volume>,
    /// Volume of one millimetre of height, stated or from the marks, in mL.
    pub millilitres_per_mm: Option<f64>,
    /// Opening pressure of the cap, gauge.
    pub cap: Option<Pressure>,
}

/// The coolant that is in the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coolant {
    /// What the concentrate is made of.
    pub base: Base,
    /// Share of concentrate by volume, 0 to 1.
    pub volume_fraction: f64,
}

/// Everything the vehicle file states.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Vehicle {
    /// What the owner calls it.
    pub name: Option<String>,
    /// Whole system with the reservoir at its MAX mark.
    pub capacity: Option<Volume>,
    /// What the engine burns.
    pub fuel: Option<Fuel>,
    /// The thermostat.
    pub thermostat: Thermostat,
    /// The reservoir.
    pub reservoir: Reservoir,
    /// The coolant.
    pub coolant: Option<Coolant>,
    /// What the coolant sensor reads beyond the truth.
    pub sensor_offset: TemperatureDifference,
}

/// What a vehicle is known by: its name as stated, capitals and outer blanks apart.
pub fn known_by(name: &str) -> String {
    name.trim().to_lowercase()
}

impl Default for TemperatureDifference {
    fn default() -> Self {
        Self::from_kelvin(0.0)
    }
}
