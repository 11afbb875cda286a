//! Cooling down, held against made runs whose truth is known.
//!
//! The runs come from a model that is richer than the one which analyses them: coolant and metal as two bodies, each losing heat with a
//! time constant that drifts as natural convection makes it, metal hotter than the coolant at key-off, in some runs a fan for some minutes
//! after key-off. The log adds a sensor offset, noise, rounding to whole degrees and its own sampling; ambient is told with an error.

use wellbled::analysis::ambient::{Ambient, Source};
use wellbled::analysis::cooling_down::{COLD_WITHIN_K, CoolingDown, OPEN_BELOW_C, usual_wait};
use wellbled::analysis::phases::Phases;
use wellbled::channel::Channel;
use wellbled::estimate::{Estimate, Unit};
use wellbled::run::{Run, Trace};
use wellbled::units::TemperatureDifference;

/// Runs in each set.
const RUNS: usize = 120;

/// Seconds of running before key-off.
const DRIVE_S: f64 = 600.0;

/// A multiplicative congruential generator (Lehmer, modulus 2³¹ − 1): repeatable on every machine.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    fn normal(&mut self, deviation: f64) -> f64 {
        deviation * (0..12).map(|_| self.unit() - 0.5).sum::<f64>()
    }
}

/// One vehicle that cools down.
#[derive(Clone, Copy, Debug)]
struct Vehicle {
    ambient: f64,
    /// Coolant and metal at key-off, °C.
    coolant: f64,
    metal: f64,
    /// Heat capacity of the metal over that of the coolant.
    ratio: f64,
    /// Time constant of the exchange between them, s.
    exchange: f64,
    /// Time constant of both together at 60 K of excess, s.
    loss: f64,
    /// Share of the heat that leaves by the coolant's side.
    coolant_share: f64,
    /// Exponent by which the loss grows with the excess.
    drift: f64,
    /// Fan after key-off: for how long, and how often the coolant's own loss.
    fan: (f64, f64),
}

impl Vehicle {
    fn thrown(dice: &mut Dice) -> Self {
        let coolant = dice.between(84.0, 98.0);
        Self {
            ambient: dice.between(-10.0, 32.0),
            coolant,
            metal: coolant + dice.between(4.0, 18.0),
            ratio: dice.between(0.8, 2.5),
            exchange: dice.between(90.0, 360.0),
            loss: dice.between(3600.0, 10_800.0),
            coolant_share: dice.between(0.3, 0.7),
            drift: dice.between(0.0, 0.3),
            fan: (0.0, 1.0),
        }
    }

    /// Coolant and metal each second after key-off, for `hours`.
    fn cools(&self, hours: f64) -> Vec<[f64; 2]> {
        let seconds = (hours * 3600.0) as usize;
        let whole = 1.0 + self.ratio;
        let exchange = self.ratio / whole / self.exchange;
        let (mut coolant, mut metal) = (self.coolant - self.ambient, self.metal - self.ambient);
        let mut curve = Vec::with_capacity(seconds);
        for second in 0..seconds {
            curve.push([coolant + self.ambient, metal + self.ambient]);
            if coolant < 0.8 * COLD_WITHIN_K {
                break;
            }
            let lost = |excess: f64| excess * (excess.abs() / 60.0).powf(self.drift) / self.loss;
            let fan = if (second as f64) < self.fan.0 { self.fan.1 } else { 1.0 };
            let between = exchange * (metal - coolant);
            coolant += between - whole * self.coolant_share * lost(coolant) * fan;
            metal += -between / self.ratio - whole / self.ratio * (1.0 - self.coolant_share) * lost(metal);
        }
        curve
    }
}

/// How a run is logged.
#[derive(Clone, Copy, Debug)]
struct Logger {
    sampling: f64,
    step: f64,
    noise: f64,
    offset: f64,
    /// Seconds logged after key-off; then, if not zero, silence until this long after key-off and a minute of rows.
    after: f64,
    again: f64,
}

/// What is true of one vehicle, as `docs/detectors/cooling_down.md` defines it.
struct Truth {
    time_constant: f64,
    cold_at: f64,
    below_45: f64,
}

fn truth(vehicle: &Vehicle, curve: &[[f64; 2]], offset: f64) -> Truth {
    let reading = |at: usize| curve[at][0] + offset;
    let top = (0..curve.len()).max_by(|&a, &b| reading(a).total_cmp(&reading(b))).unwrap();
    let from = (top..curve.len()).find(|&at| reading(at) <= reading(top) - 5.0).unwrap();
    let goal = (curve[from][0] - vehicle.ambient) / std::f64::consts::E;
    let to = (from..curve.len()).find(|&at| curve[at][0] - vehicle.ambient <= goal).unwrap();
    let cold = (top..curve.len()).find(|&at| curve[at][0] - vehicle.ambient <= COLD_WITHIN_K).unwrap();
    let cool = (0..curve.len()).find(|&at| curve[at][0].max(curve[at][1]) < OPEN_BELOW_C).unwrap();
    Truth { time_constant: (to - from) as f64, cold_at: DRIVE_S + cold as f64, below_45: DRIVE_S + cool as f64 }
}

fn logged(vehicle: &Vehicle, curve: &[[f64; 2]], logger: &Logger, dice: &mut Dice) -> Run {
    let (mut coolant, mut engine) = (Trace { step: logger.step, ..Trace::default() }, Trace::default());
    let mut add = |time: f64, speed: f64| {
        let since = time - DRIVE_S;
        let after = curve[(since.max(0.0) as usize).min(curve.len() - 1)][0];
        let before = vehicle.coolant + 1.5 * (time / 40.0).sin() * (-since / 60.0).clamp(0.0, 1.0);
        let value = if since < 0.0 { before } else { after } + logger.offset + dice.normal(logger.noise);
        coolant.time.push(time);
        coolant.value.push(if logger.step > 0.0 { (value / logger.step).round() * logger.step } else { value });
        engine.time.push(time);
        engine.value.push(speed);
    };
    let mut time = 0.0;
    while time < DRIVE_S + logger.after {
        add(time, if time < DRIVE_S { 850.0 } else { 0.0 });
        time += logger.sampling;
    }
    let mut gaps = Vec::new();
    if logger.again > 0.0 {
        gaps.push([time - logger.sampling, DRIVE_S + logger.again]);
        time = DRIVE_S + logger.again;
        while time < DRIVE_S + logger.again + 60.0 {
            add(time, 0.0);
            time += logger.sampling;
        }
    }
    Run {
        duration: time - logger.sampling,
        samples: coolant.len(),
        traces: [(Channel::CoolantTemperature, coolant), (Channel::EngineSpeed, engine)].into(),
        gaps,
        ..Run::default()
    }
}

fn told(ambient: f64, u: f64) -> Ambient {
    Ambient { temperature: Estimate::normal(ambient, u, Unit::Celsius), source: Source::Notes }
}

/// What a set of runs showed.
#[derive(Clone, Debug, Default)]
struct Tally {
    runs: usize,
    answered: usize,
    constant_held: usize,
    cold_held: usize,
    bounded: usize,
    late_enough: usize,
    /// Sums of interval widths over the truth, and of the wait that is asked over the wait that is needed.
    constant_width: f64,
    cold_width: f64,
    wait: f64,
}

impl Tally {
    fn add(&mut self, other: &Self) {
        self.runs += other.runs;
        self.answered += other.answered;
        self.constant_held += other.constant_held;
        self.cold_held += other.cold_held;
        self.bounded += other.bounded;
        self.late_enough += other.late_enough;
        self.constant_width += other.constant_width;
        self.cold_width += other.cold_width;
        self.wait += other.wait;
    }
    fn constant(&self) -> f64 {
        self.constant_held as f64 / self.answered.max(1) as f64
    }
    fn cold(&self) -> f64 {
        self.cold_held as f64 / self.answered.max(1) as f64
    }
    fn late(&self) -> f64 {
        self.late_enough as f64 / self.bounded.max(1) as f64
    }
    fn line(&self, name: &str) -> String {
        let per = |sum: f64, count: usize| sum / count.max(1) as f64;
        let held = format!(
            "time constant held {:.3} (width {:.2}), cold held {:.3} (width {:.2})",
            self.constant(),
            per(self.constant_width, self.answered),
            self.cold(),
            per(self.cold_width, self.answered)
        );
        let late = format!("late enough {:.3} of {} (wait {:.2})", self.late(), self.bounded, per(self.wait, self.bounded));
        format!("{name:34} {} of {} answered, {held}, {late}", self.answered, self.runs)
    }
}

/// A set of runs: how long they are logged after key-off, what they do not know, and whether a fan runs on.
#[derive(Clone, Copy)]
struct Set {
    name: &'static str,
    /// Shortest and longest record after key-off, s.
    after: [f64; 2],
    /// Shortest and longest time to the rows after a silence, s; zeros for none.
    again: [f64; 2],
    /// Standard error of the ambient that is told, K.
    ambient_u: f64,
    /// Longest time for which a fan runs on, s.
    fan: f64,
}

const SETS: [Set; 8] = [
    Set { name: "15 to 30 min", after: [900.0, 1800.0], again: [0.0; 2], ambient_u: 2.0, fan: 0.0 },
    Set { name: "0.5 to 1.5 h", after: [1800.0, 5400.0], again: [0.0; 2], ambient_u: 2.0, fan: 0.0 },
    Set { name: "1.5 to 5 h", after: [5400.0, 18_000.0], again: [0.0; 2], ambient_u: 2.0, fan: 0.0 },
    Set { name: "1.5 to 5 h, ambient hardly known", after: [5400.0, 18_000.0], again: [0.0; 2], ambient_u: 8.0, fan: 0.0 },
    Set { name: "15 to 30 min, fan for 1 to 10", after: [900.0, 1800.0], again: [0.0; 2], ambient_u: 2.0, fan: 600.0 },
    Set { name: "0.5 to 5 h, fan for 1 to 10 min", after: [1800.0, 18_000.0], again: [0.0; 2], ambient_u: 2.0, fan: 600.0 },
    Set { name: "two readings, 1 to 6 h apart", after: [0.0; 2], again: [3600.0, 21_600.0], ambient_u: 2.0, fan: 0.0 },
    Set { name: "2 to 13 min, then 1 to 6 h later", after: [120.0, 800.0], again: [3600.0, 21_600.0], ambient_u: 2.0, fan: 0.0 },
];

/// Sampling intervals that logs have, s.
const SAMPLINGS: [f64; 5] = [0.5, 1.0, 5.0, 20.0, 60.0];

fn tally(seed: u64, count: usize, set: &Set) -> Tally {
    let mut dice = Dice(seed);
    let mut tally = Tally::default();
    for index in 0..count {
        let mut vehicle = Vehicle::thrown(&mut dice);
        if set.fan > 0.0 {
            vehicle.fan = (dice.between(60.0, set.fan), dice.between(2.0, 6.0));
        }
        let after = if set.after[0] > 0.0 { set.after[0] * (set.after[1] / set.after[0]).powf(dice.unit()) } else { 0.0 };
        let logger = Logger {
            sampling: SAMPLINGS[index % SAMPLINGS.len()],
            step: 1.0,
            noise: dice.between(0.0, 0.4),
            offset: dice.between(-1.5, 1.5),
            after,
            again: dice.between(set.again[0], set.again[1]),
        };
        let curve = vehicle.cools(20.0);
        let truth = truth(&vehicle, &curve, logger.offset);
        let run = logged(&vehicle, &curve, &logger, &mut dice);
        let found = CoolingDown::of(&run, &Phases::of(&run), &told(vehicle.ambient + dice.normal(set.ambient_u), set.ambient_u));
        tally.runs += 1;
        let held = |estimate: &Estimate, truth: f64| usize::from((estimate.interval_95[0]..=estimate.interval_95[1]).contains(&truth));
        let width = |estimate: &Estimate| estimate.interval_95[1] - estimate.interval_95[0];
        if let (Some(constant), Some(cold)) = (&found.time_constant, &found.cold_at_s) {
            tally.answered += 1;
            tally.constant_held += held(constant, truth.time_constant);
            tally.cold_held += held(cold, truth.cold_at);
            tally.constant_width += width(constant) / truth.time_constant;
            tally.cold_width += width(cold) / truth.cold_at;
        }
        if let Some(moment) = found.open_not_before_s {
            tally.bounded += 1;
            tally.late_enough += usize::from(moment >= truth.below_45);
            tally.wait += (moment - DRIVE_S) / (truth.below_45 - DRIVE_S);
        }
    }
    tally
}

/// Every set on threads of its own; the tallies in their order.
fn tallies(count: usize) -> Vec<Tally> {
    std::thread::scope(|scope| {
        let running: Vec<_> =
            SETS.iter().enumerate().map(|(index, set)| scope.spawn(move || tally(index as u64 + 1, count, set))).collect();
        running.into_iter().map(|thread| thread.join().unwrap()).collect()
    })
}

#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let tallies = tallies(RUNS);
    let mut all = Tally::default();
    for (tally, set) in tallies.iter().zip(&SETS) {
        println!("{}", tally.line(set.name));
        all.add(tally);
        // Two standard errors of a set are 4 %.
        assert!(tally.constant() > 0.90 && tally.cold() > 0.90, "{}", tally.line(set.name));
        assert!(tally.late() >= 0.975, "{}", tally.line(set.name));
        // Most are answered: a fan that takes half of a short record leaves too little of it.
        assert!(
            tally.answered as f64 > if set.fan > 0.0 && set.after[0] < 1000.0 { 0.2 } else { 0.8 } * tally.runs as f64,
            "{}",
            tally.line(set.name)
        );
    }
    println!("{}", all.line("all"));
    // Two standard errors of all are 1 %; what is asked is 92 to 98 %.
    assert!((0.92..0.985).contains(&all.constant()) && (0.92..0.985).contains(&all.cold()), "{}", all.line("all"));
}

/// A fan that never stops within a short record looks like an engine that cools in half the time or less. Nothing tells the two apart, so
/// the edge is late for every time constant that is usual, and there is none at all from a record under a quarter of an hour.
#[test]
fn a_fan_that_outlasts_a_short_record_makes_no_early_edge() {
    let mut dice = Dice(77);
    let (mut bounded, mut late_enough) = (0, 0);
    for _ in 0..60 {
        let after = dice.between(400.0, 1790.0);
        let vehicle = Vehicle { fan: (after, dice.between(1.5, 4.0)), ..Vehicle::thrown(&mut dice) };
        let curve = vehicle.cools(20.0);
        let logger = Logger { sampling: 2.0, step: 1.0, noise: 0.2, offset: 0.0, after, again: 0.0 };
        let run = logged(&vehicle, &curve, &logger, &mut dice);
        let found = CoolingDown::of(&run, &Phases::of(&run), &told(vehicle.ambient, 2.0));
        assert!(after > 830.0 || found.open_not_before_s.is_none(), "an edge after {after} s");
        if let Some(moment) = found.open_not_before_s {
            bounded += 1;
            late_enough += i32::from(moment >= truth(&vehicle, &curve, 0.0).below_45);
        }
    }
    assert!(bounded > 20 && late_enough == bounded, "{late_enough} of {bounded} late enough");
}

/// One ordinary vehicle: 18 °C, metal 10 K hotter than the coolant's 90 °C, 100 minutes.
fn van() -> Vehicle {
    Vehicle {
        ambient: 18.0,
        coolant: 90.0,
        metal: 100.0,
        ratio: 1.5,
        exchange: 200.0,
        loss: 6000.0,
        coolant_share: 0.5,
        drift: 0.1,
        fan: (0.0, 1.0),
    }
}

const PLAIN: Logger = Logger { sampling: 5.0, step: 1.0, noise: 0.1, offset: 0.0, after: 5400.0, again: 0.0 };

fn found(vehicle: &Vehicle, logger: &Logger, ambient: &Ambient, change: impl Fn(&mut Run)) -> CoolingDown {
    let mut run = logged(vehicle, &vehicle.cools(20.0), logger, &mut Dice(5));
    change(&mut run);
    CoolingDown::of(&run, &Phases::of(&run), ambient)
}

#[test]
fn the_hot_soak_is_set_apart() {
    let cooling = found(&van(), &PLAIN, &told(18.0, 1.0), |_| {});
    let from = cooling.plain_from_s.unwrap() - cooling.stopped_s.unwrap();
    // The reading rises for about seven minutes here and falls plainly some minutes later.
    assert!(cooling.continuous && (120.0..1500.0).contains(&from), "{from}");
}

#[test]
fn a_log_that_stops_with_the_engine_has_nothing_measured_and_says_leave_it() {
    for after in [0.0, 60.0, 240.0] {
        let cooling = found(&van(), &Logger { after, ..PLAIN }, &told(18.0, 1.0), |_| {});
        assert_eq!((cooling.time_constant, cooling.open_not_before_s, cooling.cold_at_s), (None, None, None), "{after} s after key-off");
        assert!(cooling.because.is_some());
        let json = serde_json::to_string(&cooling).unwrap();
        assert_eq!(json, r#"{"open_not_before_s":null}"#);
    }
}

#[test]
fn the_json_form_is_the_contracts() {
    let json = serde_json::to_value(found(&van(), &PLAIN, &told(18.0, 1.0), |_| {})).unwrap();
    let members: Vec<&String> = json.as_object().unwrap().keys().collect();
    assert_eq!(members, ["cold_at_s", "open_not_before_s", "time_constant"]);
    assert_eq!(json["time_constant"]["unit"], "s");
    assert!(json["open_not_before_s"].as_f64().unwrap() > DRIVE_S);
}

#[test]
fn hot_weather_gives_no_moment() {
    let desert = Vehicle { ambient: 41.0, ..van() };
    let cooling = found(&desert, &PLAIN, &told(41.0, 1.0), |_| {});
    assert!(cooling.time_constant.is_some() && cooling.open_not_before_s.is_none() && cooling.because.is_some());
}

#[test]
fn an_engine_that_is_started_again_keeps_its_time_constant_but_no_moments() {
    let cooling = found(&van(), &PLAIN, &told(18.0, 1.0), |run| {
        let end = run.duration + 5.0;
        let engine = run.traces.get_mut(&Channel::EngineSpeed).unwrap();
        engine.time.extend([end, end + 20.0]);
        engine.value.extend([1200.0, 900.0]);
        run.duration = end + 20.0;
    });
    assert!(cooling.time_constant.is_some());
    assert_eq!((cooling.open_not_before_s, cooling.cold_at_s), (None, None));
}

#[test]
fn a_log_that_starts_hot_with_the_engine_off_serves() {
    let cooling = found(&van(), &Logger { after: 7200.0, ..PLAIN }, &told(18.0, 1.0), |run| {
        for trace in run.traces.values_mut() {
            *trace = trace.between(DRIVE_S + 300.0, f64::INFINITY);
            trace.time.iter_mut().for_each(|time| *time -= DRIVE_S + 300.0);
        }
        run.duration -= DRIVE_S + 300.0;
    });
    assert_eq!(cooling.stopped_s, Some(0.0));
    let [low, high] = cooling.time_constant.unwrap().interval_95;
    let truth = truth(&van(), &van().cools(20.0), 0.0).time_constant;
    assert!((low..=high).contains(&truth), "{truth} not in {low} to {high}");
}

#[test]
fn a_log_of_the_coolant_alone_cannot_tell_a_stop_from_a_descent() {
    let cooling = found(&van(), &PLAIN, &told(18.0, 1.0), |run| {
        run.traces.remove(&Channel::EngineSpeed);
    });
    assert_eq!(cooling.time_constant, None);
}

#[test]
fn a_stated_offset_is_taken_out() {
    let low = Logger { offset: -8.0, ..PLAIN };
    let stated = found(&van(), &low, &told(18.0, 1.0), |run| run.vehicle.sensor_offset = TemperatureDifference::from_kelvin(-8.0));
    let plain = found(&van(), &PLAIN, &told(18.0, 1.0), |_| {});
    let apart = stated.open_not_before_s.unwrap() - plain.open_not_before_s.unwrap();
    // Whole degrees fall elsewhere, no more.
    assert!(apart.abs() < 300.0, "{apart} s apart");
}

#[test]
fn nothing_at_all_is_no_panic() {
    let run = Run::default();
    assert_eq!(CoolingDown::of(&run, &Phases::of(&run), &told(18.0, 2.0)).time_constant, None);
    let mut single = Run { duration: 1e9, ..Run::default() };
    for channel in [Channel::CoolantTemperature, Channel::EngineSpeed] {
        single.traces.insert(channel, Trace { time: vec![0.0, 1e9], value: vec![90.0, 0.0], step: 0.0 });
    }
    let _ = CoolingDown::of(&single, &Phases::of(&single), &told(-40.0, 0.0));
}

#[test]
fn planning_reckons_with_one_to_three_hours_and_says_nothing_of_this_vehicle() {
    let [soonest, latest] = usual_wait(90.0, 20.0, 5.0).unwrap();
    // 70 K down to 5 K is 2.64 time constants.
    assert!((soonest / 3600.0 - 2.64).abs() < 0.01 && (latest / 3600.0 - 7.92).abs() < 0.01);
    assert_eq!(usual_wait(20.0, 25.0, 5.0), None);
    assert_eq!(usual_wait(22.0, 20.0, 5.0), Some([0.0, 0.0]));
}
