//! The runs of the study, each with what is true of it and what the program says of it.

use std::ops::Range;
use std::thread;
use wellbled::analysis::Analysis;
use wellbled::analysis::opening::State;
use wellbled::analysis::trapped_air::Where;
use wellbled::analysis::trapped_air::signs::{Group, Numbers};
use wellbled::estimate::Estimate;
use wellbled::ingest::{self, Options};
use wellbled::rehearsal::scenario::{Fault, LookAlike, Road, Scenario};
use wellbled::rehearsal::{Truth, air_scenario, rehearse, telling, twin_without_air};
use wellbled::vehicle::{Side, Vehicle};
use wellbled::verdict::Judgement;
use wellbled::verdict::decision::{Decision, Verdict};
use wellbled::verdict::ruling::Topic;

/// What is said of one quantity, and what it truly is.
#[derive(Clone, Copy, Debug)]
pub struct Said {
    pub estimate: Option<Estimate>,
    pub truth: f64,
}

/// Reading from which a run counts as overheated, °C: warning lamps come on from about here.
const OVERHEATED_C: f64 = 115.0;

/// One run.
pub struct Case {
    pub seed: u64,
    /// Gas at key-off, in thresholds.
    pub gas: f64,
    /// Whether the records differ from those of its twin without pockets.
    pub telling: bool,
    /// Whether it had pockets at the fill or gas pressed in by combustion.
    pub pockets: bool,
    pub faults: Vec<Fault>,
    pub truth: Truth,
    pub road: Road,
    pub side: Side,
    pub ambient: f64,
    pub period: f64,
    pub numbers: Numbers,
    /// Kinds of sign that its records have.
    pub has: Vec<Group>,
    pub state: State,
    pub place: Where,
    pub after_opening_s: f64,
    pub said: Vec<(&'static str, Said)>,
    pub rulings: Vec<(Topic, Decision)>,
    pub verdict: Verdict,
}

impl Case {
    /// Whether more than the threshold is left.
    pub fn trapped(&self) -> bool {
        self.gas > 1.0
    }

    /// Whether nothing is wrong with the vehicle, nor with what its owner states of it, and it did not overheat.
    pub fn healthy(&self) -> bool {
        let misstated = self.truth.look_alike == Some(LookAlike::WrongRating);
        self.faults.is_empty() && !self.pockets && !self.trapped() && !misstated && self.truth.highest < OVERHEATED_C
    }

    /// The decision on a topic.
    pub fn decided(&self, topic: Topic) -> Option<Decision> {
        self.rulings.iter().find(|(other, _)| *other == topic).map(|(_, decision)| *decision)
    }
}

/// The cases of some seeds, on two threads. A log that holds no row, as one that a warning lamp cut short before it began, is refused by the
/// program with exit code 2 and is no case.
pub fn cases(seeds: Range<u64>) -> Vec<Case> {
    let half = (seeds.start + seeds.end) / 2;
    let second = thread::spawn(move || (half..seeds.end).filter_map(case).collect::<Vec<_>>());
    let mut all: Vec<Case> = (seeds.start..half).filter_map(case).collect();
    all.extend(second.join().expect("no run panics"));
    all
}

fn case(seed: u64) -> Option<Case> {
    let scenario = air_scenario(seed);
    let made = rehearse(&scenario);
    let pockets = !scenario.air.pockets.is_empty();
    let tells = pockets && telling(&scenario, &made, &rehearse(&twin_without_air(&scenario))).any();
    let options = Options { day_first: Some(true), ..Options::default() };
    let mut run = match ingest::read(&made.log, "made.csv", &options) {
        Ok(ingested) => ingested.run,
        Err(error) => {
            println!("seed {seed} is refused: {error}");
            return None;
        }
    };
    run.vehicle = Vehicle::from_toml(&made.vehicle_toml).unwrap_or_else(|error| panic!("seed {seed}: {error}"));
    run.levels = made.levels.clone();
    let analysis = Analysis::of(&run);
    let judgement = Judgement::of(&run, &analysis);
    let end = made.truth.key_off_s.unwrap_or(made.truth.log_end_s);
    Some(Case {
        seed,
        gas: made.truth.air.at_key_off / made.truth.air.threshold,
        telling: tells,
        pockets: pockets || scenario.faults.iter().any(|fault| matches!(fault, Fault::CombustionGas(_))),
        faults: scenario.faults.clone(),
        road: scenario.drive.road,
        side: scenario.valve.side,
        ambient: scenario.weather.ambient,
        period: scenario.logger.poll_period,
        numbers: analysis.trapped_air.numbers,
        has: Group::ALL.into_iter().filter(|group| analysis.trapped_air.seen.has(*group)).collect(),
        state: analysis.opening.state,
        place: analysis.trapped_air.place,
        after_opening_s: made.truth.first_lift.map_or(0.0, |lift| end - lift.time_s),
        said: said(&scenario, &made.truth, &analysis),
        rulings: judgement.rulings.iter().map(|ruling| (ruling.topic, ruling.decision)).collect(),
        verdict: judgement.verdict,
        truth: made.truth,
    })
}

/// Every quantity that is stated with an interval and whose truth is known.
fn said(scenario: &Scenario, truth: &Truth, analysis: &Analysis) -> Vec<(&'static str, Said)> {
    let opening = &analysis.opening;
    let [low, high] = truth.band.map_or([None, None], |[low, high]| [Some(low), Some(high)]);
    let loss = if scenario.notes.cycles == 1 {
        analysis.level_loss.per_cycle.first().or(analysis.level_loss.cold_to_cold.as_ref()).copied()
    } else {
        analysis.level_loss.per_cycle.get(truth.logged_cycle.saturating_sub(1)).copied()
    };
    [
        ("opening, temperature", opening.temperature, truth.first_lift.map(|lift| lift.reading)),
        ("opening, time", opening.time, truth.first_lift.map(|lift| lift.time_s)),
        ("band, lower edge", analysis.regulation.low, low),
        ("band, upper edge", analysis.regulation.high, high),
        ("time constant of cooling down", analysis.cooling_down.time_constant, truth.cooling_time_constant_s),
        ("cold-to-cold loss", loss, Some(truth.levels.loss_at_20)),
    ]
    .into_iter()
    .filter_map(|(name, estimate, truth)| truth.map(|truth| (name, Said { estimate, truth })))
    .collect()
}
