//! Made pairs: one vehicle on two days, with another drive, other weather and another recorder, and with one change or none between them.

use wellbled::analysis::Analysis;
use wellbled::ingest::{self, Options};
use wellbled::rehearsal::random::Random;
use wellbled::rehearsal::scenario::{Fault, Logger, Scenario};
use wellbled::rehearsal::{Rehearsal, Truth, random_scenario, rehearse};
use wellbled::run::Run;
use wellbled::vehicle::Vehicle;

/// From this displacement on a vehicle is heavy and driven as such, L: as `random_scenario` has it.
const HEAVY_L: f64 = 3.5;

/// What two drives of one vehicle are made from.
pub struct Pair {
    /// What changed between the two, if anything.
    pub change: Option<Fault>,
    pub earlier: Scenario,
    pub later: Scenario,
}

/// One drive as the program reads it, with what is true of it.
pub struct Drive {
    pub run: Run,
    pub analysis: Analysis,
    pub truth: Truth,
}

/// A pair by chance; half of them without a change.
pub fn pair(seed: u64) -> Pair {
    let mut random = Random::new(seed, 11);
    let change = random.chance(0.5).then(|| change(&mut random));
    pair_with(seed, change)
}

/// A pair with this change.
pub fn pair_with(seed: u64, change: Option<Fault>) -> Pair {
    let mut random = Random::new(seed, 12);
    let earlier = Scenario { faults: Vec::new(), ..random_scenario(seed) };
    let heavy = |scenario: &Scenario| scenario.engine.displacement > HEAVY_L;
    let others = (1..200).map(|k| random_scenario(1_000_000_007u64.wrapping_mul(k).wrapping_add(seed)));
    let day = others.into_iter().find(|other| heavy(other) == heavy(&earlier)).unwrap_or_else(|| earlier.clone());
    // The control unit rounds as it did; one time in seven another recorder turns the degrees into others.
    let rounding = if random.chance(1.0 / 7.0) { day.logger.rounding } else { earlier.logger.rounding };
    let proxies = if random.chance(0.7) { earlier.logger.proxies } else { day.logger.proxies };
    let mut later = Scenario {
        seed: day.seed,
        started: "2027".to_owned() + day.started.get(4..).unwrap_or_default(),
        weather: day.weather,
        drive: day.drive,
        cabin: day.cabin,
        logger: Logger { rounding, proxies, ..day.logger },
        notes: day.notes,
        ..earlier.clone()
    };
    later.reservoir.cold_level = random.between(later.reservoir.min_mark, later.reservoir.max_mark);
    later.faults = change.into_iter().collect();
    Pair { change, earlier, later }
}

impl Pair {
    /// The later drive as it would have been without the change.
    pub fn later_unchanged(&self) -> Scenario {
        Scenario { faults: Vec::new(), ..self.later.clone() }
    }
}

/// One change of those that a comparison is asked about.
fn change(random: &mut Random) -> Fault {
    let either_way = if random.chance(0.5) { 1.0 } else { -1.0 };
    match random.choose(&[(0.2, 0), (0.12, 1), (0.13, 2), (0.1, 3), (0.1, 4), (0.12, 5), (0.13, 6), (0.1, 7)]) {
        Some(0) => Fault::OpensEarly(5.0),
        Some(1) => Fault::OpensLate(5.0),
        Some(2) => Fault::OpensEarly(random.between(2.0, 12.0)),
        Some(3) => Fault::StuckOpen(random.between(0.3, 1.0)),
        Some(4) => Fault::WeakFan(random.between(0.0, 0.3)),
        Some(5) => Fault::BlockedRadiator(random.between(0.2, 0.5)),
        Some(6) => Fault::SensorOffset(either_way * random.between(3.0, 8.0)),
        _ => Fault::LeakHot(random.between(60.0, 300.0)),
    }
}

/// Reads a made drive as the program would; `None` where its log is refused.
pub fn drive(scenario: &Scenario) -> Option<Drive> {
    read(rehearse(scenario))
}

fn read(made: Rehearsal) -> Option<Drive> {
    let options = Options { day_first: Some(true), ..Options::default() };
    let mut run = ingest::read(&made.log, "made.csv", &options).ok()?.run;
    run.vehicle = Vehicle::from_toml(&made.vehicle_toml).ok()?;
    run.levels = made.levels;
    let analysis = Analysis::of(&run);
    Some(Drive { run, analysis, truth: made.truth })
}
