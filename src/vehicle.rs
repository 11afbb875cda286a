//! What the owner states about the vehicle: the vehicle file.
//!
//! Every entry is optional and every quantity carries its unit as text ("7.2 L", "87 degC"), so that a file written by hand
//! cannot be read in the wrong unit. `docs/vehicle-file.md` is the reference for whoever writes one.

use crate::units::parse::{self, QuantityError};
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

/// Base of the coolant's concentrate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Base {
    /// 1,2-ethanediol.
    EthyleneGlycol,
    /// 1,2-propanediol.
    PropyleneGlycol,
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

impl Default for TemperatureDifference {
    fn default() -> Self {
        Self::from_kelvin(0.0)
    }
}

/// Why a vehicle file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum VehicleError {
    /// Not TOML, or an entry that the file format does not have.
    #[error("the vehicle file cannot be read: {0}")]
    Syntax(Box<toml::de::Error>),
    /// An entry is there and its text is no such quantity.
    #[error("vehicle file, `{entry}`: {cause}")]
    Quantity {
        /// Dotted name of the entry.
        entry: &'static str,
        /// What is wrong with its text.
        cause: QuantityError,
    },
    /// Entries that cannot both be true.
    #[error("vehicle file, `{entry}`: {reason}")]
    Contradiction {
        /// Dotted name of the entry.
        entry: &'static str,
        /// What does not fit.
        reason: String,
    },
}

impl VehicleError {
    /// The way out, as a sentence for the person.
    pub fn hint(&self) -> String {
        match self {
            Self::Syntax(_) => "docs/vehicle-file.md lists every entry; leave out what you do not know".to_owned(),
            Self::Quantity { cause, .. } => cause.hint(),
            Self::Contradiction { entry, .. } => format!("correct `{entry}` or leave it out"),
        }
    }
}

/// The file as written.
#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct Written {
    name: Option<String>,
    capacity: Option<String>,
    fuel: Option<Fuel>,
    thermostat: WrittenThermostat,
    reservoir: WrittenReservoir,
    coolant: Option<WrittenCoolant>,
    sensor: WrittenSensor,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct WrittenThermostat {
    rating: Option<String>,
    side: Side,
    control: Control,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct WrittenReservoir {
    kind: Option<String>,
    total: Option<String>,
    min_mark: Option<String>,
    max_mark: Option<String>,
    per_mm: Option<String>,
    marks_apart: Option<String>,
    cap: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenCoolant {
    base: String,
    volume_percent: f64,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct WrittenSensor {
    offset: Option<String>,
}

/// Reads one quantity of the file, naming the entry if it is none.
fn quantity<T>(entry: &'static str, text: Option<&String>, read: fn(&str) -> Result<T, QuantityError>) -> Result<Option<T>, VehicleError> {
    text.map(|text| read(text).map_err(|cause| VehicleError::Quantity { entry, cause })).transpose()
}

fn contradiction(entry: &'static str, reason: impl Into<String>) -> VehicleError {
    VehicleError::Contradiction { entry, reason: reason.into() }
}

impl Vehicle {
    /// Reads a vehicle file's text.
    ///
    /// # Errors
    ///
    /// [`VehicleError`] names the entry, what stood there and the way out.
    pub fn from_toml(text: &str) -> Result<Vehicle, VehicleError> {
        let written: Written = toml::from_str(text).map_err(|error| VehicleError::Syntax(Box::new(error)))?;
        let thermostat = Thermostat {
            rating: quantity("thermostat.rating", written.thermostat.rating.as_ref(), parse::temperature)?,
            side: written.thermostat.side,
            control: written.thermostat.control,
        };
        if let Some(rating) = thermostat.rating
            && !(40.0..=130.0).contains(&rating.celsius())
        {
            return Err(contradiction("thermostat.rating", format!("{:.0} °C is no thermostat's rating (40 to 130 °C)", rating.celsius())));
        }
        let capacity = quantity("capacity", written.capacity.as_ref(), parse::volume)?;
        if let Some(capacity) = capacity
            && !(0.5..=200.0).contains(&capacity.litres())
        {
            return Err(contradiction("capacity", format!("{:.2} L is no cooling system's capacity (0.5 to 200 L)", capacity.litres())));
        }
        Ok(Vehicle {
            name: written.name.filter(|name| !name.trim().is_empty()),
            capacity,
            fuel: written.fuel,
            thermostat,
            reservoir: reservoir(&written.reservoir)?,
            coolant: written.coolant.as_ref().map(coolant).transpose()?,
            sensor_offset: quantity("sensor.offset", written.sensor.offset.as_ref(), parse::temperature_difference)?.unwrap_or_default(),
        })
    }
}

fn reservoir(written: &WrittenReservoir) -> Result<Reservoir, VehicleError> {
    let kind = match written.kind.as_deref().map(str::trim) {
        None => None,
        Some("expansion tank") => Some(ReservoirKind::ExpansionTank),
        Some("overflow bottle") => Some(ReservoirKind::OverflowBottle),
        Some(other) => {
            return Err(contradiction("reservoir.kind", format!("`{other}` is neither \"expansion tank\" nor \"overflow bottle\"")));
        }
    };
    let min_mark = quantity("reservoir.min_mark", written.min_mark.as_ref(), parse::volume)?;
    let max_mark = quantity("reservoir.max_mark", written.max_mark.as_ref(), parse::volume)?;
    if let (Some(min), Some(max)) = (min_mark, max_mark)
        && min.millilitres() >= max.millilitres()
    {
        return Err(contradiction("reservoir.max_mark", "the MAX mark does not lie above the MIN mark"));
    }
    let per_mm = quantity("reservoir.per_mm", written.per_mm.as_ref(), parse::volume)?.map(Volume::millilitres);
    let marks_apart = quantity("reservoir.marks_apart", written.marks_apart.as_ref(), parse::length_millimetres)?;
    let from_marks = match (min_mark, max_mark, marks_apart) {
        (Some(min), Some(max), Some(apart)) if apart > 0.0 => Some((max - min).millilitres() / apart),
        _ => None,
    };
    let millilitres_per_mm = per_mm.or(from_marks);
    if millilitres_per_mm.is_some_and(|scale| !(0.1..=1000.0).contains(&scale)) {
        return Err(contradiction("reservoir.per_mm", "no reservoir has such a scale (0.1 to 1000 mL a millimetre)"));
    }
    Ok(Reservoir {
        kind,
        total: quantity("reservoir.total", written.total.as_ref(), parse::volume)?,
        min_mark,
        max_mark,
        millilitres_per_mm,
        cap: quantity("reservoir.cap", written.cap.as_ref(), parse::pressure)?,
    })
}

fn coolant(written: &WrittenCoolant) -> Result<Coolant, VehicleError> {
    let base = match written.base.trim() {
        "ethylene glycol" => Base::EthyleneGlycol,
        "propylene glycol" => Base::PropyleneGlycol,
        other => return Err(contradiction("coolant.base", format!("`{other}` is neither \"ethylene glycol\" nor \"propylene glycol\""))),
    };
    if !(0.0..=100.0).contains(&written.volume_percent) {
        return Err(contradiction("coolant.volume_percent", format!("{} is no percentage", written.volume_percent)));
    }
    Ok(Coolant { base, volume_fraction: written.volume_percent / 100.0 })
}
