//! Made pairs for trapped air: a drive before the work and the drive after it.

use std::ops::Range;
use wellbled::analysis::Analysis;
use wellbled::analysis::trapped_air::TrappedAir;
use wellbled::analysis::trapped_air::signs::{COUNT, Numbers};
use wellbled::analysis::trapped_air::weights::WEIGHTS;
use wellbled::comparison::baseline;
use wellbled::ingest::{self, Options};
use wellbled::rehearsal::random::Random;
use wellbled::rehearsal::scenario::{Air, Cabin, Fault, Logger, Notes, Scenario};
use wellbled::rehearsal::{Rehearsal, air_scenario, random_scenario, rehearse, telling, twin_without_air};
use wellbled::vehicle::Vehicle;
use wellbled::verdict::decision::{Decision, within};
use wellbled::verdict::limits;

/// From this displacement on a vehicle is heavy, L.
const HEAVY_L: f64 = 3.5;

/// One vehicle before and after the work.
pub struct Case {
    /// More gas than the threshold is left, and its records differ from those of its twin without.
    pub trapped: bool,
    pub gas: bool,
    /// It had no pockets and no gas pressed in.
    pub clean: bool,
    pub could_tell: bool,
    /// Weighed alone, and with the drive before the work.
    pub alone: TrappedAir,
    /// What the drive before the work shows by itself.
    pub baseline: TrappedAir,
    pub paired: TrappedAir,
}

/// The drive of another day before the work: the same vehicle with its habits, without what the work left in it.
pub fn before(after: &Scenario, seed: u64) -> Scenario {
    let mut random = Random::new(seed, 13);
    let heavy = |scenario: &Scenario| scenario.engine.displacement > HEAVY_L;
    let mut days = (1..200).map(|k| random_scenario(1_000_000_007u64.wrapping_mul(k).wrapping_add(seed)));
    let day = days.find(|day| heavy(day) == heavy(after)).unwrap_or_else(|| after.clone());
    let mut logger = if random.chance(0.6) {
        after.logger.clone()
    } else {
        let ours = &after.logger;
        Logger { rounding: ours.rounding, proxies: ours.proxies, loose_connector: ours.loose_connector, ..day.logger.clone() }
    };
    logger.level_sensor = false;
    let cabin = Cabin {
        accessory: after.cabin.accessory,
        accessory_period: after.cabin.accessory_period,
        valve_period: after.cabin.valve_period,
        ..day.cabin
    };
    let notes = Notes { taken: false, refill: None, cycles: 1, logged_cycle: 1, ..after.notes };
    let mut before =
        Scenario { seed: day.seed, weather: day.weather, drive: day.drive, cabin, logger, notes, air: Air::default(), ..after.clone() };
    before.faults.retain(|fault| !matches!(fault, Fault::CombustionGas(_)));
    before.reservoir.purged = 0.0;
    before
}

fn air(made: &Rehearsal) -> Option<(TrappedAir, bool)> {
    let options = Options { day_first: Some(true), ..Options::default() };
    let mut run = ingest::read(&made.log, "made.csv", &options).ok()?.run;
    run.vehicle = Vehicle::from_toml(&made.vehicle_toml).ok()?;
    run.levels = made.levels.clone();
    let analysis = Analysis::of(&run);
    let could_tell = analysis.trapped_air.could_tell();
    Some((analysis.trapped_air, could_tell))
}

pub fn cases(seeds: Range<u64>) -> Vec<Case> {
    seeds.filter_map(case).collect()
}

fn case(seed: u64) -> Option<Case> {
    let scenario = air_scenario(seed);
    let made = rehearse(&scenario);
    let (alone, could_tell) = air(&made)?;
    let (baseline, _) = air(&rehearse(&before(&scenario, seed)))?;
    let pockets = !scenario.air.pockets.is_empty();
    let pressed_in = scenario.faults.iter().any(|fault| matches!(fault, Fault::CombustionGas(_)));
    let gas = made.truth.air.at_key_off > made.truth.air.threshold;
    let tells = gas && pockets && telling(&scenario, &made, &rehearse(&twin_without_air(&scenario))).any();
    let paired = baseline::with_baseline(&alone, &baseline).unwrap_or_else(|| alone.clone());
    Some(Case { trapped: tells, gas, clean: !pockets && !pressed_in, could_tell, alone, baseline, paired })
}

/// False alarms and misses of one way of weighing.
#[derive(Debug, Clone, Copy)]
pub struct Score {
    /// Bled systems that are not passed though the log could tell, as a share.
    pub not_passed: f64,
    /// Bled systems that are sent back, as a share.
    pub sent_back: f64,
    /// Systems with gas that shows that are passed, as a share.
    pub missed: f64,
    /// Bled systems above the probability that four in five systems with gas reach.
    pub alarms_at_four_fifths: f64,
    /// Systems with gas below the probability that one in twenty bled systems reaches.
    pub missed_at_one_in_twenty: f64,
    /// Mean logarithmic loss, at the study's own share of gas.
    pub loss: f64,
}

impl Score {
    pub fn of(cases: &[Case], pick: impl Fn(&Case) -> &TrappedAir) -> Self {
        let share = |which: &dyn Fn(&Case) -> bool, what: &dyn Fn(&Case) -> bool| {
            let of: Vec<&Case> = cases.iter().filter(|case| which(case)).collect();
            of.iter().filter(|case| what(case)).count() as f64 / of.len().max(1) as f64
        };
        let decided = |case: &Case| within(&pick(case).probability, 0.0, limits::TRAPPED_AIR_AT_MOST);
        let odds = |case: &Case| pick(case).likelihood_ratio.ln();
        let sorted = |which: &dyn Fn(&Case) -> bool| {
            let mut odds: Vec<f64> = cases.iter().filter(|case| which(case)).map(odds).collect();
            odds.sort_by(f64::total_cmp);
            odds
        };
        let (with, without) = (sorted(&|case| case.trapped), sorted(&|case| case.clean));
        let (four_fifths, one_in_twenty) = (with[with.len() / 5], without[without.len() * 19 / 20]);
        let gas = cases.iter().filter(|case| case.gas).count() as f64 / cases.len() as f64;
        let loss = |case: &Case| {
            let p = 1.0 / (1.0 + (-(odds(case) + (gas / (1.0 - gas)).ln())).exp());
            -(if case.gas { p } else { 1.0 - p }).max(1e-9).ln()
        };
        Self {
            not_passed: share(&|case| case.clean && case.could_tell, &|case| decided(case) != Decision::Pass),
            sent_back: share(&|case| case.clean, &|case| decided(case) == Decision::Recheck),
            missed: share(&|case| case.trapped, &|case| case.could_tell && decided(case) == Decision::Pass),
            alarms_at_four_fifths: share(&|case| case.clean, &|case| odds(case) >= four_fifths),
            missed_at_one_in_twenty: share(&|case| case.trapped, &|case| odds(case) < one_in_twenty),
            loss: cases.iter().map(loss).sum::<f64>() / cases.len() as f64,
        }
    }
}

/// How hard the weights are held to those of a single drive.
const PENALTY: f64 = 10.0;

/// Weights of the signs after the work and of those before it: logistic regression of whether gas is left, held to the single drive's weights,
/// by Newton's method.
pub fn weights(cases: &[Case]) -> [Numbers; 2] {
    const WIDTH: usize = 2 * COUNT + 1;
    let row = |case: &Case| -> Vec<f64> {
        let habits = baseline::carried(&case.alone.numbers, &case.baseline.numbers).map(|habit| habit.unwrap_or(0.0));
        case.alone.numbers.into_iter().chain(habits).chain([1.0]).collect()
    };
    let rows: Vec<(Vec<f64>, f64)> = cases.iter().map(|case| (row(case), f64::from(u8::from(case.gas)))).collect();
    let held: Vec<f64> = WEIGHTS.into_iter().chain([0.0; COUNT + 1]).collect();
    let mut weights = held.clone();
    for _ in 0..25 {
        let mut system = vec![vec![0.0; WIDTH + 1]; WIDTH];
        for j in 0..WIDTH {
            let penalty = if j + 1 < WIDTH { 2.0 * PENALTY } else { 1e-9 };
            system[j][j] = penalty;
            system[j][WIDTH] = -penalty * (weights[j] - held[j]);
        }
        for (signs, gas) in &rows {
            let odds: f64 = signs.iter().zip(&weights).map(|(sign, weight)| sign * weight).sum();
            let p = 1.0 / (1.0 + (-odds).exp());
            for j in (0..WIDTH).filter(|j| signs[*j] != 0.0) {
                system[j][WIDTH] += (gas - p) * signs[j];
                for k in 0..WIDTH {
                    system[j][k] += p * (1.0 - p) * signs[j] * signs[k];
                }
            }
        }
        let step = solved(system);
        weights.iter_mut().zip(&step).for_each(|(weight, step)| *weight += step);
        if step.iter().all(|step| step.abs() < 1e-9) {
            break;
        }
    }
    let part = |from: usize| std::array::from_fn(|i| weights[from + i]);
    [part(0), part(COUNT)]
}

/// Solves a symmetric positive system, its right side in the last column, by elimination.
fn solved(mut system: Vec<Vec<f64>>) -> Vec<f64> {
    let n = system.len();
    for j in 0..n {
        let pivot = system[j].clone();
        for row in system.iter_mut().skip(j + 1) {
            let share = row[j] / pivot[j];
            row.iter_mut().zip(&pivot).for_each(|(value, of_pivot)| *value -= share * of_pivot);
        }
    }
    let mut answer = vec![0.0; n];
    for j in (0..n).rev() {
        let rest: f64 = (j + 1..n).map(|k| system[j][k] * answer[k]).sum();
        answer[j] = (system[j][n] - rest) / system[j][j];
    }
    answer
}
