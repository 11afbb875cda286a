//! The closed system: coolant by mass, gas by amount, and the pressure on which they agree.
//!
//! The circuit's cavity is filled by coolant and gas, always:
//!
//! ```text
//! cavity(metal's warmth, pressure) = Σ coolant in each lump (its own density) + Σ pockets (gas law) [+ tank: coolant + gas]
//! ```
//!
//! In a pressurised tank the gas above the coolant is the spring; the pressure follows by halving, up to the cap's and down
//! to the vacuum valve's. A system with an overflow bottle has no such spring: its pressure rises with the first growth until
//! the cap lifts; what stands highest goes first, gas before coolant, and cooling draws coolant back out of the bottle.
//! A cap that does not hold draws air instead. A gulp that leaves a pocket for the tank lowers the level by its volume.
//!
//! Limits: gas does not dissolve; the vehicle stands level; no gas is carried along by coolant that leaks.

use super::circuit::{HEAD, HEATER, JACKET, OUTLET, Plant, RADIATOR, RETURN, TANK, WAX};
use super::integrator::State;
use super::pockets::{FROTH, Place, STORES};
use super::scenario::{Fault, Mix, Scenario};
use super::volumes::{Spot, Vapour, relative_volume};
use crate::vehicle::{ReservoirKind, Side};
use serde::Serialize;

/// Linear growth of the metal around the coolant, 1/K: aluminium 23e-6, cast iron 11e-6 (handbook); a mean of both.
const METAL_LINEAR: f64 = 19e-6;

/// Share of the cavity that is metal; hoses and plastic grow little and slowly (memory).
const METAL_SHARE: f64 = 0.8;

/// Gauge pressure at which the vacuum valve opens, kPa (memory).
const VACUUM: f64 = -5.0;

/// Gas space that an overfull tank keeps at least, mL.
const LEAST_SPACE: f64 = 15.0;

/// Share of gas in what an overflow bottle's cap lets pass while gas stands beneath it (memory: the neck is the highest point).
const GAS_FIRST: f64 = 0.85;

/// What came and went, mL; coolant at 20 °C, gas at local air pressure and 20 °C.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Ledger {
    /// Coolant lost by leaks.
    pub leaked: f64,
    /// Coolant pushed out of a full tank or bottle.
    pub spilled: f64,
    /// Coolant topped up.
    pub added: f64,
    /// Gas that the combustion pressed in.
    pub generated: f64,
    /// Gas that left through the cap.
    pub vented: f64,
    /// Air drawn in through vacuum valve or cap.
    pub drawn: f64,
}

/// The closed system of one run.
#[derive(Clone, Debug)]
pub struct System {
    kind: ReservoirKind,
    total: f64,
    compliance: f64,
    cap: f64,
    draws_back: f64,
    leak_hot: f64,
    leak_cold: f64,
    ambient: f64,
    mix: Mix,
    vapour: Vapour,
    volumes: [f64; 12],
    thermostat_node: usize,
    /// Gas in each place and as froth, as an amount, mL.
    pub gas: [f64; STORES],
    /// Gas above the coolant of a pressurised tank, as an amount, mL.
    pub tank_gas: f64,
    /// Coolant in circuit and pressurised tank, mL at 20 °C.
    pub liquid: f64,
    /// Coolant in an overflow bottle, mL at 20 °C.
    pub bottle: f64,
    /// What came and went.
    pub ledger: Ledger,
    /// Gauge pressure, kPa.
    pub pressure: f64,
    /// Level of the reservoir, mL.
    pub level: f64,
    /// Whether the cap let something out in the last tick.
    pub cap_lifted: bool,
}

/// The parts of the balance that do not depend on pressure.
struct Frame {
    cavity: f64,
    hoses: f64,
    node_growth: [f64; 12],
    spots: [Spot; STORES],
    tank: Spot,
}

impl System {
    /// Filled cold: the reservoir at its cold level, pockets in place, cap just closed.
    pub fn filled(scenario: &Scenario, plant: &Plant, cold: &State) -> Self {
        let tank = &scenario.reservoir;
        let mix = scenario.mix();
        let (mut held, mut leak_hot, mut leak_cold) = (1.0f64, 0.0, 0.0);
        for fault in &scenario.faults {
            match *fault {
                Fault::CapNotHolding(share) => held = held.min(share.clamp(0.0, 1.0)),
                Fault::LeakHot(rate) => leak_hot += rate.max(0.0),
                Fault::LeakCold(rate) => leak_cold += rate.max(0.0),
                _ => {}
            }
        }
        let vapour = Vapour::over(&mix, super::airflow::air_pressure(scenario.weather.altitude));
        let mut system = Self {
            kind: tank.kind,
            total: tank.total,
            compliance: scenario.circuit.compliance,
            cap: (tank.cap * held).max(2.0),
            draws_back: held,
            leak_hot,
            leak_cold,
            ambient: scenario.weather.ambient,
            mix,
            vapour,
            volumes: plant.volumes.map(|litres| 1000.0 * litres),
            thermostat_node: if scenario.valve.side == Side::Inlet { WAX } else { OUTLET },
            gas: [0.0; STORES],
            tank_gas: 0.0,
            liquid: 0.0,
            bottle: 0.0,
            ledger: Ledger::default(),
            pressure: 0.0,
            level: tank.cold_level,
            cap_lifted: false,
        };
        for pocket in &scenario.air.pockets {
            system.gas[pocket.place as usize] += pocket.millilitres.max(0.0);
        }
        system.gas[FROTH] = tank.purged.max(0.0);
        let frame = system.frame(cold);
        system.liquid = system.circuit_mass(&frame, 0.0);
        if tank.kind == ReservoirKind::ExpansionTank {
            system.liquid += tank.cold_level / frame.node_growth[TANK];
            system.tank_gas = frame.tank.amount((tank.total - tank.cold_level).max(LEAST_SPACE), vapour.outside());
        } else {
            system.bottle = tank.cold_level / system.outside_growth();
        }
        system
    }

    fn outside_growth(&self) -> f64 {
        relative_volume(&self.mix, self.ambient)
    }

    /// Nodes of the circuit that are always full: all but the tank's, which with an overflow bottle belongs to them.
    fn last_node(&self) -> usize {
        if self.kind == ReservoirKind::ExpansionTank { HEATER } else { TANK }
    }

    fn node_of(&self, store: usize) -> usize {
        match store {
            _ if store == Place::Thermostat as usize => self.thermostat_node,
            _ if store == Place::Heater as usize => HEATER,
            _ if store == Place::RadiatorTop as usize => RADIATOR,
            _ => OUTLET,
        }
    }

    fn frame(&self, state: &State) -> Frame {
        let metal = 0.5 * (state[HEAD] + state[OUTLET]) - self.ambient;
        let wider = 1.0 + METAL_SHARE * 3.0 * METAL_LINEAR * metal;
        let mut node_growth = [1.0; 12];
        let mut cavity = 0.0;
        for node in JACKET..=TANK {
            node_growth[node] = relative_volume(&self.mix, state[node]);
            if node <= self.last_node() {
                cavity += self.volumes[node] * wider / node_growth[node];
            }
        }
        let spots = std::array::from_fn(|store| self.vapour.at(state[self.node_of(store)]));
        Frame { cavity, hoses: self.compliance / node_growth[RETURN], node_growth, spots, tank: self.vapour.at(state[TANK]) }
    }

    /// Volume of a store's gas at a gauge pressure, mL.
    fn gas_volume(&self, frame: &Frame, store: usize, gauge: f64) -> f64 {
        frame.spots[store].volume(self.gas[store], self.vapour.outside() + gauge)
    }

    fn growth_at(&self, frame: &Frame, store: usize) -> f64 {
        let node = self.node_of(store);
        // The wax is no lump of coolant; what surrounds it at the inlet is the return's.
        if node == WAX { frame.node_growth[RETURN + 1] } else { frame.node_growth[node] }
    }

    /// Coolant that the full circuit holds at a gauge pressure, mL at 20 °C.
    fn circuit_mass(&self, frame: &Frame, gauge: f64) -> f64 {
        let displaced: f64 = (0..STORES)
            .filter(|&store| self.gas[store] > 0.0)
            .map(|store| self.gas_volume(frame, store, gauge) / self.growth_at(frame, store))
            .sum();
        frame.cavity + frame.hoses * gauge - displaced
    }

    /// Volume that is left for gas in a pressurised tank, mL.
    fn tank_space(&self, frame: &Frame, gauge: f64) -> f64 {
        self.total - (self.liquid - self.circuit_mass(frame, gauge)) * frame.node_growth[TANK]
    }

    /// Lets `seconds` pass with the circuit in a state: leaks, then pressure and level.
    pub fn tick(&mut self, state: &State, seconds: f64) {
        let hot = super::arithmetic::share_between(state[OUTLET], 50.0, 80.0);
        let pressed = (self.pressure / 100.0).max(0.0);
        let lost = (self.leak_hot * hot * (0.2 + pressed) + self.leak_cold * (0.7 + pressed)) * seconds / 3600.0;
        if lost > 0.0 {
            let lost = lost.min(0.3 * self.liquid);
            self.liquid -= lost;
            self.ledger.leaked += lost;
        }
        self.settle(state);
    }

    /// Pressure and level in a state.
    pub fn settle(&mut self, state: &State) {
        let frame = self.frame(state);
        self.cap_lifted = false;
        match self.kind {
            ReservoirKind::ExpansionTank => self.settle_tank(&frame),
            ReservoirKind::OverflowBottle => self.settle_bottle(&frame),
        }
    }

    /// The gauge pressure between vacuum valve and cap at which `excess` falls through zero.
    fn halve(&self, excess: impl Fn(f64) -> f64) -> f64 {
        let (mut low, mut high) = (VACUUM, self.cap);
        for _ in 0..28 {
            let middle = 0.5 * (low + high);
            if excess(middle) > 0.0 { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }

    fn settle_tank(&mut self, frame: &Frame) {
        let outside = self.vapour.outside();
        let needed = |system: &Self, gauge: f64| frame.tank.amount(system.tank_space(frame, gauge).max(LEAST_SPACE), outside + gauge);
        self.pressure = self.halve(|gauge| self.tank_gas - needed(self, gauge));
        let (most, least) = (needed(self, self.cap), needed(self, VACUUM));
        if self.tank_gas > most {
            self.pressure = self.cap;
            self.ledger.vented += self.tank_gas - most;
            self.tank_gas = most;
            self.cap_lifted = true;
        } else if self.tank_gas < least {
            self.pressure = VACUUM;
            self.ledger.drawn += least - self.tank_gas;
            self.tank_gas = least;
        }
        let (space, lacking) = (self.tank_space(frame, self.pressure), self.circuit_mass(frame, self.pressure) - self.liquid);
        if space < LEAST_SPACE {
            let out = (LEAST_SPACE - space) / frame.node_growth[TANK];
            self.liquid -= out;
            self.ledger.spilled += out;
        } else if lacking > 0.0 {
            // The tank has run dry: its gas goes where coolant is lacking.
            let top = Place::RadiatorTop as usize;
            let gas = frame.spots[top].amount(lacking * frame.node_growth[RADIATOR], outside + self.pressure).min(self.tank_gas);
            self.tank_gas -= gas;
            self.gas[top] += gas;
        }
        self.level = (self.total - self.tank_space(frame, self.pressure)).max(0.0);
    }

    fn settle_bottle(&mut self, frame: &Frame) {
        self.pressure = self.halve(|gauge| self.liquid - self.circuit_mass(frame, gauge));
        let excess = self.liquid - self.circuit_mass(frame, self.cap);
        let lacking = self.circuit_mass(frame, VACUUM) - self.liquid;
        let (top, outside) = (Place::RadiatorTop as usize, self.vapour.outside());
        if excess > 0.0 {
            self.pressure = self.cap;
            self.cap_lifted = true;
            let mut gas_to_go = GAS_FIRST * excess * frame.node_growth[RADIATOR];
            let before = self.circuit_mass(frame, self.cap);
            for store in [top, FROTH] {
                let out = frame.spots[store].amount(gas_to_go, outside + self.cap).min(self.gas[store]);
                gas_to_go = (gas_to_go - frame.spots[store].volume(out, outside + self.cap)).max(0.0);
                self.gas[store] -= out;
                self.ledger.vented += out;
            }
            let out = excess - (self.circuit_mass(frame, self.cap) - before);
            self.liquid -= out;
            self.bottle += out;
        } else if lacking > 0.0 {
            self.pressure = VACUUM;
            let coolant = (lacking * self.draws_back).min(self.bottle);
            self.bottle -= coolant;
            self.liquid += coolant;
            let air = frame.spots[top].amount((lacking - coolant) * frame.node_growth[RADIATOR], outside + VACUUM);
            self.gas[top] += air;
            self.ledger.drawn += air;
        }
        let spilled = self.bottle - self.total / self.outside_growth();
        if spilled > 0.0 {
            self.bottle -= spilled;
            self.ledger.spilled += spilled;
        }
        self.level = self.bottle * self.outside_growth();
    }

    /// A gas amount leaves the circuit for the reservoir.
    pub fn release(&mut self, amount: f64) {
        match self.kind {
            ReservoirKind::ExpansionTank => self.tank_gas += amount,
            ReservoirKind::OverflowBottle => self.ledger.vented += amount,
        }
    }

    /// Coolant is poured in, mL at the air's temperature, with the engine cold. Opening a pressurised tank lets its gas come
    /// to air pressure; an overflow bottle is topped up with the cap closed.
    pub fn top_up(&mut self, state: &State, millilitres: f64) {
        let poured = millilitres / self.outside_growth();
        self.ledger.added += poured;
        if self.kind == ReservoirKind::OverflowBottle {
            self.bottle += poured;
        } else {
            self.liquid += poured;
            let frame = self.frame(state);
            let amount = frame.tank.amount(self.tank_space(&frame, 0.0).max(LEAST_SPACE), self.vapour.outside());
            let change = amount - self.tank_gas;
            if change > 0.0 {
                self.ledger.drawn += change
            } else {
                self.ledger.vented -= change
            }
            self.tank_gas = amount;
        }
        self.settle(state);
    }

    /// Volume by which cavity and contents disagree in a state at the present pressure, mL: gas above the coolant against the
    /// space for it, or coolant in a full circuit against its room. While a cap or valve is open both sides are set equal.
    pub fn mismatch(&self, state: &State) -> f64 {
        let frame = self.frame(state);
        if self.kind == ReservoirKind::ExpansionTank {
            self.tank_space(&frame, self.pressure) - frame.tank.volume(self.tank_gas, self.vapour.outside() + self.pressure)
        } else {
            self.circuit_mass(&frame, self.pressure) - self.liquid
        }
    }

    /// Coolant in circuit, tank and bottle, mL at 20 °C.
    pub fn coolant(&self) -> f64 {
        self.liquid + self.bottle
    }

    /// Gas trapped in the circuit, as an amount, mL.
    pub fn trapped(&self) -> f64 {
        self.gas.iter().sum()
    }

    /// Volume of a place's gas in a state at the present pressure, mL.
    pub fn pocket_volume(&self, state: &State, store: usize) -> f64 {
        self.vapour.at(state[self.node_of(store)]).volume(self.gas[store], self.vapour.outside() + self.pressure)
    }

    /// Whether coolant of this temperature boils at the present pressure.
    pub fn boils(&self, celsius: f64) -> bool {
        celsius > 60.0 && self.vapour.pressure(celsius) >= self.vapour.outside() + self.pressure
    }
}

/// Growth of all coolant at fixed mass between two states, mL.
pub fn coolant_growth(scenario: &Scenario, plant: &Plant, cold: &State, now: &State) -> f64 {
    let mix = scenario.mix();
    (JACKET..=TANK)
        .map(|node| {
            let litres = plant.volumes[node] / relative_volume(&mix, cold[node]);
            1000.0 * litres * (relative_volume(&mix, now[node]) - relative_volume(&mix, cold[node]))
        })
        .sum()
}
