//! What a made run is made from: plain data, one struct a part.
//!
//! Every field carries its unit and the range within which `random_scenario` draws it, with the reason: *handbook* (figures of the kind
//! that automotive engineering handbooks and component data sheets give), *trade* (what workshops see, common practice with
//! no source), *memory* (from memory, no source at hand), *choice* (our own, to make detectors meet variety). The defaults
//! describe a healthy petrol car of 1.5 L on a mild day.

use crate::vehicle::{Base, Control, Fuel, ReservoirKind, Side};

mod person;
mod trouble;
mod typical;

pub use super::look_alikes::LookAlike;
pub use super::pockets::{Place, Pocket};
pub use person::{Notes, Refill, Stated};
pub use trouble::{Air, Fault};

pub use super::logger::{Clock, Dialect, Headings, Logger, Proxies, Rounding};

/// One made run.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// What the owner calls the vehicle.
    pub name: String,
    /// Seed of every chance in the run.
    pub seed: u64,
    /// Date and time of the first row, ISO 8601.
    pub started: String,
    /// The engine.
    pub engine: Engine,
    /// The coolant circuit.
    pub circuit: Circuit,
    /// The thermostat.
    pub valve: Valve,
    /// The fan.
    pub fan: Fan,
    /// The reservoir.
    pub reservoir: Reservoir,
    /// The coolant in it.
    pub coolant: Mix,
    /// Mass, drag and gearing.
    pub body: Body,
    /// Air around the vehicle.
    pub weather: Weather,
    /// What is driven.
    pub drive: Drive,
    /// How heater and accessories are used.
    pub cabin: Cabin,
    /// Gas in the circuit at the fill.
    pub air: Air,
    /// What is wrong.
    pub faults: Vec<Fault>,
    /// What was put in to look like air.
    pub look_alike: Option<LookAlike>,
    /// The coolant sensor.
    pub sensor: Sensor,
    /// The recorder.
    pub logger: Logger,
    /// The person with the notebook.
    pub notes: Notes,
    /// What the vehicle file states.
    pub stated: Stated,
}

/// The engine as a source and store of heat. `Engine::of_size` gives typical values for a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engine {
    /// What it burns.
    pub fuel: Fuel,
    /// Displacement, L: 0.9–3 petrol, 1.4–12 diesel (trade).
    pub displacement: f64,
    /// Rated power, kW: 45–75 a litre petrol, 25–60 a litre diesel, less the larger (handbook).
    pub rated_power: f64,
    /// Speed at rated power, rpm: 5000–6500 petrol, 2000–4200 diesel (handbook).
    pub rated_speed: f64,
    /// Warm idling speed, rpm: 600–900 (trade).
    pub idle_speed: f64,
    /// Heat capacity of the head's metal with manifolds, kJ/K: ± 20 % around `of_size` (memory).
    pub head_capacity: f64,
    /// Heat capacity of the block's metal, kJ/K: ± 20 % (memory).
    pub block_capacity: f64,
    /// Heat capacity of the oil, kJ/K: 1.8 kJ/(L K), 3–5 L small, 35 L large (handbook).
    pub oil_capacity: f64,
    /// Share of the fuel's heat that goes into the walls (gas side and exhaust port) at little load: 0.35–0.49 petrol,
    /// 0.25–0.35 diesel. It falls by two fifths towards full load, where handbooks' heat balances stand; at little load the exhaust
    /// is a few grams a second of gas at some 300 °C and cannot carry more than the rest (memory).
    pub wall_share: f64,
    /// Indicated efficiency: 0.35–0.40 petrol, 0.40–0.46 diesel (handbook).
    pub indicated_efficiency: f64,
    /// Rubbing and auxiliaries when warm at low speed as mean pressure, bar: 0.7–1.1 petrol, 0.9–1.5 diesel (handbook).
    pub friction: f64,
    /// Pumping work at little load as mean pressure, bar: 0.5–0.8 petrol (throttled), 0.1–0.3 diesel (handbook).
    pub pumping: f64,
    /// Conductance head metal to coolant at rated pump flow, kW/K: ± 25 % around `of_size` (memory).
    pub head_conductance: f64,
    /// Conductance block metal to coolant at rated pump flow, kW/K: ± 25 % (memory).
    pub block_conductance: f64,
    /// Conductance oil to block, kW/K: ± 30 % (memory).
    pub oil_conductance: f64,
    /// Conductance of the whole engine to the air around it at standstill, kW/K; with all heat stores it makes a
    /// cooling-down time of one to three hours (trade), and grows with road speed.
    pub loss_conductance: f64,
    /// How much richer and faster a cold engine runs, against the typical: 0.6–1.4 (choice).
    pub cold_enrichment: f64,
}

/// Pump, jacket, radiator, heater and hoses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circuit {
    /// Whole system with the reservoir at its MAX mark, L: 4–6 small car to 45 large diesel (handbook).
    pub capacity: f64,
    /// Pump flow at rated speed with the valve open, L/s: for a rise through the engine of 5–9 K at rated power (handbook).
    pub pump_flow: f64,
    /// Share of the flow conductance in the bypass with the valve shut: 0.12–0.45, and 0.35–0.7 with an inlet-side valve,
    /// whose wax lives on it (memory).
    pub bypass_share: f64,
    /// Share of the flow conductance in the heater circuit: 0.06–0.15 (memory).
    pub heater_share: f64,
    /// Share in the vent line through an expansion tank: 0.01–0.03 (memory); 0 with an overflow bottle.
    pub vent_share: f64,
    /// Radiator conductance with the air of 100 km/h and rated flow, kW/K: sized to hold 60 % of rated power at 60–80 K
    /// above ambient (handbook).
    pub radiator_conductance: f64,
    /// Share of the capacity in the head's jacket: 0.14–0.22 (memory).
    pub head_volume_share: f64,
    /// Share of the capacity in the radiator: 0.2–0.32 (memory).
    pub radiator_volume_share: f64,
    /// Share of the capacity in the line from radiator to pump, which sets the transport delay: 0.06–0.16 (memory).
    pub return_volume_share: f64,
    /// Share of the capacity that circulates in the heater and its hoses: 0.06–0.12 (memory).
    pub heater_volume_share: f64,
    /// Conductance of the heater core to the cabin's air at full blower, kW/K: 0.08–0.2 (handbook).
    pub heater_conductance: f64,
    /// Widening of hoses and tank with pressure, mL/kPa: 0.1–0.5 for a car (memory).
    pub compliance: f64,
}

/// The thermostat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Valve {
    /// Stamped start-to-open temperature, °C: 76–105 (trade).
    pub rating: f64,
    /// True start of lift less the stamped rating, K: within ± 2 (trade, (M) in data sheets).
    pub tolerance: f64,
    /// Where it sits.
    pub side: Side,
    /// Wax alone, or wax with an electric heater.
    pub control: Control,
    /// Kelvin of wax from start of lift to fully open: 10–15 (trade).
    pub span: f64,
    /// Width of the play between opening and closing, K: 0.3–2.5, mostly low (memory).
    pub hysteresis: f64,
    /// Time constant of the wax behind the coolant around it, s: 7–40, mostly low (memory; the overshoot and first fall of a real
    /// car, 0–2 and 0–3 K, need some 10 s, the large normal falls of others need more).
    pub wax_lag: f64,
    /// Share of the full flow that passes the shut valve (jiggle pin, leakage): 0.001–0.03 (memory).
    pub bleed: f64,
    /// Flow conductance of the open valve against that of radiator and hoses: 0.5–1.3 (memory).
    pub freedom: f64,
    /// Lift that still seals, as a share of full: 0.01–0.03 (memory; a maker's start-to-open is read at some 0.1 mm of 8 mm).
    pub lip: f64,
    /// How far the full lift shuts the bypass: 0 (not at all) to 0.95 (choice).
    pub bypass_closing: f64,
    /// Kelvin by which a heated valve's heater shifts the wax when fully on: 15–25 (memory).
    pub heating: f64,
}

/// What drives air when the vehicle stands. `strength` is the air heat capacity rate at work, as a share of that at 100 km/h.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fan {
    /// Switched by the engine's control unit on the sensor's reading.
    Electric {
        /// On at this reading, °C: 8–14 above the rating (trade).
        on: f64,
        /// Off at this reading, °C: 2–8 below `on` (trade).
        off: f64,
        /// Runs on after key-off while the reading stays above `off`, at most so long, s: 0–300 (trade).
        run_on: f64,
        /// 0.3–0.6 (memory).
        strength: f64,
    },
    /// Driven by the engine through a fluid coupling that a bimetal in the radiator's air engages.
    Viscous {
        /// Begins to engage at this radiator temperature, °C: 65–80 (memory).
        engages: f64,
        /// Fully engaged so many kelvin above: 10–20 (memory).
        span: f64,
        /// At rated engine speed: 0.5–0.9 (memory).
        strength: f64,
    },
    /// Driven by a belt, always.
    Belt {
        /// At rated engine speed: 0.4–0.8 (memory).
        strength: f64,
    },
}

/// The reservoir.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reservoir {
    /// How it belongs to the circuit.
    pub kind: ReservoirKind,
    /// Whole tank, mL: 1000–2500 car, to 12 000 large (trade).
    pub total: f64,
    /// At the MIN mark, mL.
    pub min_mark: f64,
    /// At the MAX mark, mL.
    pub max_mark: f64,
    /// Scale, mL a millimetre: 6–25 car (trade).
    pub per_mm: f64,
    /// Cap's opening pressure, kPa gauge: 60–140 (trade).
    pub cap: f64,
    /// Level before the drive at the ambient temperature, mL.
    pub cold_level: f64,
    /// Gas that leaves the circuit into the reservoir during the drive without having disturbed a reading, mL, at air
    /// pressure: the ordinary first uptake after a refill, 0–60 for a car (trade).
    pub purged: f64,
}

/// The coolant mixture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mix {
    /// What the concentrate is made of.
    pub base: Base,
    /// Share of concentrate by volume: 0.33–0.6 (trade).
    pub volume_fraction: f64,
    /// Its growth with warmth against the tables' middle: 0.96–1.04 (published tables differ by so much).
    pub growth_scale: f64,
}

/// What resists motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Mass with load and trailer, kg.
    pub mass: f64,
    /// Drag coefficient times frontal area, m²: 0.6–0.8 car, 5–6 truck (handbook).
    pub drag_area: f64,
    /// Rolling resistance coefficient: 0.008–0.014, 0.03 tractor on a track (handbook).
    pub rolling: f64,
    /// Highest speed that is driven, km/h.
    pub top_speed: f64,
    /// Engine speed a km/h in the highest gear, rpm/(km/h).
    pub top_gear: f64,
    /// Number of gears, each 1.38 times shorter than the next (choice).
    pub gears: u32,
}

/// Air around the vehicle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// °C: −25 to 42.
    pub ambient: f64,
    /// m: 0–2500.
    pub altitude: f64,
}

/// Which kind of road.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Road {
    /// Standing with the engine idling.
    Idle,
    /// 25–55 km/h with many stops.
    Town,
    /// 50–95 km/h, few stops.
    Rural,
    /// 95–130 km/h.
    Motorway,
    /// 40–75 km/h up 4–8 %, then down again.
    Hill,
    /// Town, rural, motorway and town again.
    Mixed,
    /// 5–30 km/h, standing more than rolling.
    Traffic,
}

impl Road {
    /// Every kind with its name.
    pub const NAMED: [(&str, Road); 7] = [
        ("idle", Road::Idle),
        ("town", Road::Town),
        ("rural", Road::Rural),
        ("motorway", Road::Motorway),
        ("hill", Road::Hill),
        ("mixed", Road::Mixed),
        ("traffic", Road::Traffic),
    ];
}

/// How the engine begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Start {
    /// Everything at ambient after a night.
    Cold,
    /// Restart: coolant and metal this warm (°C), the radiator half way to ambient.
    Warm(f64),
}

/// What is driven, and when the log begins and ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    /// Kind of road.
    pub road: Road,
    /// Cold or warm start.
    pub start: Start,
    /// The engine fires so long after the ignition is on, s: 0–30 (choice).
    pub fires_after: f64,
    /// Standing with the engine running before moving off, s: 5–180 (choice).
    pub idle_before: f64,
    /// Driving, stops included, s.
    pub moving: f64,
    /// Most of the engine's rated power that the driver uses: 0.25–0.6, trucks 0.7–0.95 (choice); two thirds of it in the first five minutes.
    pub eagerness: f64,
    /// Standing with the engine running before key-off, s: 10–600 (choice).
    pub idle_after: f64,
    /// The first row is written so long after the ignition is on, s; 0 unless the log starts in mid-run.
    pub log_begins: f64,
    /// Rows go on so long after key-off, s; negative: the log ends before key-off.
    pub log_after_key_off: f64,
}

/// Heater and accessories.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cabin {
    /// Heater valve: 1 open (full hot, as for bleeding), 0 shut.
    pub heater_valve: f64,
    /// Blower: 0 to 1.
    pub blower: f64,
    /// Power of a cycling accessory (compressor), kW at the engine: 0, or 1–4 (trade).
    pub accessory: f64,
    /// Its cycle, s: 15–60 (choice); on for half of it.
    pub accessory_period: f64,
    /// Period with which a cabin thermostat opens the heater valve and shuts it, s: 0 (none) or 40–200 (choice).
    pub valve_period: f64,
}

/// The coolant sensor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensor {
    /// Time constant, s: 3–8 (memory).
    pub lag: f64,
    /// Healthy scatter between sensors: reading less truth, K: within ± 1 (memory).
    pub offset: f64,
    /// Noise of the converter, K: 0.02–0.15 (choice).
    pub noise: f64,
}

impl Scenario {
    /// The coolant as it truly is.
    pub fn mix(&self) -> Mix {
        let wrong: f64 = self.faults.iter().map(|fault| if let Fault::WrongMix(by) = fault { *by } else { 0.0 }).sum();
        Mix { volume_fraction: (self.coolant.volume_fraction + wrong).clamp(0.0, 0.7), ..self.coolant }
    }

    /// Above how much gas the circuit counts as not bled: 60 mL or 1 % of the capacity, whichever is more.
    pub fn threshold(&self) -> f64 {
        (10.0 * self.circuit.capacity).max(60.0)
    }
}
