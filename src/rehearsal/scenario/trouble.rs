//! What can be wrong with a made vehicle, and the gas that a refill leaves in it.

use crate::rehearsal::pockets::Pocket;

/// What is wrong with the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// The valve never shuts below this share of full lift: 0.3–1.
    StuckOpen(f64),
    /// Opens so many kelvin below its rating: 5–20.
    OpensEarly(f64),
    /// Opens so many kelvin above its rating: 5–15.
    OpensLate(f64),
    /// The fan gives only this share of its air: 0–0.3.
    WeakFan(f64),
    /// Only this share of the radiator is clear, for coolant and air: 0.2–0.5.
    BlockedRadiator(f64),
    /// The pump moves only this share of its flow: 0.1–0.4.
    WeakPump(f64),
    /// The sensor reads so many kelvin high (negative: low): 3–10 either way.
    SensorOffset(f64),
    /// The valve never opens.
    StuckShut,
    /// Gas leaks from the combustion into the coolant, mL/h (local air pressure, 20 °C) at full load, a seventh of it at
    /// idle: 300–6000 (memory: hoses turn hard within minutes of a cold start).
    CombustionGas(f64),
    /// Coolant is lost while hot, mL/h at 100 kPa gauge: 20–300 (trade: a seep that dries on hot metal to a steady drip).
    LeakHot(f64),
    /// Coolant is lost also cold and standing, mL/h: 1–12 (trade: a mark under the car each morning).
    LeakCold(f64),
    /// The coolant truly holds so much more concentrate by volume (negative: less) than the vehicle file states: 0.1–0.25.
    WrongMix(f64),
    /// The cap opens at this share of its pressure, and an overflow bottle gives back only this share: 0–0.4.
    CapNotHolding(f64),
    /// The heater lets only this share of its flow through: 0.01–0.15.
    BlockedHeater(f64),
}

/// Gas in the circuit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Air {
    /// The pockets; none in a circuit that was bled.
    pub pockets: Vec<Pocket>,
}
