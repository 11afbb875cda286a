//! Invented stories for the sample logs. Nothing in them is real.

mod air;

use super::scenario::{Body, Cabin, Circuit, Clock, Dialect, Drive, Engine, Fan, Fault, Headings, Logger, Mix, Notes, Proxies};
use super::scenario::{Reservoir, Road, Rounding, Scenario, Start, Stated, Valve, Weather};
use crate::vehicle::{Base, Fuel, ReservoirKind, Side, Vehicle};

/// Every story: its name, and what happens in it.
pub const STORIES: [(&str, &str); 10] = [
    ("bakery-van", "A bakery's delivery van, diesel, on its round after a refill on a mild morning: healthy."),
    ("riding-school-tractor", "A riding school's tractor feeds hay in hard frost, idling and creeping: the valve never opens."),
    ("launch-truck", "A lifeboat station's launch truck on the coast road: its thermostat no longer shuts."),
    ("market-garden-pickup", "A market gardener's pickup with an inlet-side valve, logged with semicolons and decimal commas: healthy."),
    ("ferry-shuttle", "A ferry shuttle's petrol minibus waits on the quay in summer: its fan does not turn."),
    ("trapped-air", "A choir conductor's estate car after a refill: air at the thermostat and in the heater that stays."),
    ("chapel-minibus", "A chapel's minibus filled in a hurry: its valve opens late and hot, its heater is cold at idle."),
    ("canal-lorry", "A canal works' lorry of 17 L with 10 L exchanged: an ordinary first heat cycle, its bottle gives 250 mL back."),
    ("beekeepers-van", "A beekeeper's van, noted over three mornings: the log is calm, the level falls each time."),
    ("ski-tow-pickup", "A ski tow's pickup with combustion gas in the coolant: purging that never ends."),
];

/// The scenario of a story; `None` for a name that no story has.
pub fn story(name: &str, seed: u64) -> Option<Scenario> {
    let scenario = match name {
        "bakery-van" => bakery_van(),
        "riding-school-tractor" => riding_school_tractor(),
        "launch-truck" => launch_truck(),
        "market-garden-pickup" => market_garden_pickup(),
        "ferry-shuttle" => ferry_shuttle(),
        "trapped-air" => air::trapped_air(),
        "chapel-minibus" => air::chapel_minibus(),
        "canal-lorry" => air::canal_lorry(),
        "beekeepers-van" => air::beekeepers_van(),
        "ski-tow-pickup" => air::ski_tow_pickup(),
        _ => return None,
    };
    Some(Scenario { seed, ..scenario })
}

fn bakery_van() -> Scenario {
    let engine = Engine::of_size(Fuel::Diesel, 1.6);
    Scenario {
        name: "the bakery's van".to_owned(),
        started: "2026-03-02T05:12:20".to_owned(),
        engine,
        circuit: Circuit { capacity: 7.2, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 83.0, tolerance: 0.6, ..Valve::default() },
        fan: Fan::Electric { on: 97.0, off: 92.0, run_on: 60.0, strength: 0.4 },
        reservoir: Reservoir { cold_level: 560.0, purged: 22.0, ..Reservoir::default() },
        body: Body { mass: 1900.0, drag_area: 1.05, rolling: 0.011, top_speed: 100.0, top_gear: 21.0, gears: 5 },
        weather: Weather { ambient: 9.0, altitude: 210.0 },
        drive: Drive {
            road: Road::Mixed,
            moving: 2100.0,
            idle_before: 60.0,
            idle_after: 180.0,
            log_after_key_off: 900.0,
            ..Drive::default()
        },
        cabin: Cabin { blower: 0.3, ..Scenario::default().cabin },
        logger: Logger { row_rate: 1.0, poll_period: 0.9, ..Logger::default() },
        ..Scenario::default()
    }
}

fn riding_school_tractor() -> Scenario {
    let engine = Engine::of_size(Fuel::Diesel, 3.3);
    Scenario {
        name: "the riding school's tractor".to_owned(),
        started: "2026-01-17T07:05:00".to_owned(),
        engine,
        circuit: Circuit { capacity: 13.5, vent_share: 0.0, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 82.0, tolerance: -0.4, wax_lag: 35.0, ..Valve::default() },
        fan: Fan::Belt { strength: 0.5 },
        reservoir: Reservoir {
            kind: ReservoirKind::OverflowBottle,
            total: 1600.0,
            min_mark: 350.0,
            max_mark: 900.0,
            per_mm: 14.0,
            cap: 90.0,
            cold_level: 620.0,
            purged: 40.0,
        },
        body: Body { mass: 3600.0, drag_area: 3.2, rolling: 0.028, top_speed: 18.0, top_gear: 62.0, gears: 8 },
        weather: Weather { ambient: -14.0, altitude: 420.0 },
        drive: Drive {
            road: Road::Town,
            eagerness: 0.5,
            fires_after: 12.0,
            idle_before: 600.0,
            moving: 900.0,
            idle_after: 900.0,
            log_after_key_off: 20.0,
            ..Drive::default()
        },
        cabin: Cabin { blower: 1.0, ..Scenario::default().cabin },
        logger: Logger { row_rate: 1.0, poll_period: 2.0, proxies: Proxies::Load, surroundings: false, ..Logger::default() },
        notes: Notes { cold_after: 36_000.0, ..Scenario::default().notes },
        ..Scenario::default()
    }
}

fn launch_truck() -> Scenario {
    let engine = Engine::of_size(Fuel::Diesel, 5.9);
    Scenario {
        name: "the lifeboat station's launch truck".to_owned(),
        started: "2026-02-21T09:30:00".to_owned(),
        engine,
        circuit: Circuit { capacity: 24.0, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 82.0, ..Valve::default() },
        faults: vec![Fault::StuckOpen(0.7)],
        fan: Fan::Viscous { engages: 75.0, span: 15.0, strength: 0.7 },
        reservoir: Reservoir {
            total: 5000.0,
            min_mark: 1500.0,
            max_mark: 2700.0,
            per_mm: 35.0,
            cap: 75.0,
            cold_level: 2200.0,
            purged: 70.0,
            ..Reservoir::default()
        },
        body: Body { mass: 9800.0, drag_area: 5.2, rolling: 0.009, top_speed: 85.0, top_gear: 21.0, gears: 8 },
        weather: Weather { ambient: 6.0, altitude: 5.0 },
        drive: Drive {
            road: Road::Rural,
            eagerness: 0.85,
            moving: 2700.0,
            idle_before: 120.0,
            idle_after: 240.0,
            log_after_key_off: 300.0,
            ..Drive::default()
        },
        cabin: Cabin { blower: 0.5, ..Scenario::default().cabin },
        logger: Logger {
            row_rate: 1.0,
            poll_period: 0.5,
            proxies: Proxies::FuelRate,
            dialect: Dialect { headings: Headings::Short, clock: Clock::Iso, ..Dialect::default() },
            ..Logger::default()
        },
        ..Scenario::default()
    }
}

fn market_garden_pickup() -> Scenario {
    let engine = Engine::of_size(Fuel::Petrol, 2.4);
    Scenario {
        name: "the market gardener's pickup".to_owned(),
        started: "2026-05-09T06:48:00".to_owned(),
        engine,
        circuit: Circuit { capacity: 8.6, bypass_share: 0.5, ..Circuit::of_engine(&engine) },
        valve: Valve { rating: 82.0, tolerance: 0.3, side: Side::Inlet, bypass_closing: 0.9, hysteresis: 1.2, ..Valve::default() },
        fan: Fan::Electric { on: 98.0, off: 93.0, run_on: 0.0, strength: 0.5 },
        coolant: Mix { base: Base::PropyleneGlycol, volume_fraction: 0.45, growth_scale: 1.0 },
        body: Body { mass: 1850.0, drag_area: 0.95, rolling: 0.013, top_speed: 110.0, top_gear: 25.0, gears: 5 },
        weather: Weather { ambient: 13.0, altitude: 320.0 },
        drive: Drive {
            road: Road::Rural,
            moving: 2000.0,
            idle_before: 90.0,
            idle_after: 240.0,
            log_after_key_off: 240.0,
            ..Drive::default()
        },
        logger: Logger {
            row_rate: 2.0,
            poll_period: 1.1,
            proxies: Proxies::ManifoldPressure,
            surroundings: true,
            dialect: Dialect {
                delimiter: ';',
                decimal_comma: true,
                headings: Headings::UnitRow,
                clock: Clock::OfDay,
                crlf: true,
                ..Dialect::default()
            },
            ..Logger::default()
        },
        ..Scenario::default()
    }
}

fn ferry_shuttle() -> Scenario {
    let engine = Engine::of_size(Fuel::Petrol, 2.0);
    Scenario {
        name: "the ferry shuttle's minibus".to_owned(),
        started: "2026-07-18T10:20:00".to_owned(),
        engine,
        valve: Valve { rating: 87.0, ..Valve::default() },
        circuit: Circuit::of_engine(&engine),
        faults: vec![Fault::WeakFan(0.0)],
        fan: Fan::Electric { on: 99.0, off: 94.0, run_on: 0.0, strength: 0.45 },
        body: Body { mass: 2300.0, drag_area: 1.4, rolling: 0.012, top_speed: 90.0, top_gear: 27.0, gears: 5 },
        weather: Weather { ambient: 31.0, altitude: 10.0 },
        drive: Drive {
            road: Road::Town,
            start: Start::Cold,
            moving: 1500.0,
            idle_after: 480.0,
            log_after_key_off: 60.0,
            ..Drive::default()
        },
        cabin: Cabin { heater_valve: 1.0, blower: 0.1, accessory: 2.0, accessory_period: 30.0, valve_period: 0.0 },
        logger: Logger {
            row_rate: 1.0,
            poll_period: 1.6,
            rounding: Rounding::CountThenDown(0.625),
            proxies: Proxies::AirFlow,
            dialect: Dialect { headings: Headings::Bare, ..Dialect::default() },
            ..Logger::default()
        },
        stated: Stated { thermostat: true, reservoir: false, rating_error: 0.0 },
        ..Scenario::default()
    }
}

/// A story driven otherwise: on another kind of road, in other weather, with a vehicle as its owner states it.
pub fn story_with(name: &str, seed: u64, drive: Option<Road>, ambient: Option<f64>, vehicle: Option<&Vehicle>) -> Option<Scenario> {
    let mut scenario = story(name, seed)?;
    if let Some(road) = drive {
        scenario.drive.road = road;
    }
    if let Some(celsius) = ambient {
        scenario.weather.ambient = celsius.clamp(-40.0, 55.0);
    }
    if let Some(vehicle) = vehicle {
        super::vehicle_file::apply(vehicle, &mut scenario);
    }
    Some(scenario)
}
