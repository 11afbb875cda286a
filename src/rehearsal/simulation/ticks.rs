//! One control tick: what control unit, governor and fan decide, then a second of the circuit.

use super::Signal;
use crate::rehearsal::airflow::{FanState, air_pressure, relative_density};
use crate::rehearsal::arithmetic::share_between;
use crate::rehearsal::circuit::{BLOCK, HEAD, HEATER, INTAKE, Inputs, OIL, OUTLET, Plant, RADIATOR, RETURN, SENSOR, WAX};
use crate::rehearsal::combustion::{Burn, burn, fuel_facts};
use crate::rehearsal::drive::Second;
use crate::rehearsal::integrator::{State, runge_kutta_4};
use crate::rehearsal::scenario::{Fault, Scenario};
use crate::vehicle::Control;

/// Share of the fuel's heat that reaches the head by way of the hot exhaust manifold, and how far it lags, s (memory). After
/// key-off it goes on, and makes most of the hot soak.
const EXHAUST_SHARE: f64 = 0.03;
const EXHAUST_LAG: f64 = 240.0;

/// Everything that lives from one tick to the next.
pub(super) struct Loop<'a> {
    scenario: &'a Scenario,
    plant: &'a Plant,
    fan: FanState,
    pub(super) state: State,
    stem: f64,
    since_start: f64,
    exhaust: f64,
    offset: f64,
    pressure: f64,
    density: f64,
}

impl<'a> Loop<'a> {
    /// At the first tick.
    pub(super) fn new(scenario: &'a Scenario, plant: &'a Plant, state: State) -> Self {
        let fault: f64 = scenario.faults.iter().map(|fault| if let Fault::SensorOffset(by) = fault { *by } else { 0.0 }).sum();
        Self {
            scenario,
            plant,
            fan: FanState::of(scenario),
            state,
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
            heat: [burn.head + from_exhaust, burn.block, burn.oil, burn.direct[0], burn.direct[1]],
            air: self.plant.radiator.air(second.speed, fan, self.density),
            speed: second.speed,
            wax_heating: self.wax_heating(&burn, reading),
            stem: self.stem,
        };
        let lift = self.plant.lift(state, &inputs);
        let flows = self.plant.flows(share, lift, state[OUTLET] - state[RADIATOR + 1]);
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

    /// A heated valve is heated in proportion to load beyond half, and fully when the reading nears 108 °C.
    fn wax_heating(&self, burn: &Burn, reading: f64) -> f64 {
        if self.scenario.valve.control == Control::Wax || burn.speed <= 0.0 {
            return 0.0;
        }
        let wanted = share_between(burn.load, 45.0, 75.0).max(share_between(reading, 104.0, 110.0));
        self.scenario.valve.heating * wanted
    }
}
