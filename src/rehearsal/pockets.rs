//! Pockets of gas: what they do to readings, valve and flows, and how they leave.
//!
//! A pocket uncovers what stands in it for a share of the time that grows with its volume (`V²/(V² + h²)`, `h` from the
//! vehicle's own shape): covered and uncovered follow each other by chance, faster with flow. Uncovered, sensor and wax feel
//! vapour: later, and a little cooler. As they are covered again, a slug passes that comes from hot metal or from a cold
//! branch. In the heater a pocket stands until the pump's pressure carries coolant over it; in the radiator's top it takes
//! wetted core and flow, by fits and starts. Pockets leave in gulps, sooner with flow, each at a rate of its own; gulps pass the
//! pump, which loses flow for some seconds. From where a gulp leaves it goes to the reservoir or to the next high place.
//!
//! ```text
//! head (sensor) ─▶ thermostat ─(open)─▶ radiator top ─▶ vent or cap ─▶ reservoir
//! heater ─▶ pump ─▶ head …              head ─▶ vent line ─▶ expansion tank
//! ```
//!
//! Limits: a pocket takes no coolant's heat capacity away; bubbles under way are not followed. The rates are choices within
//! what workshops see (common practice, no source) and span two orders of magnitude.

use super::arithmetic::{exp_minus, s_curve, share_between};
use super::circuit::{Flows, HEAD, HEATER, OUTLET, Plant, RADIATOR, RETURN};
use super::integrator::State;
use super::random::Random;
use super::scenario::{Fault, Scenario};
use super::system::System;
use crate::vehicle::{ReservoirKind, Side};
use serde::Serialize;

/// Where gas can stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// At the top of the head, around the sensor.
    Sensor,
    /// Around the wax.
    Thermostat,
    /// In the heater.
    Heater,
    /// In the top of the radiator.
    RadiatorTop,
}

impl Place {
    /// Every place.
    pub const ALL: [Place; 4] = [Place::Sensor, Place::Thermostat, Place::Heater, Place::RadiatorTop];
}

/// Number of stores of gas in the circuit: the places, and froth.
pub const STORES: usize = 5;

/// Gas in fine bubbles, which disturbs nothing and leaves by and by.
pub const FROTH: usize = 4;

/// Gulps in which a pocket gives up three fifths of itself in the time that it holds (choice).
const GULPS: f64 = 2.5;

/// Share of a pocket that one gulp takes, for a uniform draw: mostly little, now and then most of it.
fn gulp_share(draw: f64) -> f64 {
    0.04 + 0.6 * draw * draw
}

/// One pocket as it was at the fill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pocket {
    /// Where.
    pub place: Place,
    /// Amount, mL at local air pressure and 20 °C.
    pub millilitres: f64,
    /// Time that it withstands at the flow of a gentle drive, s: 300–60 000 in the study (choice: from gone in
    /// some minutes to staying for cycles; what leaves within a minute has left before the drive).
    pub hold: f64,
    /// How much gas it takes to uncover what stands there, against the typical: 0.4–2.5 (choice; shapes of heads differ).
    pub shelter: f64,
}

/// Gas that moved at once.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gulp {
    /// When, s from the log's first row.
    pub time_s: f64,
    /// Where it stood.
    pub from: Place,
    /// Where it went; absent: into the reservoir, out of the circuit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<Place>,
    /// How much, mL at local air pressure and 20 °C.
    pub millilitres: f64,
}

/// How sensor or wax feels the coolant around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feel {
    /// Its time constant, against that in coolant.
    pub lag: f64,
    /// What surrounds it is so many kelvin warmer than the coolant there.
    pub warmer: f64,
}

/// What gas does to the circuit for one tick; shares of what would be without it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hindrance {
    /// The pump's flow.
    pub pump: f64,
    /// Conductance of the radiator's branch.
    pub radiator: f64,
    /// Wetted core.
    pub core: f64,
    /// Conductance of the heater's branch.
    pub heater: f64,
    /// The sensor.
    pub sensor: Feel,
    /// The wax.
    pub wax: Feel,
}

impl Default for Hindrance {
    fn default() -> Self {
        let free = Feel { lag: 1.0, warmer: 0.0 };
        Self { pump: 1.0, radiator: 1.0, core: 1.0, heater: 1.0, sensor: free, wax: free }
    }
}

/// Covered by coolant or not, by chance.
#[derive(Clone, Copy, Debug)]
struct Wetting {
    dry: bool,
    /// Mean time of one covering and uncovering at a gentle drive, s.
    cycle: f64,
    /// Slug on covering, K, which dies out.
    slug: f64,
}

impl Wetting {
    /// One second; returns whether a slug passes: as it is covered again, and now and then while it is.
    fn tick(&mut self, dry_share: f64, flow: f64, random: &mut Random) -> bool {
        // Hardly anything moves without flow.
        let pace = 2.0 * (0.02 + 1.2 * flow) / self.cycle;
        let change = random.unit();
        self.slug *= 0.91;
        if self.dry {
            self.dry = change >= (1.0 - dry_share) * pace;
            return !self.dry;
        }
        self.dry = change < dry_share * pace;
        !self.dry && change > 1.0 - dry_share * pace
    }

    fn feel(&self, lag: f64, drop: f64) -> Feel {
        if self.dry { Feel { lag, warmer: -drop } } else { Feel { lag: 1.0, warmer: self.slug } }
    }
}

/// Gas for which each place has room at most, mL (choice): two fifths of the head's jacket, the thermostat's housing, most of the
/// heater, half of the radiator.
pub fn rooms(scenario: &Scenario, plant: &Plant) -> [f64; 4] {
    let [head, heater, radiator] = [OUTLET, HEATER, RADIATOR].map(|node| 1000.0 * plant.volumes[node]);
    [0.4 * head, 60.0 + 12.0 * scenario.circuit.capacity, 0.6 * heater, 1.5 * radiator]
}

/// What the pockets see of the circuit.
pub struct View<'a> {
    /// The state.
    pub state: &'a State,
    /// Flows of the last tick, L/s.
    pub flows: Flows,
    /// Engine speed as a share of rated.
    pub engine: f64,
    /// Lift.
    pub lift: f64,
    /// Load, %.
    pub load: f64,
    /// s from the log's first row.
    pub time_s: f64,
    /// Which tick of which cycle: chance is drawn afresh for each, so that a run without the pocket, or with a valve that
    /// stays shut, meets the same luck as long as it fares alike.
    pub moment: u64,
}

/// The pockets of one run and their chance.
#[derive(Clone, Debug)]
pub struct Pockets {
    seed: u64,
    ambient: f64,
    hold: [f64; 4],
    /// Volume at which a place is uncovered half the time, mL.
    half: [f64; 4],
    room: [f64; 4],
    sensor: Wetting,
    wax: Wetting,
    lock: Wetting,
    dry_lag: [f64; 2],
    cooler: [f64; 2],
    locked_share: f64,
    pump_loss: f64,
    idle: f64,
    pump_health: f64,
    pump_flow: f64,
    bleed: f64,
    inlet: bool,
    tank: bool,
    combustion: f64,
    /// Every gulp so far.
    pub gulps: Vec<Gulp>,
}

impl Pockets {
    /// The pockets that a scenario describes.
    pub fn of(scenario: &Scenario, plant: &Plant) -> Self {
        let mut random = Random::new(scenario.seed, 5);
        let litres = scenario.circuit.capacity;
        let heater = 1000.0 * plant.volumes[HEATER];
        let radiator = 3000.0 * plant.volumes[RADIATOR];
        // A tip stands 15–30 mm into a passage of 10–20 cm², and what is less than fills the corner is carried off by the flow
        // rather than standing (geometry, choice).
        let mut half = [16.0 + 3.5 * litres, 14.0 + 3.0 * litres, 0.08 * heater, 0.09 * radiator];
        let mut hold = [400.0; 4];
        for pocket in &scenario.air.pockets {
            half[pocket.place as usize] *= pocket.shelter.clamp(0.1, 10.0);
            hold[pocket.place as usize] = pocket.hold.max(1.0);
        }
        let mut wetting = |low: f64, high: f64, dry: bool| Wetting { dry, cycle: random.between_log(low, high), slug: 0.0 };
        // At the start, before anything flows, what a pocket can uncover is uncovered.
        let filled = |place: Place| scenario.air.pockets.iter().any(|pocket| pocket.place == place);
        let sensor = wetting(8.0, 60.0, filled(Place::Sensor));
        let wax = wetting(40.0, 250.0, filled(Place::Thermostat));
        let lock = wetting(25.0, 120.0, false);
        Self {
            hold,
            half,
            room: rooms(scenario, plant),
            sensor,
            wax,
            lock,
            dry_lag: [random.between_log(1.5, 8.0), random.between_log(2.5, 9.0)],
            cooler: [random.between_log(0.03, 0.2), random.between_log(0.02, 0.1)],
            locked_share: random.between(0.05, 0.3),
            pump_loss: 0.0,
            idle: scenario.engine.idle_speed / scenario.engine.rated_speed,
            pump_health: plant.pump_health,
            pump_flow: scenario.circuit.pump_flow,
            bleed: scenario.valve.bleed,
            inlet: scenario.valve.side == Side::Inlet,
            tank: scenario.reservoir.kind == ReservoirKind::ExpansionTank,
            combustion: scenario.faults.iter().map(|fault| if let Fault::CombustionGas(rate) = fault { rate.max(0.0) } else { 0.0 }).sum(),
            gulps: Vec::new(),
            seed: scenario.seed,
            ambient: scenario.weather.ambient,
        }
    }

    /// One second with the engine in a state. Moves gas and says what it does until the next.
    pub fn tick(&mut self, system: &mut System, view: &View) -> Hindrance {
        let flow = (view.flows.engine() / self.pump_flow / 0.3).min(3.0);
        let running = view.engine > 0.0;
        if running && self.combustion > 0.0 {
            let pressed = self.combustion / 3600.0 * (0.15 + 0.85 * (view.load / 100.0).clamp(0.0, 1.0));
            system.gas[Place::Sensor as usize] += pressed;
            system.ledger.generated += pressed;
        }
        if system.gas[FROTH] > 0.0 && self.tank && running {
            let warm = 0.2 + 0.8 * share_between(view.state[OUTLET], 30.0, 70.0);
            let out = system.gas[FROTH] * (1.0 - exp_minus(warm * flow.min(1.5) / 120.0));
            system.gas[FROTH] -= out;
            system.release(out);
        }
        if Place::ALL.iter().all(|&place| system.gas[place as usize] <= 0.0) && self.pump_loss < 1e-3 {
            self.pump_loss = 0.0;
            return Hindrance::default();
        }
        if running {
            for place in Place::ALL {
                self.maybe_gulp(place, system, view, flow);
            }
            self.spill_over(system, view);
        }
        self.hindrance(system, view, flow)
    }

    fn luck(&self, view: &View, purpose: u64) -> Random {
        Random::new(self.seed, 1000 + 8 * view.moment + purpose)
    }

    /// How eagerly a place gives up its gas, against a gentle drive.
    fn eagerness(&self, place: Place, system: &System, view: &View, flow: f64) -> f64 {
        match place {
            Place::Sensor => flow * if self.tank { 1.0 } else { 0.6 },
            // Shut, only bleed and jiggle pin let gas by.
            Place::Thermostat => flow * (60.0 * self.bleed * if self.inlet { 0.3 } else { 1.0 } + 15.0 * view.lift).min(8.0),
            Place::Heater => {
                let carried = self.carried_over(system, view);
                flow * carried * carried * carried
            }
            // An overflow bottle's cap lets it out (see `system`); a vent line does so by and by.
            Place::RadiatorTop => {
                if self.tank {
                    0.3 * flow + 3.0 * view.flows.radiator / self.pump_flow
                } else {
                    0.0
                }
            }
        }
    }

    /// How far the pump's pressure carries coolant over a heater's pocket, 0 to 1.
    fn carried_over(&self, system: &System, view: &View) -> f64 {
        let place = Place::Heater as usize;
        let bar = 0.75 + 0.9 * system.pocket_volume(view.state, place) / (4.0 * self.half[place]);
        s_curve(share_between(self.pump_health * view.engine / self.idle, bar, bar + 0.9))
    }

    fn maybe_gulp(&mut self, place: Place, system: &mut System, view: &View, flow: f64) {
        let store = place as usize;
        if system.gas[store] <= 0.0 {
            return;
        }
        // The less of its corner a pocket fills, the sooner the flow takes it along.
        let small = 1.0 + (self.half[store] / system.gas[store]).min(5.0);
        let rate = GULPS * small * self.eagerness(place, system, view, flow) / self.hold[store];
        let mut random = self.luck(view, store as u64);
        let (chance, part, way) = (random.unit(), gulp_share(random.unit()), random.unit());
        if chance >= 1.0 - exp_minus(rate) {
            return;
        }
        let amount = if system.gas[store] < 3.0 { system.gas[store] } else { (part * system.gas[store]).max(3.0).min(system.gas[store]) };
        let open = view.lift > 0.05;
        let to = match place {
            Place::Sensor if self.tank && way < 0.7 => None,
            Place::Sensor | Place::Heater if open && !self.inlet => Some(Place::RadiatorTop),
            Place::Sensor => Some(if self.inlet { Place::RadiatorTop } else { Place::Thermostat }),
            Place::Thermostat if self.inlet => Some(Place::Sensor),
            Place::Thermostat if self.tank && way < 0.5 => None,
            Place::Thermostat => Some(Place::RadiatorTop),
            Place::Heater if self.tank && way < 0.6 => None,
            Place::Heater => Some(Place::Sensor),
            Place::RadiatorTop => None,
        };
        self.move_gas(system, view, place, to, amount);
        // Gas that passes the pump takes its flow for some seconds.
        let volume = system.pocket_volume(view.state, store).max(amount);
        self.pump_loss = (self.pump_loss + 0.05 + amount.min(volume) / (amount + 90.0)).min(0.8);
    }

    fn move_gas(&mut self, system: &mut System, view: &View, from: Place, to: Option<Place>, amount: f64) {
        system.gas[from as usize] -= amount;
        match to {
            Some(place) => system.gas[place as usize] += amount,
            None => system.release(amount),
        }
        self.gulps.push(Gulp { time_s: view.time_s, from, to, millilitres: amount });
    }

    /// What no longer finds room goes on to the next high place.
    fn spill_over(&mut self, system: &mut System, view: &View) {
        for place in Place::ALL {
            let store = place as usize;
            let volume = system.pocket_volume(view.state, store);
            if volume > self.room[store] {
                let amount = system.gas[store] * (1.0 - 0.9 * self.room[store] / volume);
                let to = match place {
                    Place::RadiatorTop => None,
                    _ if self.tank => None,
                    _ => Some(Place::RadiatorTop),
                };
                if to.is_some() || self.tank {
                    self.move_gas(system, view, place, to, amount);
                }
            }
        }
    }

    fn hindrance(&mut self, system: &System, view: &View, flow: f64) -> Hindrance {
        let volume: [f64; 4] = std::array::from_fn(|store| system.pocket_volume(view.state, store));
        let uncovered: [f64; 4] = std::array::from_fn(|store| {
            let (gas, half) = (volume[store] * volume[store], self.half[store] * self.half[store]);
            gas / (gas + half)
        });
        let state = view.state;
        let excess = state[OUTLET] - state[RETURN].min(state[OUTLET]);
        let mut random = self.luck(view, 7);
        for (store, wetting) in [(Place::Sensor as usize, &mut self.sensor), (Place::Thermostat as usize, &mut self.wax)] {
            let (hot, much) = (random.chance(0.5), random.unit());
            if wetting.tick(uncovered[store], flow, &mut random) {
                wetting.slug = much * if hot { 0.6 * (state[HEAD] - state[OUTLET]).max(0.0) } else { -0.35 * excess.min(40.0) };
            }
        }
        self.lock.tick(0.75 * uncovered[Place::RadiatorTop as usize], flow, &mut random);
        self.pump_loss *= 0.88;
        let heater = Place::Heater as usize;
        let blocked = volume[heater] / (volume[heater] + self.half[heater]) * (1.0 - self.carried_over(system, view));
        let radiator = Place::RadiatorTop as usize;
        let warm = (state[OUTLET] - self.ambient).max(0.0);
        Hindrance {
            pump: 1.0 - self.pump_loss,
            radiator: if self.lock.dry { self.locked_share } else { 1.0 - 0.3 * uncovered[radiator] },
            core: 1.0 - 0.5 * volume[radiator] / (volume[radiator] + 4.0 * self.half[radiator]),
            heater: 1.0 - 0.985 * blocked.min(1.0),
            sensor: self.sensor.feel(self.dry_lag[0], self.cooler[0] * warm),
            wax: self.wax.feel(self.dry_lag[1], self.cooler[1] * warm),
        }
    }
}
