//! Stories with gas in the circuit, a leak, and the ordinary first uptake after a refill.

use crate::rehearsal::pockets::{Place, Pocket};
use crate::rehearsal::scenario::{
    Air, Body, Cabin, Circuit, Clock, Dialect, Drive, Engine, Fan, Fault, Headings, Logger, Notes, Proxies, Refill, Reservoir, Road,
    Rounding, Scenario, Start, Valve, Weather,
};
use crate::vehicle::{Fuel, ReservoirKind, Side};

fn pocket(place: Place, millilitres: f64, hold: f64) -> Pocket {
    Pocket { place, millilitres, hold, shelter: 0.7 }
}

/// A car with pockets at the thermostat and in the heater that hold for days, whatever the drive.
pub(super) fn trapped_air() -> Scenario {
    let engine = Engine::of_size(Fuel::Petrol, 1.6);
    Scenario {
        name: "the choir conductor's estate car".to_owned(),
        started: "2026-04-11T08:10:00".to_owned(),
        engine,
        circuit: Circuit { capacity: 6.2, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 87.0, tolerance: 0.4, ..Valve::default() },
        fan: Fan::Electric { on: 98.0, off: 93.0, run_on: 60.0, strength: 0.45 },
        air: Air { pockets: vec![pocket(Place::Thermostat, 80.0, 40_000.0), pocket(Place::Heater, 110.0, 40_000.0)] },
        weather: Weather { ambient: 11.0, altitude: 180.0 },
        drive: Drive { road: Road::Mixed, moving: 1800.0, log_after_key_off: 600.0, ..Drive::default() },
        cabin: Cabin { blower: 0.4, ..Scenario::default().cabin },
        logger: Logger { heater_probe: true, poll_period: 0.8, ..Logger::default() },
        notes: Notes { refill: Some(Refill { drained: 4300.0, warmth: 45.0, error: 0.025 }), ..Notes::default() },
        ..Scenario::default()
    }
}

/// A minibus filled in a hurry: the wax stands in vapour until the valve opens late and far too hot, the heater is cold at idle.
pub(super) fn chapel_minibus() -> Scenario {
    let engine = Engine::of_size(Fuel::Diesel, 2.2);
    Scenario {
        name: "the chapel's minibus".to_owned(),
        started: "2026-10-24T16:02:30".to_owned(),
        engine,
        circuit: Circuit { capacity: 11.0, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 82.0, tolerance: 0.2, ..Valve::default() },
        fan: Fan::Electric { on: 97.0, off: 92.0, run_on: 0.0, strength: 0.5 },
        reservoir: Reservoir { total: 2600.0, min_mark: 800.0, max_mark: 1500.0, per_mm: 18.0, cold_level: 1350.0, ..Reservoir::default() },
        air: Air {
            pockets: vec![
                Pocket { place: Place::Thermostat, millilitres: 130.0, hold: 700.0, shelter: 0.6 },
                pocket(Place::Heater, 260.0, 12_000.0),
            ],
        },
        body: Body { mass: 2600.0, drag_area: 1.7, rolling: 0.012, top_speed: 95.0, top_gear: 21.0, gears: 6 },
        weather: Weather { ambient: 7.0, altitude: 260.0 },
        drive: Drive {
            road: Road::Rural,
            eagerness: 0.55,
            idle_before: 180.0,
            moving: 2100.0,
            idle_after: 420.0,
            log_after_key_off: 300.0,
            ..Drive::default()
        },
        cabin: Cabin { blower: 0.6, ..Scenario::default().cabin },
        logger: Logger {
            row_rate: 1.0,
            poll_period: 0.9,
            heater_probe: true,
            rounding: Rounding::Nearest(1.0),
            proxies: Proxies::FuelRate,
            dialect: Dialect { headings: Headings::Short, clock: Clock::Iso, ..Dialect::default() },
            ..Logger::default()
        },
        notes: Notes { refill: Some(Refill { drained: 7900.0, warmth: 52.0, error: 0.025 }), ..Notes::default() },
        ..Scenario::default()
    }
}

/// A lorry of 17 L with 10 L exchanged and its bottle full to the mark: under a stiff cap the bubbles take much of the growth up, so
/// that the bottle stays just under its brim; they leave as the cap lifts, and by the next morning the bottle has given 200–300 mL
/// back. The reading is calm throughout.
pub(super) fn canal_lorry() -> Scenario {
    let engine = Engine::of_size(Fuel::Diesel, 4.2);
    Scenario {
        name: "the canal works' lorry".to_owned(),
        started: "2026-07-20T06:30:00".to_owned(),
        engine,
        circuit: Circuit { capacity: 17.0, vent_share: 0.0, compliance: 1.2, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 82.0, tolerance: 0.3, side: Side::Outlet, wax_lag: 10.0, bleed: 0.012, ..Valve::default() },
        fan: Fan::Viscous { engages: 75.0, span: 15.0, strength: 0.7 },
        reservoir: Reservoir {
            kind: ReservoirKind::OverflowBottle,
            total: 2100.0,
            min_mark: 700.0,
            max_mark: 1900.0,
            per_mm: 16.0,
            cap: 137.0,
            cold_level: 1880.0,
            purged: 285.0,
        },
        body: Body { mass: 6800.0, drag_area: 4.6, rolling: 0.009, top_speed: 85.0, top_gear: 22.0, gears: 6 },
        weather: Weather { ambient: 24.0, altitude: 90.0 },
        drive: Drive {
            road: Road::Rural,
            eagerness: 0.8,
            idle_before: 240.0,
            moving: 2700.0,
            idle_after: 120.0,
            log_after_key_off: 240.0,
            ..Drive::default()
        },
        cabin: Cabin { blower: 0.3, ..Scenario::default().cabin },
        logger: Logger { poll_period: 0.5, proxies: Proxies::FuelRate, ..Logger::default() },
        notes: Notes { refill: Some(Refill { drained: 10_000.0, warmth: 40.0, error: 0.025 }), ..Notes::default() },
        ..Scenario::default()
    }
}

/// A van that loses coolant while hot, noted over three mornings; its log is calm.
pub(super) fn beekeepers_van() -> Scenario {
    let engine = Engine::of_size(Fuel::Diesel, 1.9);
    Scenario {
        name: "the beekeeper's van".to_owned(),
        started: "2026-06-08T07:20:00".to_owned(),
        engine,
        circuit: Circuit { capacity: 8.4, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 83.0, wax_lag: 9.0, ..Valve::default() },
        faults: vec![Fault::LeakHot(230.0)],
        reservoir: Reservoir { total: 1800.0, min_mark: 500.0, max_mark: 950.0, cold_level: 900.0, purged: 15.0, ..Reservoir::default() },
        weather: Weather { ambient: 16.0, altitude: 120.0 },
        body: Body { mass: 1900.0, drag_area: 1.1, rolling: 0.012, top_speed: 100.0, top_gear: 21.0, gears: 5 },
        drive: Drive { road: Road::Rural, moving: 2700.0, idle_after: 120.0, log_after_key_off: 120.0, ..Drive::default() },
        logger: Logger { proxies: Proxies::Load, poll_period: 1.2, ..Logger::default() },
        notes: Notes { cycles: 3, logged_cycle: 3, ..Notes::default() },
        ..Scenario::default()
    }
}

/// A pickup whose head gasket lets gas into the coolant: hoses hard soon after a cold start, and purging that never ends.
pub(super) fn ski_tow_pickup() -> Scenario {
    let engine = Engine::of_size(Fuel::Petrol, 2.5);
    Scenario {
        name: "the ski tow's pickup".to_owned(),
        started: "2026-01-30T07:55:00".to_owned(),
        engine,
        circuit: Circuit { capacity: 8.0, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 82.0, ..Valve::default() },
        fan: Fan::Electric { on: 97.0, off: 92.0, run_on: 0.0, strength: 0.5 },
        air: Air { pockets: vec![Pocket { place: Place::Sensor, millilitres: 40.0, hold: 300.0, shelter: 0.6 }] },
        faults: vec![Fault::CombustionGas(3200.0)],
        reservoir: Reservoir { total: 1900.0, min_mark: 550.0, max_mark: 1000.0, cold_level: 900.0, purged: 20.0, ..Reservoir::default() },
        weather: Weather { ambient: -6.0, altitude: 1150.0 },
        body: Body { mass: 2300.0, drag_area: 1.05, rolling: 0.014, top_speed: 100.0, top_gear: 25.0, gears: 5 },
        drive: Drive { road: Road::Hill, start: Start::Cold, eagerness: 0.6, moving: 2100.0, log_after_key_off: 300.0, ..Drive::default() },
        logger: Logger { proxies: Proxies::ManifoldPressure, pressure_sensor: true, ..Logger::default() },
        notes: Notes { cycles: 3, ..Notes::default() },
        ..Scenario::default()
    }
}
