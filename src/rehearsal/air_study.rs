//! Scenarios for the study of trapped air.
//!
//! Fixed before anything was fitted to them:
//!
//! - half of the runs have pockets at the fill, in all from 0.1 to 10 times the threshold (60 mL or 1 % of the capacity,
//!   whichever is more), uniform in the logarithm; what is left at key-off is the truth;
//! - of the runs without pockets three fifths hold one look-alike, of those with pockets a quarter do, so that a look-alike
//!   by itself says little;
//! - vehicle, weather, drive and recorder come from [`random_scenario`]; of its faults three in ten are kept, so that about one run
//!   in eight is faulty in that way; one run in forty has combustion gas, one in sixteen a leak, a wrong mix, a cap that does
//!   not hold or a valve that never opens.
//!
//! Where pockets sit, how long they hold and how much they uncover are choices with wide ranges (see `pockets`).

use super::circuit::Plant;
use super::look_alikes::{LookAlike, leak};
use super::pockets::{Place, Pocket, rooms};
use super::random::Random;
use super::ranges::random_scenario;
use super::scenario::{Air, Fault, Refill, Scenario};

/// Share of runs with pockets at the fill.
pub const SHARE_WITH_AIR: f64 = 0.5;

/// Share of runs with a look-alike: without pockets, with pockets.
pub const SHARE_WITH_LOOK_ALIKE: [f64; 2] = [0.6, 0.25];

/// Least and most gas at the fill, as multiples of the threshold.
pub const POCKET_RANGE: [f64; 2] = [0.1, 10.0];

/// A scenario of the study.
pub fn air_scenario(seed: u64) -> Scenario {
    let mut random = Random::new(seed, 7);
    let mut scenario = random_scenario(seed);
    if !random.chance(0.3) {
        scenario.faults.clear();
    }
    recorder_and_person(&mut scenario, &mut random);
    let with_air = random.chance(SHARE_WITH_AIR);
    if random.chance(SHARE_WITH_LOOK_ALIKE[usize::from(with_air)]) {
        let pick = (random.unit() * LookAlike::ALL.len() as f64) as usize;
        if let Some(look_alike) = LookAlike::ALL.get(pick) {
            look_alike.put_into(&mut scenario, &mut random);
        }
    }
    if with_air {
        let amount = scenario.threshold() * random.between_log(POCKET_RANGE[0], POCKET_RANGE[1]);
        scenario.air = Air { pockets: pockets(amount, rooms(&scenario, &Plant::of(&scenario)), &mut random) };
        if random.chance(0.05) {
            scenario.faults.push(Fault::CombustionGas(random.between_log(300.0, 6000.0)));
        }
    }
    if random.chance(0.06) {
        scenario.faults.push(other_trouble(&mut random));
    }
    scenario
}

/// Troubles that [`random_scenario`] does not draw, with and without air alike.
fn other_trouble(random: &mut Random) -> Fault {
    let either_way = if random.chance(0.5) { 1.0 } else { -1.0 };
    match random.choose(&[(0.35, 0), (0.35, 1), (0.2, 2), (0.1, 3)]) {
        Some(0) => Fault::WrongMix(either_way * random.between(0.1, 0.25)),
        Some(1) => leak(random),
        Some(2) => Fault::CapNotHolding(random.between(0.0, 0.4)),
        _ => Fault::StuckShut,
    }
}

/// What a study of air adds to the recorder and the notebook.
fn recorder_and_person(scenario: &mut Scenario, random: &mut Random) {
    let (logger, notes) = (&mut scenario.logger, &mut scenario.notes);
    logger.heater_probe = random.chance(0.25);
    logger.radiator_probe = random.chance(0.06);
    logger.level_sensor = random.chance(0.06);
    logger.pressure_sensor = random.chance(0.03);
    logger.second_sensor = random.chance(0.06);
    notes.cycles = random.choose(&[(0.55, 1), (0.22, 2), (0.15, 3), (0.08, 4)]).unwrap_or(1);
    notes.logged_cycle = if random.chance(0.8) { 1 } else { 1 + (random.unit() * notes.cycles as f64) as usize };
    notes.tops_up = random.chance(0.4);
    notes.uneven_mm = if random.chance(0.1) { random.between(2.0, 8.0) } else { 0.0 };
    let ambient = scenario.weather.ambient;
    let drained = 1000.0 * scenario.circuit.capacity * random.between(0.3, 0.9);
    let refill = Refill { drained, warmth: random.between(ambient, 65.0f64.max(ambient)), error: random.between(0.02, 0.03) };
    notes.refill = random.chance(0.5).then_some(refill);
}

/// An amount of gas shared among one to three places, each filled to seven tenths of its room at most; what is over goes to
/// further places.
pub fn pockets(amount: f64, rooms: [f64; 4], random: &mut Random) -> Vec<Pocket> {
    let places = random.choose(&[(0.45, 1usize), (0.35, 2), (0.2, 3)]).unwrap_or(1);
    let mut free = vec![(0.2, Place::Sensor), (0.25, Place::Thermostat), (0.3, Place::Heater), (0.25, Place::RadiatorTop)];
    let mut pockets: Vec<Pocket> = Vec::new();
    let mut left = amount;
    while left > 0.5 {
        let Some(place) = random.choose(&free) else { break };
        free.retain(|&(_, other)| other != place);
        let (share, hold, shelter) = (random.between(0.2, 0.8), random.between_log(300.0, 60_000.0), random.between_log(0.4, 2.5));
        let wanted = if pockets.len() + 1 < places { share * left } else { left };
        let millilitres = wanted.min(0.7 * rooms[place as usize]);
        left -= millilitres;
        pockets.push(Pocket { place, millilitres, hold, shelter });
    }
    pockets
}

/// The same run without its pockets and without combustion gas: same vehicle, drive, recorder and luck.
pub fn twin_without_air(scenario: &Scenario) -> Scenario {
    let faults = scenario.faults.iter().copied().filter(|fault| !matches!(fault, Fault::CombustionGas(_))).collect();
    Scenario { air: Air::default(), faults, ..scenario.clone() }
}
