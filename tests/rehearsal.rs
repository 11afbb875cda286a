//! Made runs: the model's balances, its numerical error, that it resembles engines, and that its files are what they say.

use wellbled::channel::Channel;
use wellbled::rehearsal::scenario::{Drive, Fan, Fault, Road, Rounding, Start, Valve, Weather};
use wellbled::rehearsal::truth::Opening;
use wellbled::rehearsal::{Rehearsal, STORIES, Scenario, Signal, random_scenario, rehearse, simulation::simulate, story};
use wellbled::vehicle::{Side, Vehicle};

/// A petrol car of 1.5 L at 26 °C with the heater open and its blower off, standing or driving.
fn car(road: Road) -> Scenario {
    let mut scenario = Scenario { weather: Weather { ambient: 26.0, altitude: 100.0 }, ..Scenario::default() };
    scenario.drive = Drive { road, moving: 1800.0, ..scenario.drive };
    scenario.cabin.blower = 0.0;
    scenario
}

/// Mean rise between two readings, K/min.
fn rise(run: &Rehearsal, from: f64, to: f64) -> f64 {
    let crossing = |level: f64| run.signals.iter().position(|signal| signal.reading >= level).unwrap();
    (to - from) * 60.0 / (crossing(to) - crossing(from)) as f64
}

fn readings(signals: &[Signal]) -> impl Iterator<Item = f64> + '_ {
    signals.iter().map(|signal| signal.reading)
}

#[test]
fn heat_given_in_is_stored_or_given_off() {
    // 0.1 % is asked; the method conserves linear balances, so only rounding is left.
    for seed in 1..=30 {
        let [given, stored, lost] = rehearse(&random_scenario(seed)).balance;
        assert!((given - stored - lost).abs() <= 1e-9 * given, "seed {seed}: {given} kJ in, {stored} stored, {lost} off");
    }
}

/// A valve that hunts is chaotic: two runs a millionth apart lie a kelvin apart after half an hour. So the step is judged where
/// that has had no time: up to three minutes after first lift. Three hundredths of a kelvin is the third part of the finest
/// step in which any made log reports.
#[test]
fn a_step_four_times_finer_changes_nothing_that_a_sensor_resolves() {
    for seed in 1..=30 {
        let scenario = random_scenario(seed);
        let (coarse, fine) = (simulate(&scenario, 4).signals, simulate(&scenario, 16).signals);
        let open = fine.iter().position(|signal| signal.lift >= 0.02).unwrap_or(fine.len());
        let apart = |from: usize, to: usize| {
            let pairs = coarse.iter().zip(&fine).take(to).skip(from);
            pairs.map(|(a, b)| (a.reading - b.reading).abs()).fold(0.0, f64::max)
        };
        assert!(apart(0, open) < 1e-3, "seed {seed}: {} K before first lift", apart(0, open));
        assert!(apart(0, open + 180) < 0.03, "seed {seed}: {} K after it", apart(0, open + 180));
    }
}

#[test]
fn the_same_scenario_gives_the_same_bytes() {
    for seed in [3, 11] {
        let (once, again) = (rehearse(&random_scenario(seed)), rehearse(&random_scenario(seed)));
        assert_eq!(once.log, again.log);
        assert_eq!((once.notes_csv, once.vehicle_toml, once.truth), (again.notes_csv, again.vehicle_toml, again.truth));
    }
    assert_ne!(rehearse(&random_scenario(3)).log, rehearse(&random_scenario(4)).log);
}

/// Hand-taken rates of a real petrol car at 24–32 °C: idling 12.5, 5.5 and 3.2 K/min (30–50, 50–70, 70–84 °C), idling
/// with an accessory 13.9, 7.2 and 4.9; first +2 °C 7–16 s after firing. The default car is no copy of it, so 40 % either way.
#[test]
fn an_idling_car_warms_up_as_one_does() {
    let mut scenario = car(Road::Idle);
    let idle = rehearse(&scenario);
    scenario.cabin.accessory = 1.5;
    let busy = rehearse(&scenario);
    for (run, expected) in [(&idle, [12.5, 5.5, 3.2]), (&busy, [13.9, 7.2, 4.9])] {
        for ((from, to), expected) in [(30.0, 50.0), (50.0, 70.0), (70.0, 84.0)].into_iter().zip(expected) {
            let rate = rise(run, from, to);
            assert!((0.6 * expected..1.4 * expected).contains(&rate), "{from}–{to} °C: {rate:.1} K/min, the car {expected}");
        }
    }
    let fires = idle.truth.engine_start_s;
    let first = idle.signals.iter().position(|signal| signal.reading >= 28.0).unwrap() as f64 - fires;
    assert!((5.0..20.0).contains(&first), "first +2 °C after {first} s");
    // After the knee the same car rose 1.5 then 1.0 K/min.
    let lift = idle.truth.first_lift.unwrap().time_s as usize;
    let after = (idle.signals[lift + 300].reading - idle.signals[lift].reading) / 5.0;
    assert!((0.0..2.0).contains(&after), "{after:.2} K/min after the knee");
}

/// The same real car in town at 24–32 °C, stops included: 16.2, 11.4 and 8.3 K/min; overshoot 0–2 K, then a fall of 0–3 K in
/// whole degrees; a wave of 2–3 K. Medians of twenty drives; 40 % on the rates, twice the rest, as the default car is another.
#[test]
fn a_car_in_town_warms_up_and_regulates_as_one_does() {
    let runs: Vec<Rehearsal> = (1..=20).map(|seed| rehearse(&Scenario { seed, ..car(Road::Town) })).collect();
    let median = |measure: &dyn Fn(&Rehearsal) -> f64| {
        let mut values: Vec<f64> = runs.iter().map(measure).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    for (from, to, expected) in [(30.0, 50.0, 16.2), (50.0, 70.0, 11.4), (70.0, 84.0, 8.3)] {
        let rate = median(&|run| rise(run, from, to));
        assert!((0.6 * expected..1.4 * expected).contains(&rate), "{from}–{to} °C: {rate:.1} K/min, the car {expected}");
    }
    let lift = |run: &Rehearsal| run.truth.first_lift.unwrap().time_s as usize;
    let top = |run: &Rehearsal| readings(&run.signals[lift(run)..lift(run) + 60]).fold(f64::MIN, f64::max);
    let moving = |run: &Rehearsal| {
        let mut values: Vec<f64> = readings(&run.signals[lift(run) + 60..1800]).collect();
        values.sort_by(f64::total_cmp);
        [5, 50, 95].map(|share| values[values.len() * share / 100])
    };
    let overshoot = median(&|run| top(run) - moving(run)[1]);
    let wave = median(&|run| moving(run)[2] - moving(run)[0]);
    let fall = median(&|run| top(run) - readings(&run.signals[lift(run)..lift(run) + 180]).skip(20).fold(f64::MAX, f64::min));
    assert!((0.0..4.0).contains(&overshoot) && (0.0..6.0).contains(&fall), "overshoot {overshoot:.1} K, fall {fall:.1} K");
    assert!((1.0..6.0).contains(&wave), "wave {wave:.1} K");
}

#[test]
fn the_fan_cycles_at_a_stand_between_its_thresholds() {
    let mut scenario = car(Road::Idle);
    scenario.drive.start = Start::Warm(88.0);
    scenario.fan = Fan::Electric { on: 96.0, off: 90.0, run_on: 0.0, strength: 0.45 };
    let run = rehearse(&scenario);
    assert!(run.truth.fan_starts >= 4, "{} starts", run.truth.fan_starts);
    // The sensor is seconds behind and the fan takes two to run up: the reading passes a threshold by less than 1 K above, and
    // falls on while what has been cooled arrives.
    assert!((96.0..97.0).contains(&run.truth.highest), "{}", run.truth.highest);
}

#[test]
fn the_knee_is_where_lift_begins_and_an_inlet_valve_reads_higher() {
    let outlet = rehearse(&car(Road::Town));
    let mut scenario = car(Road::Town);
    scenario.valve = Valve { side: Side::Inlet, bypass_closing: 0.9, ..scenario.valve };
    scenario.circuit.bypass_share = 0.5;
    let inlet = rehearse(&scenario);
    for run in [&outlet, &inlet] {
        let lift = run.truth.first_lift.unwrap();
        let (before, after) = (&run.signals[lift.time_s.floor() as usize], &run.signals[lift.time_s.ceil() as usize]);
        assert!(before.lift < 0.02 && after.lift >= 0.02);
        let seen = run.truth.departure.unwrap();
        assert!((0.0..60.0).contains(&(seen.time_s - lift.time_s)), "a kelvin below the twin {} s later", seen.time_s - lift.time_s);
        assert!(lift.reading >= before.reading.min(after.reading) && lift.reading <= before.reading.max(after.reading));
        // 2 % of an S over 13 K lies 1.1 K above its start; the wax is there at that moment.
        assert!((before.wax - run.truth.starts_to_lift - 1.1).abs() < 0.3, "{}", before.wax);
    }
    let (low, high) = (outlet.truth.band.unwrap()[1], inlet.truth.band.unwrap()[1]);
    assert!(high > low + 1.0, "upper edge {low:.1} °C at the outlet, {high:.1} °C at the inlet");
}

#[test]
fn each_fault_shows_where_it_should() {
    let with = |road: Road, fault: Fault| rehearse(&Scenario { faults: vec![fault], ..car(road) });
    let healthy = rehearse(&car(Road::Mixed));
    let stuck = with(Road::Mixed, Fault::StuckOpen(0.8));
    assert_eq!(stuck.truth.opening, Opening::OpenThroughout);
    let moving = |run: &Rehearsal| readings(&run.signals[1200..1500]).sum::<f64>() / 300.0;
    assert!(moving(&stuck) < moving(&healthy) - 10.0, "stuck open {:.1} °C, healthy {:.1} °C", moving(&stuck), moving(&healthy));
    let lift = |run: &Rehearsal| run.truth.first_lift.unwrap().reading;
    assert!(lift(&with(Road::Mixed, Fault::OpensEarly(10.0))) < lift(&healthy) - 5.0);
    assert!(lift(&with(Road::Mixed, Fault::OpensLate(10.0))) > lift(&healthy) + 5.0);
    let idle = rehearse(&car(Road::Idle));
    assert!(with(Road::Idle, Fault::WeakFan(0.0)).truth.highest > idle.truth.highest + 3.0);
    let hill = rehearse(&car(Road::Hill));
    assert!(with(Road::Hill, Fault::BlockedRadiator(0.2)).truth.highest > hill.truth.highest + 3.0);
    let offset = with(Road::Mixed, Fault::SensorOffset(5.0));
    assert!((offset.signals[0].reading - 31.0).abs() < 1e-9, "a cold sensor five kelvin high at 26 °C");
}

/// A parked engine first grows hotter at the sensor, then cools with a time constant of one to three hours (common practice,
/// no source); ranges for vehicles from 0.9 to 12 L are allowed half an hour more on either side.
#[test]
fn after_key_off_it_soaks_then_cools_within_hours() {
    let run =
        rehearse(&Scenario { drive: Drive { idle_after: 10.0, log_after_key_off: 1200.0, ..car(Road::Rural).drive }, ..car(Road::Rural) });
    let off = run.truth.key_off_s.unwrap() as usize;
    let soak = readings(&run.signals[off..]).fold(f64::MIN, f64::max) - run.signals[off].reading;
    assert!((1.0..15.0).contains(&soak), "{soak:.1} K of hot soak");
    for seed in 1..=40 {
        if let Some(seconds) = rehearse(&random_scenario(seed)).truth.cooling_time_constant_s {
            assert!((1800.0..12_600.0).contains(&seconds), "seed {seed}: {seconds} s");
        }
    }
}

/// Opened runs are the most, but no state is missing, and no reading leaves what an engine survives.
#[test]
fn random_scenarios_hold_every_state_and_stay_physical() {
    let mut seen = [0usize; 4];
    for seed in 1..=120 {
        let scenario = random_scenario(seed);
        let run = rehearse(&scenario);
        seen[run.truth.opening as usize] += 1;
        assert!(readings(&run.signals).all(|reading| (-45.0..160.0).contains(&reading)), "seed {seed}");
        if let (Some(lift), Some(end)) = (run.truth.first_lift, run.signals.last()) {
            assert!(lift.time_s <= run.truth.log_end_s && end.lift <= 1.0, "seed {seed}");
        }
        let vehicle = Vehicle::from_toml(&run.vehicle_toml).unwrap_or_else(|error| panic!("seed {seed}: {error}"));
        assert_eq!(vehicle.thermostat.rating.is_some(), scenario.stated.thermostat);
    }
    assert!(seen[0] > 50 && seen.iter().all(|&count| count >= 4), "{seen:?}");
}

/// Warm idle: a throttled petrol engine of 1.5 L breathes 1.5–2.5 g/s at 20–40 kPa (the real car: 650 rpm at 25 kPa, 26 % load)
/// and burns 14 to 15 times less; a diesel idles unthrottled on 40 to 100 times its fuel (memory).
#[test]
fn air_and_fuel_are_those_of_the_kind_of_engine() {
    let idle = rehearse(&car(Road::Idle));
    let burn = idle.signals[1000].burn;
    assert!((1.5..2.5).contains(&burn.air) && (20.0..40.0).contains(&burn.manifold) && (15.0..40.0).contains(&burn.load), "{burn:?}");
    assert!((14.0..15.0).contains(&(burn.air / burn.fuel)), "{burn:?}");
    let van = rehearse(&story("bakery-van", 7).unwrap());
    let burn = van.signals[2300].burn;
    assert!((40.0..100.0).contains(&(burn.air / burn.fuel)) && burn.manifold > 90.0, "{burn:?}");
    assert!(van.signals.iter().filter(|signal| signal.burn.fuel > 0.0).all(|signal| signal.burn.air > 15.0 * signal.burn.fuel));
}

#[test]
fn levels_rise_hot_and_lose_what_was_purged() {
    let run = rehearse(&car(Road::Mixed));
    let levels = run.truth.levels;
    // 5.65 L of half glycol from 26 to some 90 °C grow 4.2 % of their volume; radiator and tank are cooler than the sensor.
    assert!((120.0..260.0).contains(&levels.coolant_growth), "{levels:?}");
    assert!(levels.hot > levels.cold_before + 40.0 && levels.hot < levels.cold_before + levels.coolant_growth, "{levels:?}");
    // What is lost is what left as gas; the rest of a millilitre is warmth and pressure left after twelve hours.
    assert!((levels.loss_at_20 - Scenario::default().reservoir.purged).abs() < 2.0, "{levels:?}");
    assert_eq!(run.levels.len(), 3);
    // A person reads to ± 2 mm and writes whole ones.
    let expected = levels.hot / Scenario::default().reservoir.per_mm;
    assert!((run.levels[1].reading - expected).abs() <= 2.5, "{} mm for {expected}", run.levels[1].reading);
}

#[test]
fn a_log_reports_what_its_rounding_and_dialect_say() {
    let scenario = Scenario {
        logger: wellbled::rehearsal::scenario::Logger { rounding: Rounding::Down(1.0), ..Default::default() },
        ..car(Road::Town)
    };
    let run = rehearse(&scenario);
    let text = String::from_utf8(run.log).unwrap();
    let mut rows = text.lines().map(|row| row.split(',').collect::<Vec<_>>());
    let heading = rows.next().unwrap();
    let at = heading.iter().position(|name| *name == "Engine coolant temperature (°C)").unwrap();
    for row in rows {
        assert_eq!(row.len(), heading.len());
        let (time, reading): (f64, f64) = (row[0].parse().unwrap(), row[at].parse().unwrap());
        let exact = run.signals[time.floor() as usize].reading;
        // Cut off below, one second old, up to half a kelvin a second, a little noise.
        assert!(reading <= exact + 0.3 && reading >= exact - 1.8, "{time} s: {reading} for {exact}");
    }
    assert_eq!(Rounding::CountThenDown(0.625).apply(86.3), 86.0);
    assert_eq!(Rounding::CountThenDown(0.625).apply(86.2), 85.0);
    assert_eq!(Rounding::Nearest(0.625).apply(86.3), 86.25);
    assert!(Channel::CoolantTemperature.range().1 > 140.0);
}

#[test]
fn every_story_tells_what_it_promises_in_a_small_file() {
    for (name, _) in STORIES {
        let run = rehearse(&story(name, 7).unwrap());
        assert!(run.log.len() < 600_000, "{name}: {} bytes", run.log.len());
        assert!(!run.notes_csv.is_empty() && Vehicle::from_toml(&run.vehicle_toml).is_ok(), "{name}");
        let expected = match name {
            "riding-school-tractor" => Opening::NotReached,
            "launch-truck" => Opening::OpenThroughout,
            _ => Opening::Opened,
        };
        assert_eq!(run.truth.opening, expected, "{name}");
        assert!(run.truth.to_json().contains("\"opening\""));
    }
    assert!(story("no such story", 7).is_none());
}
