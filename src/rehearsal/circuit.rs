//! The engine and its coolant circuit as lumps: heat capacities, flows, and how fast each temperature changes.
//!
//! ```text
//!           ┌── bypass ──────────────────────────────┐
//! pump ─▶ block jacket ─▶ head jacket ─┬─▶ radiator (3 cells) ─▶ return (2 cells) ─┬─▶ pump
//!            ▲ metal        ▲ metal    ├─▶ heater ──────────────────────────────────┤
//!            oil                       └─▶ expansion tank ──────────────────────────┘
//! ```
//!
//! The sensor sits in the head jacket, before everything that branches off. An outlet-side valve stands there too, its wax in
//! that coolant; an inlet-side valve stands before the pump, its wax in the mixture of all returns, so the sensor reads higher
//! than the wax by the rise through the engine. The pump's flow is proportional to its speed and falls as branches close
//! (`Δp = a·n² − b·Q²` against branches in parallel, each `Δp = (Q/G)²`). Stopped, a little coolant circulates by buoyancy.
//!
//! One heat capacity per litre serves all coolant, so flows carry heat without making any: the balance closes exactly.
//! Gas takes flow from pump and branches and changes what sensor and wax feel (see `pockets`).
//!
//! Limits: boiling takes up no heat; conduction along hoses left out; a mixture's heat capacity does not follow its share.

use super::airflow::{Radiator, heater_conductance};
use super::arithmetic::three_quarters;
use super::integrator::State;
use super::pockets::Hindrance;
use super::scenario::{Fault, Scenario};
use super::valve::Thermostat;
use crate::vehicle::Side;

/// Heat capacity of a litre of coolant, kJ/(L K): 50 % glycol by volume from 20 to 90 °C has 3.55 to 3.7 (Melinder 2010).
pub const HEAT_PER_LITRE: f64 = 3.6;

/// Head metal.
pub const HEAD: usize = 0;
/// Block metal.
pub const BLOCK: usize = 1;
/// Oil.
pub const OIL: usize = 2;
/// Coolant in the block's jacket.
pub const JACKET: usize = 3;
/// Coolant in the head's jacket, at the sensor.
pub const OUTLET: usize = 4;
/// Coolant in the radiator, with the core's metal, first cell.
pub const RADIATOR: usize = 5;
/// Number of radiator cells.
pub const RADIATOR_CELLS: usize = 3;
/// Coolant in the line from radiator to pump, first of two cells.
pub const RETURN: usize = 8;
/// Coolant in the heater and its hoses.
pub const HEATER: usize = 10;
/// Coolant in the expansion tank.
pub const TANK: usize = 11;
/// The wax (holds no heat in the balance: a few grams).
pub const WAX: usize = 12;
/// The sensor (likewise).
pub const SENSOR: usize = 13;
/// Heat given in so far, kJ.
pub const HEAT_IN: usize = 14;
/// Heat given off so far, kJ.
pub const HEAT_OUT: usize = 15;
/// Air in the intake, °C; moves slowly with the engine bay.
pub const INTAKE: usize = 16;

/// What stays constant between two control ticks.
#[derive(Clone, Copy, Debug, Default)]
pub struct Inputs {
    /// Engine speed as a share of rated.
    pub engine: f64,
    /// Heat to head metal, block metal, oil, head jacket, block jacket, kW.
    pub heat: [f64; 5],
    /// Air heat capacity rate through the radiator, kW/K.
    pub air: f64,
    /// Road speed, km/h.
    pub speed: f64,
    /// Kelvin by which a heated valve's heater would shift the wax in the end.
    pub wax_heating: f64,
    /// The stem's place in the valve's play at the tick.
    pub stem: f64,
    /// What gas does to flows, sensor and wax.
    pub hindrance: Hindrance,
}

/// Coolant flows, L/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flows {
    /// Through the radiator.
    pub radiator: f64,
    /// Through the bypass.
    pub bypass: f64,
    /// Through the heater.
    pub heater: f64,
    /// Through the vent line and the expansion tank.
    pub vent: f64,
}

impl Flows {
    /// Through the engine.
    pub fn engine(&self) -> f64 {
        self.radiator + self.bypass + self.heater + self.vent
    }
}

/// The circuit of one run.
#[derive(Clone, Debug)]
pub struct Plant {
    /// Heat capacity of each node that holds heat, kJ/K, in the order of the state.
    pub capacities: [f64; 12],
    /// Coolant volume of each of those nodes at fill, L.
    pub volumes: [f64; 12],
    /// The thermostat.
    pub valve: Thermostat,
    /// The radiator.
    pub radiator: Radiator,
    /// Air temperature outside, °C.
    pub ambient: f64,
    side: Side,
    wax_lag: f64,
    sensor_lag: f64,
    /// Share of its flow that the pump still moves.
    pub pump_health: f64,
    pump_flow: f64,
    bypass: f64,
    bypass_closing: f64,
    heater: f64,
    vent: f64,
    radiator_share: f64,
    bleed: f64,
    valve_freedom: f64,
    valve_lip: f64,
    head_conductance: f64,
    block_conductance: f64,
    oil_conductance: f64,
    loss: f64,
    heater_core: f64,
    standing_losses: [f64; 4],
}

/// Conductance of the radiator's branch at a lift, as a share of that at full lift: the valve in series with radiator and
/// hoses, `freedom` times as free as they are when fully open, so the first half of the lift does most of the work. The disc's
/// rubber lip keeps sealing for the first `lip` of the lift.
fn throttle(lift: f64, freedom: f64, lip: f64) -> f64 {
    let valve = freedom * ((lift - lip) / (1.0 - lip)).max(0.0);
    valve / (1.0 + valve * valve).sqrt() * (1.0 + 1.0 / (freedom * freedom)).sqrt()
}

/// β of the pump: how far its flow falls as branches close (0: constant pressure … large: constant flow).
const PUMP_STIFFNESS: f64 = 0.5;

impl Plant {
    /// The circuit that a scenario describes.
    pub fn of(scenario: &Scenario) -> Self {
        let (engine, circuit) = (&scenario.engine, &scenario.circuit);
        let litres = circuit.capacity;
        let tank = if circuit.vent_share > 0.0 { 0.1 } else { 0.01 };
        let named = circuit.head_volume_share + circuit.radiator_volume_share + circuit.return_volume_share + circuit.heater_volume_share;
        let mut volumes = [0.0; 12];
        volumes[JACKET] = litres * (1.0 - named - tank).max(0.1);
        volumes[OUTLET] = litres * circuit.head_volume_share;
        volumes[RADIATOR..RADIATOR + RADIATOR_CELLS].fill(litres * circuit.radiator_volume_share / RADIATOR_CELLS as f64);
        volumes[RETURN..RETURN + 2].fill(litres * circuit.return_volume_share / 2.0);
        volumes[HEATER] = litres * circuit.heater_volume_share;
        volumes[TANK] = litres * tank;
        let mut capacities = volumes.map(|volume| volume * HEAT_PER_LITRE);
        capacities[HEAD] = engine.head_capacity;
        capacities[BLOCK] = engine.block_capacity;
        capacities[OIL] = engine.oil_capacity;
        // The core's metal adds a third to the coolant in it (memory).
        for capacity in &mut capacities[RADIATOR..RADIATOR + RADIATOR_CELLS] {
            *capacity *= 1.33;
        }
        let pump_health = scenario.faults.iter().fold(1.0, |health, fault| match fault {
            Fault::WeakPump(share) => health * share.clamp(0.02, 1.0),
            _ => health,
        });
        let through_heater = scenario.faults.iter().fold(1.0, |share, fault| match fault {
            Fault::BlockedHeater(left) => share * left.clamp(0.0, 1.0),
            _ => share,
        });
        let clear = scenario.faults.iter().fold(1.0, |clear, fault| match fault {
            Fault::BlockedRadiator(share) => clear * share.clamp(0.02, 1.0),
            _ => clear,
        });
        Self {
            capacities,
            volumes,
            valve: Thermostat::of(scenario),
            radiator: Radiator::of(scenario),
            ambient: scenario.weather.ambient,
            side: scenario.valve.side,
            wax_lag: scenario.valve.wax_lag,
            sensor_lag: scenario.sensor.lag,
            pump_health,
            pump_flow: circuit.pump_flow * pump_health,
            bypass: circuit.bypass_share,
            bypass_closing: scenario.valve.bypass_closing,
            heater: through_heater * circuit.heater_share * scenario.cabin.heater_valve.clamp(0.0, 1.0),
            vent: circuit.vent_share,
            radiator_share: 1.0 * clear.sqrt(),
            bleed: scenario.valve.bleed,
            valve_freedom: scenario.valve.freedom.max(0.1),
            valve_lip: scenario.valve.lip.clamp(0.0, 0.5),
            head_conductance: engine.head_conductance,
            block_conductance: engine.block_conductance,
            oil_conductance: engine.oil_conductance,
            loss: engine.loss_conductance,
            heater_core: heater_conductance(circuit.heater_conductance, scenario.cabin.blower),
            // Radiator hoses and return line, heater hoses, tank, sump: shares of the engine's own loss (memory).
            standing_losses: [0.05, 0.05, 0.04, 0.35].map(|share| share * engine.loss_conductance),
        }
    }

    /// Coolant flows at an engine speed (share of rated), a lift, and with the engine's coolant so much hotter than the
    /// radiator's (K), which drives a little buoyant flow: 0.4 % of rated at 40 K (memory).
    pub fn flows(&self, engine: f64, lift: f64, hotter: f64, gas: &Hindrance) -> Flows {
        let heater = self.heater * gas.heater;
        let radiator =
            gas.radiator * self.radiator_share * (self.bleed + (1.0 - self.bleed) * throttle(lift, self.valve_freedom, self.valve_lip));
        let bypass = self.bypass * (1.0 - self.bypass_closing * lift);
        let total = radiator + bypass + heater + self.vent;
        let buoyant = 0.004 * gas.radiator * self.pump_flow * (hotter / 40.0).clamp(0.0, 1.5) * lift;
        let flow = gas.pump * self.pump_flow * engine * (1.0f64 + PUMP_STIFFNESS).sqrt() / (total * total + PUMP_STIFFNESS).sqrt();
        Flows { radiator: flow * radiator + buoyant, bypass: flow * bypass, heater: flow * heater, vent: flow * self.vent }
    }

    /// The coolant that enters the engine: flow and temperature.
    fn mixed(&self, state: &State, flows: &Flows) -> (f64, f64) {
        let flow = flows.engine();
        if flow <= 0.0 {
            return (0.0, state[JACKET]);
        }
        let heat =
            flows.radiator * state[RETURN + 1] + flows.bypass * state[OUTLET] + flows.heater * state[HEATER] + flows.vent * state[TANK];
        (flow, heat / flow)
    }

    /// Lift of the valve in this state.
    pub fn lift(&self, state: &State, inputs: &Inputs) -> f64 {
        self.valve.lift(self.valve.stem(state[WAX], inputs.stem))
    }

    /// How fast each number of the state changes, per second.
    pub fn slope(&self, state: &State, inputs: &Inputs) -> State {
        let mut heat = [0.0; 12];
        let mut lost = 0.0;
        let flows = self.flows(inputs.engine, self.lift(state, inputs), state[OUTLET] - state[RADIATOR + 1], &inputs.hindrance);
        let (flow, inlet) = self.mixed(state, &flows);
        let carried = |litres_per_second: f64, from: f64, to: f64| litres_per_second * HEAT_PER_LITRE * (from - to);
        // Coolant around the circuit.
        heat[JACKET] += carried(flow, inlet, state[JACKET]);
        heat[OUTLET] += carried(flow, state[JACKET], state[OUTLET]);
        let mut upstream = state[OUTLET];
        for cell in RADIATOR..RADIATOR + RADIATOR_CELLS + 2 {
            heat[cell] += carried(flows.radiator, upstream, state[cell]);
            upstream = state[cell];
        }
        heat[HEATER] += carried(flows.heater, state[OUTLET], state[HEATER]);
        heat[TANK] += carried(flows.vent, state[OUTLET], state[TANK]);
        // Between the lumps. At the head's hot walls slow coolant still boils off and rises (a third of rated flow's
        // conductance is left); along the block's outer parts it hardly does.
        let turbulent = three_quarters(flow / self.pump_flow);
        let mut exchange = |from: usize, to: usize, conductance: f64| {
            let through = conductance * (state[from] - state[to]);
            heat[from] -= through;
            heat[to] += through;
        };
        exchange(HEAD, OUTLET, self.head_conductance * (0.33 + 0.67 * turbulent));
        exchange(BLOCK, JACKET, self.block_conductance * (0.06 + 0.94 * turbulent));
        exchange(HEAD, BLOCK, 0.07 * self.block_conductance);
        exchange(OIL, BLOCK, self.oil_conductance * (0.3 + 0.7 * inputs.engine.sqrt()));
        exchange(JACKET, OUTLET, 0.04 * self.block_conductance);
        // To the air.
        let wind = 1.0 + inputs.speed / 60.0;
        let mut lose = |node: usize, conductance: f64| {
            let away = conductance * (state[node] - self.ambient);
            heat[node] -= away;
            lost += away;
        };
        lose(HEAD, 0.3 * self.loss * wind);
        lose(BLOCK, 0.35 * self.loss * wind);
        lose(OIL, self.standing_losses[3] * wind);
        lose(RETURN, self.standing_losses[0] * wind);
        lose(RETURN + 1, self.standing_losses[0] * wind);
        lose(HEATER, self.standing_losses[1] + if flows.heater > 0.0 { self.heater_core } else { 0.002 });
        lose(TANK, self.standing_losses[2]);
        let cell = inputs.hindrance.core * self.radiator.cell_conductance(inputs.air, flows.radiator, RADIATOR_CELLS as f64);
        for node in RADIATOR..RADIATOR + RADIATOR_CELLS {
            lose(node, cell);
        }
        // From the fire.
        for (node, given) in [HEAD, BLOCK, OIL, OUTLET, JACKET].into_iter().zip(inputs.heat) {
            heat[node] += given;
        }
        let mut slope = [0.0; super::integrator::SIZE];
        for (node, rate) in heat.iter().enumerate() {
            slope[node] = rate / self.capacities[node];
        }
        // The wax feels the head's coolant, or the mixture before the pump; in still coolant the metal around it evens both out.
        let still = 0.003 * self.pump_flow;
        let chamber = match self.side {
            Side::Inlet => (flow * inlet + still * state[JACKET]) / (flow + still),
            _ => state[OUTLET],
        };
        let (wax, sensor) = (inputs.hindrance.wax, inputs.hindrance.sensor);
        slope[WAX] = (chamber + wax.warmer + inputs.wax_heating - state[WAX]) / (self.wax_lag * wax.lag);
        slope[SENSOR] = (state[OUTLET] + sensor.warmer - state[SENSOR]) / (self.sensor_lag * sensor.lag);
        slope[HEAT_IN] = inputs.heat.iter().sum();
        slope[HEAT_OUT] = lost;
        // Intake air: the bay warms it by a third of the engine's excess at standstill, less on the road; two minutes behind.
        let bay = self.ambient + (state[BLOCK] - self.ambient) * 0.33 / (1.0 + inputs.speed / 15.0);
        slope[INTAKE] = (bay - state[INTAKE]) / 120.0;
        slope
    }

    /// Heat in all stores against a starting state, kJ.
    pub fn stored(&self, state: &State, start: &State) -> f64 {
        self.capacities.iter().enumerate().map(|(node, capacity)| capacity * (state[node] - start[node])).sum()
    }

    /// Longest step, s, that stays well inside the method's stability (2.78 of the shortest time constant) at full flow.
    pub fn longest_step(&self, engine: f64) -> f64 {
        let flow = self.pump_flow * engine.max(0.02) * 1.2;
        let shortest = (JACKET..=TANK)
            .map(|node| {
                let through = match node {
                    JACKET | OUTLET => flow,
                    HEATER => flow * self.heater * 1.2,
                    TANK => flow * self.vent * 1.5,
                    _ => flow,
                };
                self.volumes[node].max(1e-3) / through.max(1e-9)
            })
            .fold(f64::INFINITY, f64::min);
        // One time constant a step at most: then the fourth-order error of the fastest mode is under 1 %, and it is damped.
        shortest.min(1.0)
    }
}
