//! Regulation, heat rejection and warm-up on made readings whose truth is known: what is stated with 95 % must hold it so often.
//!
//! Two kinds of readings are made. *Plain* ones are a level with a swing and a drift that remembers itself, rounded in the three
//! ways that control units use; they prove the band. *Rehearsed* ones come from the thermal model and prove fan, radiator and
//! warm-up on vehicles of every kind.

use wellbled::analysis::ambient::Ambient;
use wellbled::analysis::heat_input::HeatInput;
use wellbled::analysis::heat_rejection::{self, HeatRejection};
use wellbled::analysis::opening::{Opening, State};
use wellbled::analysis::phases::Phases;
use wellbled::analysis::regulation::Regulation;
use wellbled::analysis::warm_up::WarmUp;
use wellbled::channel::Channel;
use wellbled::estimate::{Estimate, Unit};
use wellbled::ingest::{self, Options};
use wellbled::rehearsal::random::Random;
use wellbled::rehearsal::scenario::{Fan, Fault, Road, Rounding, Scenario, Weather};
use wellbled::rehearsal::{Signal, random_scenario, rehearse, simulation, story, truth};
use wellbled::run::{Run, Trace};

/// Everything asked of one run.
struct Answers {
    regulation: Regulation,
    rejection: HeatRejection,
    warm_up: WarmUp,
}

fn ask(run: &Run, opening: Option<Opening>) -> Answers {
    let phases = Phases::of(run);
    let heat = HeatInput::of(run, &phases);
    let ambient = Ambient::of(run, &phases);
    let opening = opening.unwrap_or_else(|| Opening::of(run, &phases, &heat, &ambient));
    Answers {
        regulation: Regulation::of(run, &phases, &heat, &ambient, &opening),
        rejection: HeatRejection::of(run, &phases, &heat, &ambient, &opening),
        warm_up: WarmUp::of(run, &phases, &heat, &ambient, &opening),
    }
}

fn holds(estimate: &Estimate, truth: f64) -> bool {
    (estimate.interval_95[0]..=estimate.interval_95[1]).contains(&truth)
}

/// An opening whose first lift is known to 5 s.
fn opened_at(lift: f64, error: f64) -> Opening {
    let nothing = Run::default();
    let phases = Phases::of(&nothing);
    let mut opening = Opening::of(&nothing, &phases, &HeatInput::of(&nothing, &phases), &Ambient::of(&nothing, &phases));
    opening.state = State::Opened;
    opening.time = Some(Estimate::normal(lift + error, 5.0, Unit::Second));
    opening.knee_time = Some(Estimate::normal(lift + 10.0, 5.0, Unit::Second));
    opening
}

/// A run with a coolant reading alone, polled every 1.8 s and written twice a second.
fn run_of(signal: &[f64], rounding: Rounding) -> Run {
    let rows = (signal.len() as f64 / 0.5) as usize;
    let time: Vec<f64> = (0..rows).map(|row| row as f64 * 0.5).collect();
    let polled = |t: f64| ((t / 1.8).floor() * 1.8) as usize;
    let value = time.iter().map(|&t| rounding.apply(signal[polled(t).min(signal.len() - 1)])).collect();
    let step = match rounding {
        Rounding::Nearest(step) | Rounding::Down(step) => step,
        Rounding::CountThenDown(_) => 1.0,
    };
    let trace = Trace { time, value, step };
    Run {
        duration: trace.time.last().copied().unwrap_or(0.0),
        samples: trace.len(),
        traces: [(Channel::CoolantTemperature, trace)].into(),
        ..Run::default()
    }
}

/// A rise to a level by `lift`, then the level with a swing, and a wander that remembers itself for half a minute; one value a
/// second.
fn plain_signal(random: &mut Random, lift: usize, length: usize) -> Vec<f64> {
    let level = random.between(80.0, 95.0);
    let (swing, period, wander) = (random.between(0.0, 1.5), random.between(40.0, 110.0), random.between(0.05, 0.8));
    let phase = random.between(0.0, std::f64::consts::TAU);
    let mut wandering = 0.0;
    (0..length)
        .map(|at| {
            wandering += -wandering / 30.0 + wander * (2.0f64 / 30.0).sqrt() * random.normal();
            let t = at as f64;
            let rise = (level - 20.0) * (-(t / (lift as f64 / 6.0))).exp();
            level - rise + if at > lift { swing * (t / period * std::f64::consts::TAU + phase).sin() + wandering } else { 0.0 }
        })
        .collect()
}

fn percentiles(values: &[f64]) -> [f64; 2] {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    [0.05, 0.95].map(|share| sorted[(share * (sorted.len() - 1) as f64).round() as usize])
}

#[test]
fn the_band_of_a_plain_swing_lies_in_its_interval_as_often_as_is_stated() {
    let mut random = Random::new(7, 0);
    let (mut low, mut high, runs) = (0, 0, 400);
    for _ in 0..runs {
        let (lift, length) = (300, random.between(600.0, 1800.0) as usize);
        let signal = plain_signal(&mut random, lift, length);
        // In the shares in which the three ways of rounding are held possible.
        let rounding = random.choose(&[(0.5, Rounding::Nearest(1.0)), (0.3, Rounding::Down(1.0)), (0.2, Rounding::CountThenDown(0.625))]);
        let opening = opened_at(lift as f64, 5.0 * random.normal());
        let found = ask(&run_of(&signal, rounding.unwrap_or(Rounding::Nearest(1.0))), Some(opening)).regulation;
        let truth = percentiles(&signal[lift + 60..]);
        low += usize::from(found.low.is_some_and(|low| holds(&low, truth[0])));
        high += usize::from(found.high.is_some_and(|high| holds(&high, truth[1])));
    }
    for (name, held) in [("low", low), ("high", high)] {
        let share = held as f64 / runs as f64;
        assert!((0.92..=0.985).contains(&share), "{name}: {held} of {runs} intervals hold the truth");
    }
}

#[test]
fn a_reading_that_never_leaves_one_degree_still_has_a_band_as_wide_as_its_rounding() {
    let found = ask(&run_of(&[88.2; 900], Rounding::Nearest(1.0)), Some(opened_at(300.0, 0.0))).regulation;
    let low = found.low.expect("ten minutes of hold");
    assert!(low.interval_95[0] < 87.6 && low.interval_95[1] > 88.9, "{low:?}");
    assert_eq!((found.swing_period, found.moved_by.len()), (None, 0));
}

#[test]
fn a_log_that_ends_at_the_opening_says_how_long_to_drive_on() {
    let mut random = Random::new(3, 0);
    let signal = plain_signal(&mut random, 300, 320);
    let found = ask(&run_of(&signal, Rounding::Nearest(1.0)), Some(opened_at(300.0, 0.0))).regulation;
    assert!(found.low.is_none());
    assert!(found.because.is_some_and(|because| because.contains("drive on for 5 min")));
}

#[test]
fn the_json_form_leaves_out_what_is_unknown() {
    let found = ask(&run_of(&[88.2; 200], Rounding::Nearest(1.0)), Some(opened_at(190.0, 0.0)));
    assert_eq!(serde_json::to_string(&found.regulation).expect("plain data"), "{}");
    assert_eq!(serde_json::to_string(&found.warm_up).expect("plain data"), "{}");
}

/// A rehearsed run as the analysis sees it: no text in between, so that only the analysis is tested.
fn rehearsed(scenario: &Scenario) -> (Run, truth::Truth) {
    let made = simulation::simulate(scenario, 4);
    let known = truth::Truth::of(scenario, &made, truth::LevelTruth::default());
    let begins = (scenario.drive.log_begins.max(0.0) as usize).min(made.signals.len());
    let signals = &made.signals[begins..];
    let mut random = Random::new(scenario.seed, 2);
    let mut run = Run { duration: signals.len().saturating_sub(1) as f64, samples: signals.len(), ..Run::default() };
    let step = match scenario.logger.rounding {
        Rounding::Nearest(step) | Rounding::Down(step) => step,
        Rounding::CountThenDown(_) => 1.0,
    };
    let mut add = |channel: Channel, step: f64, read: &dyn Fn(&Signal) -> f64| {
        let polled = |at: usize| (at as f64 - at as f64 % scenario.logger.poll_period.max(1.0)) as usize;
        let (time, value) = (0..signals.len()).map(|at| (at as f64, read(&signals[polled(at)]))).unzip();
        run.traces.insert(channel, Trace { time, value, step });
    };
    let noise: Vec<f64> = signals.iter().map(|_| scenario.sensor.noise * random.normal()).collect();
    let polls = std::cell::Cell::new(0);
    add(Channel::CoolantTemperature, step, &|signal| {
        polls.set(polls.get() + 1);
        scenario.logger.rounding.apply(signal.reading + if scenario.logger.poll_period > 1.0 { 0.0 } else { noise[polls.get() - 1] })
    });
    add(Channel::EngineSpeed, 0.0, &|signal| signal.burn.speed);
    add(Channel::VehicleSpeed, 0.0, &|signal| signal.speed);
    add(Channel::EngineLoad, 0.0, &|signal| signal.burn.load);
    add(Channel::IntakeAirTemperature, 1.0, &|signal| signal.intake.round());
    run.vehicle.fuel = Some(scenario.engine.fuel);
    (run, known)
}

#[test]
fn bands_and_rates_of_rehearsed_vehicles_lie_in_their_intervals() {
    let (mut bands, mut held, mut rates, mut rated) = (0, 0, 0, 0);
    for seed in 1..160 {
        let (run, truth) = rehearsed(&random_scenario(seed));
        if run.samples < 60 {
            continue;
        }
        let found = ask(&run, truth.first_lift.filter(|_| truth.opening == truth::Opening::Opened).map(|lift| opened_at(lift.time_s, 0.0)));
        if let (Some(low), Some(high), Some(band), true) =
            (found.regulation.low, found.regulation.high, truth.band, truth.opening == truth::Opening::Opened)
        {
            bands += 2;
            held += usize::from(holds(&low, band[0])) + usize::from(holds(&high, band[1]));
        }
        if let (Some(rate), Some(truth), [40.0, 70.0]) = (found.warm_up.rate, truth.warm_up_rate, found.warm_up.between) {
            rates += 1;
            rated += usize::from(holds(&rate, truth));
        }
    }
    // Of some 200 and 100, a share that is truly 95 % falls below 90 % once in a thousand times.
    assert!(bands > 120 && held as f64 >= 0.9 * bands as f64, "{held} of {bands} bands");
    assert!(rates > 60 && rated as f64 >= 0.88 * rates as f64, "{rated} of {rates} rates");
}

/// A warm day with the heater shut, so that fan and radiator have work.
fn warm_day(road: Road, faults: Vec<Fault>) -> Scenario {
    let mut scenario = Scenario { faults, weather: Weather { ambient: 32.0, altitude: 150.0 }, ..Scenario::default() };
    scenario.fan = Fan::Electric { on: 96.0, off: 90.0, run_on: 0.0, strength: 0.45 };
    scenario.cabin.heater_valve = 0.0;
    scenario.cabin.accessory = 3.0;
    scenario.drive.road = road;
    scenario.drive.moving = 1800.0;
    scenario.drive.idle_after = 1500.0;
    scenario
}

/// The opening of a rehearsed run as it truly was, with the knee a kelvin above the lift.
fn true_opening(truth: &truth::Truth) -> Opening {
    let lift = truth.first_lift.expect("the valve opens in the run");
    let mut opening = opened_at(lift.time_s, 0.0);
    opening.knee_temperature = Some(Estimate::normal(lift.reading + 1.0, 0.7, Unit::Celsius));
    opening
}

#[test]
fn a_healthy_fan_is_ordinary_and_its_switching_readings_are_found() {
    let (run, truth) = rehearsed(&warm_day(Road::Town, Vec::new()));
    assert!(truth.fan_starts >= 3, "{}", truth.fan_starts);
    let found = ask(&run, Some(true_opening(&truth)));
    assert_eq!(found.rejection.state, heat_rejection::State::Ordinary, "{:?}", found.rejection.because);
    assert!(found.rejection.fan_on.is_some_and(|on| holds(&on, 96.0)), "{:?}", found.rejection.fan_on);
    assert!(found.rejection.fan_off.is_some_and(|off| holds(&off, 90.0)), "{:?}", found.rejection.fan_off);
    assert!(found.regulation.moved_by.contains(&"fan"));
}

#[test]
fn a_fan_without_air_lets_the_reading_rise_at_idle_and_road_speed_cures_it() {
    let (run, truth) = rehearsed(&warm_day(Road::Rural, vec![Fault::WeakFan(0.0)]));
    let found = ask(&run, Some(true_opening(&truth))).rejection;
    assert_eq!(found.state, heat_rejection::State::RisesAtIdle, "{found:?}");
    assert_eq!(found.because, None, "the drive shows the cure");
}

#[test]
fn a_blocked_radiator_lets_the_reading_rise_with_load() {
    let mut scenario = warm_day(Road::Hill, vec![Fault::BlockedRadiator(0.2)]);
    scenario.drive.idle_after = 60.0;
    let (run, truth) = rehearsed(&scenario);
    let found = ask(&run, Some(true_opening(&truth))).rejection;
    assert_eq!(found.state, heat_rejection::State::RisesWithLoad, "{found:?}");
}

#[test]
fn speed_that_moves_the_reading_is_named() {
    let mut random = Random::new(11, 0);
    let length = 1500;
    let speed: Vec<f64> = (0..length).map(|at| if (at / 70) % 2 == 0 { 0.0 } else { 60.0 }).collect();
    let mut lagged = 0.0;
    let signal: Vec<f64> = speed
        .iter()
        .map(|v| {
            lagged += (v - lagged) / 15.0;
            89.0 - 0.05 * lagged + 0.1 * random.normal()
        })
        .collect();
    let mut run = run_of(&signal, Rounding::Nearest(1.0));
    run.traces.insert(Channel::VehicleSpeed, Trace { time: (0..length).map(|at| at as f64).collect(), value: speed, step: 1.0 });
    let found = ask(&run, Some(opened_at(200.0, 0.0))).regulation;
    assert_eq!(found.moved_by, ["speed"]);
}

/// The rows after the opening are missing but for the last forty seconds: nothing was seen to hold before that, and that is no firm hold.
#[test]
fn a_gap_is_no_hold() {
    let made = rehearse(&story("bakery-van", 7).expect("there is such a story"));
    let mut run = ingest::read(&made.log, "made.csv", &Options::default()).expect("its own logs read").run;
    let phases = Phases::of(&run);
    let opening = Opening::of(&run, &phases, &HeatInput::of(&run, &phases), &Ambient::of(&run, &phases));
    let (opened, end) = (opening.time.expect("it opens").value, phases.drive_end(&run));
    assert!(end - opened > 600.0, "opened at {opened} s, ended at {end} s");
    for trace in run.traces.values_mut() {
        let kept = |time: f64| time < opened + 30.0 || time > end - 40.0;
        let (time, value) = trace.iter().filter(|(time, _)| kept(*time)).unzip();
        *trace = Trace { time, value, step: trace.step };
    }
    let regulation = ask(&run, Some(opening)).regulation;
    assert!(!regulation.is_firm(), "{:.0} s held", regulation.held_s);
    if let Some(settled) = regulation.settling_time {
        assert!(settled.value >= end - 41.0, "settled at {:.0} s, within the gap that ends at {:.0} s", settled.value, end - 40.0);
    }
}
