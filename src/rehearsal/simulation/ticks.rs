//! One control tick: what control unit, governor and fan decide, then a second of the circuit.

use super::Signal;
use crate::rehearsal::airflow::{FanState, air_pressure, relative_density};
use crate::rehearsal::arithmetic::share_between;
use crate::rehearsal::circuit::{BLOCK, Flows, HEAD, HEATER, INTAKE, Inputs, JACKET, OIL, OUTLET, Plant, RADIATOR, RETURN, SENSOR, WAX};
use crate::rehearsal::combustion::{Burn, burn, fuel_facts};
use crate::rehearsal::drive::Second;
use crate::rehearsal::integrator::{State, runge_kutta_4};
use crate::rehearsal::pockets::{Hindrance, Pockets, View};
use crate::rehearsal::scenario::{Fault, Scenario};
use crate::rehearsal::system::System;
use crate::vehicle::Control;

/// Share of the fuel's heat that reaches the head by way of the hot exhaust manifold, and how far it lags, s (memory). After
/// key-off it goes on, and makes most of the hot soak.
const EXHAUST_SHARE: f64 = 0.03;
const EXHAUST_LAG: f64 = 240.0;

/// Seconds after which a parked, unrecorded system is looked at again.
const LOOK_AGAIN: f64 = 60.0;

/// Coolant and gas, which live on from one heat cycle to the next.
#[derive(Clone, Debug)]
pub struct Contents {
    /// Coolant, gas and pressure.
    pub system: System,
    /// The pockets.
    pub pockets: Pockets,
}

impl Contents {
    /// As filled cold.
    pub fn filled(scenario: &Scenario, plant: &Plant, cold: &State) -> Self {
        Self { system: System::filled(scenario, plant, cold), pockets: Pockets::of(scenario, plant) }
    }
}

/// Everything that lives from one tick to the next.
pub(super) struct Loop<'a> {
    scenario: &'a Scenario,
    plant: &'a Plant,
    fan: FanState,
    pub(super) state: State,
    pub(super) contents: Contents,
    flows: Flows,
    moment: u64,
    begins: f64,
    unsettled: f64,
    stem: f64,
    since_start: f64,
    exhaust: f64,
    offset: f64,
    pressure: f64,
    density: f64,
}

impl<'a> Loop<'a> {
    /// At the first tick of a heat cycle.
    pub(super) fn new(scenario: &'a Scenario, plant: &'a Plant, state: State, contents: Contents, cycle: usize) -> Self {
        let fault: f64 = scenario.faults.iter().map(|fault| if let Fault::SensorOffset(by) = fault { *by } else { 0.0 }).sum();
        Self {
            scenario,
            plant,
            fan: FanState::of(scenario),
            state,
            contents,
            flows: Flows::default(),
            moment: (cycle as u64) << 32,
            begins: scenario.drive.log_begins.clamp(0.0, 1e6).round(),
            unsettled: 0.0,
            stem: state[WAX],
            since_start: 0.0,
            exhaust: 0.0,
            offset: scenario.sensor.offset + fault,
            pressure: air_pressure(scenario.weather.altitude),
            density: relative_density(&scenario.weather),
        }
    }

    /// Signals at the beginning of the tick; then the tick passes: one second, or a few of a parked vehicle.
    pub(super) fn tick(&mut self, second: &Second, length: usize, substeps: usize) -> Signal {
        let engine = &self.scenario.engine;
        let state = &self.state;
        let reading = state[SENSOR] + self.offset;
        let burn = burn(engine, &second.demand, state[OIL], reading, self.since_start, self.pressure, state[INTAKE]);
        self.since_start = if second.demand.running { self.since_start + 1.0 } else { 0.0 };
        let from_exhaust = self.exhaust / EXHAUST_LAG;
        self.exhaust += EXHAUST_SHARE * burn.fuel * fuel_facts(engine.fuel).0 - from_exhaust;
        let share = burn.speed / engine.rated_speed;
        let fan = self.fan.tick(reading, state[RADIATOR + 1], share, second.key_on);
        let mut inputs = Inputs {
            engine: share,
            hindrance: Hindrance::default(),
            heat: [burn.head + from_exhaust, burn.block, burn.oil, burn.direct[0], burn.direct[1]],
            air: self.plant.radiator.air(second.speed, fan, self.density),
            speed: second.speed,
            wax_heating: self.wax_heating(&burn, reading),
            stem: self.stem,
        };
        let lift = self.plant.lift(state, &inputs);
        inputs.hindrance = self.gas(lift, share, burn.load, length, second.demand.running);
        let state = &self.state;
        let flows = self.plant.flows(share, lift, state[OUTLET] - state[RADIATOR + 1], &inputs.hindrance);
        self.flows = flows;
        let signal = Signal {
            key_on: second.key_on,
            running: second.demand.running,
            speed: second.speed,
            burn,
            fuel_rate: burn.fuel * 3.6 / fuel_facts(engine.fuel).2,
            coolant: state[OUTLET],
            reading,
            wax: state[WAX],
            lift,
            oil: state[OIL],
            head: state[HEAD],
            block: state[BLOCK],
            radiator_outlet: state[RETURN - 1],
            heater_outlet: state[HEATER],
            intake: state[INTAKE],
            radiator_flow: flows.radiator,
            heater_flow: flows.heater,
            jacket: state[JACKET],
            level: self.contents.system.level,
            pressure: self.contents.system.pressure,
            trapped: self.contents.system.trapped(),
            boiling: self.contents.system.boils(state[OUTLET]),
            cap_lifted: self.contents.system.cap_lifted,
            fan: self.fan.switched_on(),
        };
        let needed = (1.0 / self.plant.longest_step(share)).ceil().clamp(1.0, 64.0) as usize;
        let steps = if second.demand.running { needed.max(substeps) } else { needed.max(substeps / 4).max(1) };
        let step = length as f64 / steps as f64;
        for _ in 0..steps {
            self.state = runge_kutta_4(&self.state, step, |state| self.plant.slope(state, &inputs));
            self.stem = self.plant.valve.stem(self.state[WAX], self.stem);
            inputs.stem = self.stem;
        }
        signal
    }

    /// Brings pressure and level up to the present state.
    pub(super) fn look(&mut self) {
        self.contents.system.tick(&self.state, self.unsettled);
        self.unsettled = 0.0;
    }

    /// Pressure, level and pockets move on to the tick's beginning; what the gas does until the next, and the heater's valve.
    fn gas(&mut self, lift: f64, engine: f64, load: f64, length: usize, running: bool) -> Hindrance {
        self.unsettled += length as f64;
        if running || length == 1 || self.unsettled >= LOOK_AGAIN {
            self.contents.system.tick(&self.state, self.unsettled);
            self.unsettled = 0.0;
        }
        let time_s = (self.moment & 0xFFFF_FFFF) as f64 - self.begins;
        let view = View { state: &self.state, flows: self.flows, engine, lift, load, time_s, moment: self.moment };
        let mut hindrance = self.contents.pockets.tick(&mut self.contents.system, &view);
        let period = self.scenario.cabin.valve_period;
        if period > 1.0 && (self.moment & 0xFFFF_FFFF) as f64 % period > 0.5 * period {
            hindrance.heater = 0.0;
        }
        self.moment += length as u64;
        hindrance
    }

    /// A heated valve is heated in proportion to load beyond half, and fully when the reading nears 108 °C.
    fn wax_heating(&self, burn: &Burn, reading: f64) -> f64 {
        if self.scenario.valve.control == Control::Wax || burn.speed <= 0.0 {
            return 0.0;
        }
        let wanted = share_between(burn.load, 45.0, 75.0).max(share_between(reading, 104.0, 110.0));
        self.scenario.valve.heating * wanted
    }
}
