//! Scenarios by chance, over wide ranges.
//!
//! Each parameter's range and reason stand at its field in `scenario`. Here they are drawn together so that vehicles stay
//! coherent (a truck has a truck's radiator), while every ratio between parts scatters on its own: a detector tuned to one
//! corner must fail. About four runs in ten are faulty in one way; one in eight starts warm.

use super::logger::{Clock, Dialect, Headings, Logger, Proxies, Rounding};
use super::random::Random;
use super::scenario::{
    Air, Body, Cabin, Circuit, Drive, Engine, Fan, Fault, Mix, Notes, Reservoir, Road, Scenario, Sensor, Start, Stated, Valve, Weather,
};
use crate::vehicle::{Base, Control, Fuel, ReservoirKind, Side};

/// A scenario for a seed: any vehicle, drive, weather, recorder and fault.
pub fn random_scenario(seed: u64) -> Scenario {
    let mut random = Random::new(seed, 0);
    let engine = engine(&mut random);
    let valve = valve(&engine, &mut random);
    let circuit = circuit(&engine, valve.side, &mut random);
    let weather = Weather {
        ambient: random.normal_within(14.0, 14.0, -25.0, 42.0),
        // Most people live low.
        altitude: if random.chance(0.75) { random.between(0.0, 500.0) } else { random.between(500.0, 2500.0) },
    };
    let drive = drive(&engine, &mut random);
    let faults = if random.chance(0.6) { Vec::new() } else { vec![fault(&mut random)] };
    let fan = fan(&engine, &valve, &mut random);
    let body = body(&engine, &drive, &mut random);
    let cabin = cabin(&engine, weather.ambient, &mut random);
    let reservoir = reservoir(&engine, &circuit, &mut random);
    Scenario {
        name: format!("made run {seed}"),
        seed,
        started: started(&mut random),
        engine,
        circuit: if reservoir.kind == ReservoirKind::OverflowBottle { Circuit { vent_share: 0.0, ..circuit } } else { circuit },
        valve,
        fan,
        reservoir,
        coolant: Mix {
            base: if random.chance(0.85) { Base::EthyleneGlycol } else { Base::PropyleneGlycol },
            volume_fraction: random.between(0.33, 0.6),
            growth_scale: random.between(0.96, 1.04),
        },
        body,
        weather,
        drive,
        cabin,
        air: Air::default(),
        faults,
        look_alike: None,
        sensor: Sensor {
            lag: random.between(3.0, 8.0),
            offset: random.normal_within(0.0, 0.4, -1.0, 1.0),
            noise: random.between_log(0.02, 0.15),
        },
        logger: logger(&mut random, drive.log_after_key_off),
        notes: Notes {
            taken: random.chance(0.7),
            hot_after: random.between(60.0, 600.0).round(),
            cold_after: (3600.0 * random.between(8.0, 16.0)).round(),
            ..Notes::default()
        },
        stated: Stated { thermostat: random.chance(0.75), reservoir: random.chance(0.7), rating_error: 0.0 },
    }
}

fn started(random: &mut Random) -> String {
    let [month, day, hour, minute, second] = [12.0, 28.0, 15.0, 60.0, 60.0].map(|count| (random.unit() * count) as u32);
    format!("2026-{:02}-{:02}T{:02}:{minute:02}:{second:02}", month + 1, day + 1, hour + 5)
}

fn engine(random: &mut Random) -> Engine {
    let fuel = random.choose(&[(0.55, Fuel::Petrol), (0.4, Fuel::Diesel), (0.05, Fuel::Gas)]).unwrap_or(Fuel::Petrol);
    let displacement = match fuel {
        Fuel::Diesel if random.chance(0.3) => random.between_log(3.0, 12.0),
        Fuel::Diesel => random.between(1.4, 3.0),
        _ => random.between_log(0.9, 3.0),
    };
    let mut around = |value: f64, by: f64| value * (1.0 + by * random.between(-1.0, 1.0));
    let typical = Engine::of_size(fuel, displacement);
    Engine {
        rated_power: around(typical.rated_power, 0.2),
        rated_speed: around(typical.rated_speed, 0.08),
        idle_speed: around(typical.idle_speed, 0.12),
        head_capacity: around(typical.head_capacity, 0.2),
        block_capacity: around(typical.block_capacity, 0.2),
        oil_capacity: around(typical.oil_capacity, 0.2),
        wall_share: around(typical.wall_share, 0.16),
        indicated_efficiency: around(typical.indicated_efficiency, 0.06),
        friction: around(typical.friction, 0.2),
        pumping: around(typical.pumping, 0.25),
        head_conductance: around(typical.head_conductance, 0.25),
        block_conductance: around(typical.block_conductance, 0.25),
        oil_conductance: around(typical.oil_conductance, 0.3),
        loss_conductance: around(typical.loss_conductance, 0.35),
        cold_enrichment: random.between(0.6, 1.4),
        ..typical
    }
}

fn circuit(engine: &Engine, side: Side, random: &mut Random) -> Circuit {
    let typical = Circuit::of_engine(engine);
    Circuit {
        capacity: typical.capacity * random.between(0.8, 1.25),
        pump_flow: typical.pump_flow * random.between(7.0 / 9.0, 7.0 / 5.0),
        bypass_share: if side == Side::Inlet { random.between(0.35, 0.7) } else { random.between(0.12, 0.45) },
        heater_share: random.between(0.06, 0.15),
        vent_share: random.between(0.01, 0.03),
        radiator_conductance: typical.radiator_conductance * random.between(0.85, 1.25),
        head_volume_share: random.between(0.14, 0.22),
        radiator_volume_share: random.between(0.2, 0.32),
        return_volume_share: random.between(0.06, 0.16),
        heater_volume_share: random.between(0.06, 0.12),
        heater_conductance: typical.heater_conductance * random.between(0.8, 1.5),
        compliance: random.between_log(0.1, 0.5) * typical.capacity / 7.0,
    }
}

fn valve(engine: &Engine, random: &mut Random) -> Valve {
    let inlet = random.chance(0.35);
    let heated = engine.fuel != Fuel::Diesel && random.chance(0.1);
    // Stamped ratings as they are sold; heated ones are stamped high.
    let common =
        [(0.1, 76.0), (0.1, 79.0), (0.2, 82.0), (0.15, 83.0), (0.05, 85.0), (0.15, 87.0), (0.15, 88.0), (0.07, 89.0), (0.03, 92.0)];
    let rating = if heated { random.choose(&[(0.3, 98.0), (0.4, 103.0), (0.3, 105.0)]) } else { random.choose(&common) };
    Valve {
        rating: rating.unwrap_or(83.0),
        tolerance: random.normal_within(0.0, 0.8, -2.0, 2.0),
        side: if inlet { Side::Inlet } else { Side::Outlet },
        control: if heated { Control::Heated } else { Control::Wax },
        span: random.between(10.0, 15.0),
        hysteresis: random.between_log(0.3, 2.5),
        wax_lag: random.between_log(7.0, 40.0).min(random.between_log(7.0, 40.0)),
        bleed: random.between_log(0.001, 0.03),
        freedom: random.between(0.5, 1.3),
        lip: random.between(0.01, 0.03),
        bypass_closing: if inlet { random.between(0.6, 0.95) } else { random.between(0.0, 0.95) },
        heating: if heated { random.between(15.0, 25.0) } else { 0.0 },
    }
}

fn fan(engine: &Engine, valve: &Valve, random: &mut Random) -> Fan {
    let large = engine.displacement > 4.0;
    if large || (engine.fuel == Fuel::Diesel && random.chance(0.15)) {
        return if random.chance(0.85) {
            Fan::Viscous { engages: random.between(65.0, 80.0), span: random.between(10.0, 20.0), strength: random.between(0.5, 0.9) }
        } else {
            Fan::Belt { strength: random.between(0.4, 0.8) }
        };
    }
    let above = if valve.heating > 0.0 { random.between(4.0, 7.0) } else { random.between(9.0, 14.0) };
    let on = (valve.rating + above).round();
    Fan::Electric {
        on,
        off: on - random.between(1.5, 8.0).round(),
        run_on: if random.chance(0.5) { 0.0 } else { random.between(30.0, 300.0).round() },
        strength: random.between(0.3, 0.6),
    }
}

fn reservoir(engine: &Engine, circuit: &Circuit, random: &mut Random) -> Reservoir {
    let scale = circuit.capacity / 7.0;
    let total = (random.between(1000.0, 2000.0) * scale.clamp(0.8, 6.0)).round();
    let (min_mark, max_mark) = ((0.28 * total).round(), (0.52 * total).round());
    let overflow = engine.displacement < 4.0 && random.chance(0.25);
    Reservoir {
        kind: if overflow { ReservoirKind::OverflowBottle } else { ReservoirKind::ExpansionTank },
        total,
        min_mark,
        max_mark,
        per_mm: (total / random.between(100.0, 160.0)).clamp(5.0, 90.0),
        cap: random.between(60.0, 140.0).round(),
        cold_level: random.between(min_mark, max_mark),
        purged: random.between(0.0, 60.0) * scale,
    }
}

fn body(engine: &Engine, drive: &Drive, random: &mut Random) -> Body {
    let heavy = engine.displacement > 3.5;
    let trailer = if drive.road == Road::Hill { random.between(1.0, 1.6) } else { 1.0 };
    let top_rpm = if engine.fuel == Fuel::Diesel { random.between(0.42, 0.6) } else { random.between(0.4, 0.55) } * engine.rated_speed;
    if heavy {
        let tractor = random.chance(0.25);
        let top_speed = if tractor { 40.0 } else { 88.0 };
        return Body {
            mass: engine.rated_power * random.between(50.0, 110.0) * trailer.min(1.2),
            drag_area: random.between(4.5, 6.0),
            rolling: if tractor { random.between(0.018, 0.03) } else { random.between(0.006, 0.01) },
            top_speed,
            top_gear: top_rpm * 1.25 / top_speed,
            gears: 8,
        };
    }
    Body {
        mass: (700.0 + 380.0 * engine.displacement) * random.between(0.9, 1.25) * trailer,
        drag_area: random.between(0.58, 0.95),
        rolling: random.between(0.008, 0.014),
        top_speed: 130.0,
        top_gear: top_rpm / 100.0,
        gears: if random.chance(0.6) { 5 } else { 6 },
    }
}

fn drive(engine: &Engine, random: &mut Random) -> Drive {
    let heavy = engine.displacement > 3.5;
    let motorway = if heavy { 0.2 } else { 0.12 };
    let road = random
        .choose(&[
            (0.2, Road::Idle),
            (0.22, Road::Town),
            (0.2, Road::Rural),
            (motorway, Road::Motorway),
            (0.08, Road::Hill),
            (0.2, Road::Mixed),
        ])
        .unwrap_or(Road::Mixed);
    // Large masses need longer; people give a standing engine less time than a drive.
    let length = random.between(900.0, 2700.0) * if heavy { 1.5 } else { 1.0 };
    Drive {
        road,
        start: if random.chance(0.875) { Start::Cold } else { Start::Warm(random.between(35.0, 92.0)) },
        fires_after: random.between(0.0, 30.0).round(),
        idle_before: random.between(5.0, 180.0).round(),
        moving: length.round(),
        // Heavy vehicles need most of what they have.
        eagerness: if heavy { random.between(0.7, 0.95) } else { random.between(0.25, 0.6) },
        idle_after: random.between_log(10.0, 600.0).round(),
        log_begins: if random.chance(0.08) { random.between(60.0, 600.0).round() } else { 0.0 },
        log_after_key_off: match random.choose(&[(0.5, 0), (0.3, 1), (0.12, 2), (0.08, 3)]) {
            Some(0) => random.between(0.0, 30.0),
            Some(1) => random.between(300.0, 3600.0),
            Some(2) => random.between(3600.0, 14_400.0),
            _ => -random.between(60.0, 900.0),
        }
        .round(),
    }
}

fn cabin(engine: &Engine, ambient: f64, random: &mut Random) -> Cabin {
    // Whoever bleeds sets the heater to hot and the blower low; whoever is cold sets it high; in summer some shut it.
    let cold = ambient < 10.0;
    Cabin {
        heater_valve: if cold || random.chance(0.75) { 1.0 } else { 0.0 },
        blower: if cold { random.between(0.2, 1.0) } else { random.between(0.0, 0.4) },
        accessory: if ambient > 18.0 && random.chance(0.5) { random.between(0.5, 1.2) * engine.displacement.min(3.5) } else { 0.0 },
        accessory_period: random.between(15.0, 60.0),
        valve_period: 0.0,
    }
}

fn fault(random: &mut Random) -> Fault {
    let either_way = |random: &mut Random| if random.chance(0.5) { 1.0 } else { -1.0 };
    match random.choose(&[(0.22, 0), (0.15, 1), (0.18, 2), (0.12, 3), (0.12, 4), (0.06, 5), (0.15, 6)]) {
        Some(0) => Fault::StuckOpen(random.between(0.3, 1.0)),
        Some(1) => Fault::OpensEarly(random.between(5.0, 20.0)),
        Some(2) => Fault::OpensLate(random.between(5.0, 15.0)),
        Some(3) => Fault::WeakFan(random.between(0.0, 0.3)),
        Some(4) => Fault::BlockedRadiator(random.between(0.2, 0.5)),
        Some(5) => Fault::WeakPump(random.between(0.1, 0.4)),
        _ => Fault::SensorOffset(either_way(random) * random.between(3.0, 10.0)),
    }
}

fn logger(random: &mut Random, after: f64) -> Logger {
    // Nobody records hours of cooling down ten times a second.
    let fastest = if after > 1800.0 { 1.0 } else { 10.0 };
    let row_rate = random
        .choose(&[(0.15, 0.2), (0.15, 0.5), (0.3, 1.0), (0.25, 2.0), (0.1, 5.0), (0.05, 10.0)])
        .map_or(1.0, |rate: f64| rate.min(fastest));
    let count = 0.625;
    Logger {
        row_rate,
        poll_period: random.between_log(0.1, 10.0),
        rounding: random
            .choose(&[
                (0.45, Rounding::Nearest(1.0)),
                (0.2, Rounding::Down(1.0)),
                (0.12, Rounding::CountThenDown(count)),
                (0.08, Rounding::Nearest(count)),
                (0.15, Rounding::Nearest(0.1)),
            ])
            .unwrap_or(Rounding::Nearest(1.0)),
        proxies: random
            .choose(&[
                (0.25, Proxies::All),
                (0.1, Proxies::FuelRate),
                (0.15, Proxies::AirFlow),
                (0.2, Proxies::Load),
                (0.15, Proxies::ManifoldPressure),
                (0.1, Proxies::SpeedOnly),
                (0.05, Proxies::CoolantOnly),
            ])
            .unwrap_or(Proxies::All),
        surroundings: random.chance(0.6),
        heater_probe: random.chance(0.15),
        failed_polls: if random.chance(0.5) { 0.0 } else { random.between(0.0, 0.05) },
        sentinels: if random.chance(0.92) { 0.0 } else { random.between(0.0003, 0.003) },
        holes_an_hour: if random.chance(0.6) { 0.0 } else { random.between(0.0, 4.0) },
        dialect: dialect(random),
        ..Logger::default()
    }
}

fn dialect(random: &mut Random) -> Dialect {
    let (delimiter, decimal_comma) =
        random.choose(&[(0.6, (',', false)), (0.2, (';', true)), (0.1, (';', false)), (0.1, ('\t', false))]).unwrap_or((',', false));
    Dialect {
        delimiter,
        decimal_comma,
        customary: random.chance(0.1),
        headings: random
            .choose(&[(0.4, Headings::Full), (0.25, Headings::Short), (0.2, Headings::Bare), (0.15, Headings::UnitRow)])
            .unwrap_or(Headings::Full),
        clock: random
            .choose(&[
                (0.45, Clock::Elapsed),
                (0.1, Clock::Milliseconds),
                (0.15, Clock::OfDay),
                (0.2, Clock::Iso),
                (0.1, Clock::WholeRunTime),
            ])
            .unwrap_or(Clock::Elapsed),
        crlf: random.chance(0.3),
        mark: random.chance(0.1),
        trailing: random.chance(0.1),
    }
}
