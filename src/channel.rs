//! What a column of a log can hold.
//!
//! Each channel has one stable name (the JSON and the command line use it), one unit in which the program keeps it, a range
//! outside which a value is no reading, and, where SAE J1979 service 01 has it, its parameter number.
//!
//! # References
//!
//! - SAE J1979 / ISO 15031-5, service 01: numbers, ranges and scalings of the parameters.

use serde::{Serialize, Serializer};

/// One measured quantity of the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Channel {
    /// Engine coolant temperature, °C.
    CoolantTemperature,
    /// A second engine coolant temperature sensor, °C.
    CoolantTemperature2,
    /// Engine speed, revolutions per minute.
    EngineSpeed,
    /// Vehicle speed, km/h.
    VehicleSpeed,
    /// Calculated engine load, %.
    EngineLoad,
    /// Intake manifold absolute pressure, kPa.
    ManifoldPressure,
    /// Air flow rate, g/s.
    AirFlow,
    /// Engine fuel rate, L/h.
    FuelRate,
    /// Intake air temperature, °C.
    IntakeAirTemperature,
    /// Ambient air temperature, °C.
    AmbientTemperature,
    /// Engine oil temperature, °C.
    OilTemperature,
    /// Barometric pressure, kPa.
    BarometricPressure,
    /// Control module voltage, V.
    ModuleVoltage,
    /// Time since the engine started, s.
    RunTime,
    /// Temperature at the heater's outlet hose or at a cabin vent, °C.
    HeaterOutletTemperature,
    /// Coolant temperature at the radiator's outlet, °C.
    RadiatorOutletTemperature,
    /// Pressure in the cooling system, kPa gauge.
    SystemPressure,
    /// Coolant level in the reservoir, mL, mm or % as the log has it.
    ReservoirLevel,
}

/// What is fixed about a channel.
struct Facts {
    channel: Channel,
    name: &'static str,
    spoken: &'static str,
    unit: &'static str,
    low: f64,
    high: f64,
    j1979: Option<u8>,
}

/// One row a channel. Ranges are what the parameter's bytes can carry where SAE J1979 has it (the coolant's upper end, 215,
/// stands for "not available" on many control units and is handled by its neighbours, not here); others are what can occur
/// in a road vehicle that still runs.
#[rustfmt::skip]
const FACTS: [Facts; 18] = [
    Facts { channel: Channel::CoolantTemperature, name: "coolant_temperature", spoken: "coolant temperature", unit: "°C", low: -40.0, high: 150.0, j1979: Some(0x05) },
    Facts { channel: Channel::CoolantTemperature2, name: "coolant_temperature_2", spoken: "second coolant temperature", unit: "°C", low: -40.0, high: 150.0, j1979: Some(0x67) },
    Facts { channel: Channel::EngineSpeed, name: "engine_speed", spoken: "engine speed", unit: "rpm", low: 0.0, high: 12_000.0, j1979: Some(0x0C) },
    Facts { channel: Channel::VehicleSpeed, name: "vehicle_speed", spoken: "vehicle speed", unit: "km/h", low: 0.0, high: 254.0, j1979: Some(0x0D) },
    Facts { channel: Channel::EngineLoad, name: "engine_load", spoken: "engine load", unit: "%", low: 0.0, high: 100.0, j1979: Some(0x04) },
    Facts { channel: Channel::ManifoldPressure, name: "manifold_pressure", spoken: "intake manifold pressure", unit: "kPa", low: 0.0, high: 400.0, j1979: Some(0x0B) },
    Facts { channel: Channel::AirFlow, name: "air_flow", spoken: "air flow", unit: "g/s", low: 0.0, high: 655.35, j1979: Some(0x10) },
    Facts { channel: Channel::FuelRate, name: "fuel_rate", spoken: "fuel rate", unit: "L/h", low: 0.0, high: 300.0, j1979: Some(0x5E) },
    Facts { channel: Channel::IntakeAirTemperature, name: "intake_air_temperature", spoken: "intake air temperature", unit: "°C", low: -40.0, high: 150.0, j1979: Some(0x0F) },
    Facts { channel: Channel::AmbientTemperature, name: "ambient_temperature", spoken: "ambient air temperature", unit: "°C", low: -40.0, high: 60.0, j1979: Some(0x46) },
    Facts { channel: Channel::OilTemperature, name: "oil_temperature", spoken: "oil temperature", unit: "°C", low: -40.0, high: 210.0, j1979: Some(0x5C) },
    Facts { channel: Channel::BarometricPressure, name: "barometric_pressure", spoken: "barometric pressure", unit: "kPa", low: 40.0, high: 115.0, j1979: Some(0x33) },
    Facts { channel: Channel::ModuleVoltage, name: "module_voltage", spoken: "control module voltage", unit: "V", low: 0.0, high: 65.535, j1979: Some(0x42) },
    Facts { channel: Channel::RunTime, name: "run_time", spoken: "run time since start", unit: "s", low: 0.0, high: 65_535.0, j1979: Some(0x1F) },
    Facts { channel: Channel::HeaterOutletTemperature, name: "heater_outlet_temperature", spoken: "heater outlet temperature", unit: "°C", low: -40.0, high: 150.0, j1979: None },
    Facts { channel: Channel::RadiatorOutletTemperature, name: "radiator_outlet_temperature", spoken: "radiator outlet temperature", unit: "°C", low: -40.0, high: 150.0, j1979: None },
    Facts { channel: Channel::SystemPressure, name: "system_pressure", spoken: "cooling system pressure", unit: "kPa", low: -100.0, high: 400.0, j1979: None },
    Facts { channel: Channel::ReservoirLevel, name: "reservoir_level", spoken: "reservoir level", unit: "", low: 0.0, high: 100_000.0, j1979: None },
];

impl Channel {
    /// Every channel, in the order in which reports list them.
    pub fn all() -> impl Iterator<Item = Channel> {
        FACTS.iter().map(|facts| facts.channel)
    }

    #[allow(clippy::indexing_slicing, reason = "a row a channel, in the order of the channels; a test holds that")]
    fn facts(self) -> &'static Facts {
        &FACTS[self as usize]
    }

    /// Stable name, as JSON and the command line spell it: `coolant_temperature`.
    pub fn name(self) -> &'static str {
        self.facts().name
    }

    /// The name as people say it: `coolant temperature`.
    pub fn spoken(self) -> &'static str {
        self.facts().spoken
    }

    /// The unit in which the program keeps the channel.
    pub fn unit(self) -> &'static str {
        self.facts().unit
    }

    /// Lowest and highest value that can be a reading, in [`Channel::unit`].
    pub fn range(self) -> (f64, f64) {
        (self.facts().low, self.facts().high)
    }

    /// Parameter number in SAE J1979 service 01.
    pub fn j1979(self) -> Option<u8> {
        self.facts().j1979
    }

    /// The channel with this name; dashes and underscores are alike, case does not matter.
    pub fn from_name(name: &str) -> Option<Channel> {
        let wanted = name.trim().to_ascii_lowercase().replace(['-', ' '], "_");
        FACTS.iter().find(|facts| facts.name == wanted).map(|facts| facts.channel)
    }

    /// Whether the channel is a temperature.
    pub fn is_temperature(self) -> bool {
        self.unit() == "°C"
    }
}

impl Serialize for Channel {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_in_the_order_of_the_channels() {
        for (index, facts) in FACTS.iter().enumerate() {
            assert_eq!(facts.channel as usize, index, "{}", facts.name);
            assert_eq!(Channel::from_name(facts.name), Some(facts.channel));
            assert!(facts.low < facts.high, "{}", facts.name);
        }
    }
}
