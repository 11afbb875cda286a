//! Typical values: an engine and a circuit by size, and the default scenario, a healthy petrol car of 1.5 L.

use super::{
    Air, Body, Cabin, Circuit, Drive, Engine, Fan, Logger, Mix, Notes, Reservoir, Road, Scenario, Sensor, Start, Stated, Valve, Weather,
};
use crate::vehicle::{Base, Control, Fuel, ReservoirKind, Side};

impl Engine {
    /// Typical values for a fuel and a displacement in litres, from a straight line through a small car and a large truck.
    pub fn of_size(fuel: Fuel, displacement: f64) -> Self {
        let diesel = fuel == Fuel::Diesel;
        let large = crate::rehearsal::arithmetic::share_between(displacement, 2.0, 12.0);
        let pick = |petrol: f64, diesel_value: f64| if diesel { diesel_value } else { petrol };
        let rated_power = displacement * pick(57.0 - 4.0 * displacement.min(3.0), 50.0 - 22.0 * large);
        Self {
            fuel,
            displacement,
            rated_power,
            rated_speed: pick(5800.0, 4000.0 - 1900.0 * large),
            idle_speed: pick(700.0, 800.0 - 200.0 * large),
            head_capacity: pick(3.5 + 3.5 * displacement, 4.0 + 6.0 * displacement),
            block_capacity: pick(8.0 + 9.5 * displacement, 10.0 + 22.0 * displacement),
            oil_capacity: 1.8 * pick(2.4 + 1.0 * displacement, 2.0 + 2.6 * displacement),
            wall_share: pick(0.42, 0.3),
            indicated_efficiency: pick(0.38, 0.43),
            friction: pick(0.95, 1.2),
            pumping: pick(0.7, 0.2),
            head_conductance: rated_power * 0.02,
            block_conductance: rated_power * 0.0055,
            oil_conductance: 0.03 + 0.02 * displacement,
            loss_conductance: pick(0.006 + 0.004 * displacement, 0.006 + 0.006 * displacement),
            cold_enrichment: 1.0,
        }
    }
}

impl Circuit {
    /// Typical values for an engine.
    pub fn of_engine(engine: &Engine) -> Self {
        let diesel = engine.fuel == Fuel::Diesel;
        Self {
            capacity: if diesel { 4.0 + 3.1 * engine.displacement } else { 2.8 + 1.9 * engine.displacement },
            pump_flow: 0.6 * engine.rated_power / (crate::rehearsal::circuit::HEAT_PER_LITRE * 7.0),
            bypass_share: 0.25,
            heater_share: 0.1,
            vent_share: 0.015,
            radiator_conductance: 0.6 * engine.rated_power / 65.0,
            head_volume_share: 0.18,
            radiator_volume_share: 0.27,
            return_volume_share: 0.11,
            heater_volume_share: 0.1,
            heater_conductance: 0.1 + 0.006 * engine.displacement,
            compliance: 0.25,
        }
    }
}

impl Default for Scenario {
    fn default() -> Self {
        let engine = Engine::of_size(Fuel::Petrol, 1.5);
        Self {
            name: "a made run".to_owned(),
            seed: 1,
            started: "2026-03-02T07:41:10".to_owned(),
            engine,
            circuit: Circuit::of_engine(&engine),
            valve: Valve::default(),
            fan: Fan::Electric { on: 96.0, off: 91.0, run_on: 120.0, strength: 0.45 },
            reservoir: Reservoir::default(),
            coolant: Mix { base: Base::EthyleneGlycol, volume_fraction: 0.5, growth_scale: 1.0 },
            body: Body { mass: 1250.0, drag_area: 0.68, rolling: 0.011, top_speed: 130.0, top_gear: 26.0, gears: 5 },
            weather: Weather { ambient: 18.0, altitude: 150.0 },
            drive: Drive::default(),
            cabin: Cabin { heater_valve: 1.0, blower: 0.2, accessory: 0.0, accessory_period: 24.0, valve_period: 0.0 },
            air: Air::default(),
            faults: Vec::new(),
            look_alike: None,
            sensor: Sensor { lag: 5.0, offset: 0.0, noise: 0.05 },
            logger: Logger::default(),
            notes: Notes::default(),
            stated: Stated { thermostat: true, reservoir: true, rating_error: 0.0 },
        }
    }
}

impl Default for Notes {
    fn default() -> Self {
        Self {
            taken: true,
            hot_after: 180.0,
            cold_after: 43_200.0,
            error_mm: 2.0,
            uneven_mm: 0.0,
            cycles: 1,
            logged_cycle: 1,
            tops_up: false,
            refill: None,
        }
    }
}

impl Default for Valve {
    fn default() -> Self {
        Self {
            rating: 83.0,
            tolerance: 0.0,
            side: Side::Outlet,
            control: Control::Wax,
            span: 13.0,
            hysteresis: 1.0,
            wax_lag: 12.0,
            bleed: 0.003,
            freedom: 0.8,
            lip: 0.02,
            bypass_closing: 0.6,
            heating: 0.0,
        }
    }
}

impl Default for Reservoir {
    fn default() -> Self {
        Self {
            kind: ReservoirKind::ExpansionTank,
            total: 1500.0,
            min_mark: 400.0,
            max_mark: 800.0,
            per_mm: 12.0,
            cap: 110.0,
            cold_level: 560.0,
            purged: 25.0,
        }
    }
}

impl Default for Drive {
    fn default() -> Self {
        Self {
            road: Road::Mixed,
            start: Start::Cold,
            fires_after: 6.0,
            idle_before: 40.0,
            moving: 1500.0,
            eagerness: 0.4,
            idle_after: 240.0,
            log_begins: 0.0,
            log_after_key_off: 600.0,
        }
    }
}
