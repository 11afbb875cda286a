//! From scenario to dense signals: the loop over control ticks.
//!
//! Once a second the control unit looks at the sensor, the governor at the oil, the fan at its thresholds; between two looks
//! the circuit is integrated with constant inputs (see `integrator`). Signals are kept once a second while the log runs; after
//! that only what levels and cooling down need. Coolant and gas live on from one heat cycle to the next (see `cycles`).

mod cycles;
mod ticks;

pub use cycles::CycleLevels;
pub use ticks::Contents;

use super::circuit::{HEAD, HEAT_IN, HEAT_OUT, HEATER, INTAKE, OUTLET, Plant, RADIATOR, RETURN, SENSOR, TANK, WAX};
use super::combustion::{Burn, Demand};
use super::drive::{Second, plan};
use super::integrator::{SIZE, State};
use super::scenario::{Fault, Scenario, Start};
use ticks::Loop;

/// One second of a made run; temperatures in °C.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Signal {
    /// Whether the ignition is on.
    pub key_on: bool,
    /// Whether the engine runs.
    pub running: bool,
    /// Road speed, km/h.
    pub speed: f64,
    /// What the engine does.
    pub burn: Burn,
    /// Fuel rate, L/h.
    pub fuel_rate: f64,
    /// Coolant at the sensor.
    pub coolant: f64,
    /// The reading: after the sensor's lag and offset, before noise and rounding.
    pub reading: f64,
    /// The wax.
    pub wax: f64,
    /// Lift as a share of full.
    pub lift: f64,
    /// Oil.
    pub oil: f64,
    /// Head metal.
    pub head: f64,
    /// Block metal.
    pub block: f64,
    /// Coolant leaving the radiator.
    pub radiator_outlet: f64,
    /// Coolant leaving the heater.
    pub heater_outlet: f64,
    /// Intake air.
    pub intake: f64,
    /// Coolant through the radiator, L/s.
    pub radiator_flow: f64,
    /// Coolant through the heater, L/s.
    pub heater_flow: f64,
    /// Coolant in the block's jacket.
    pub jacket: f64,
    /// Level of the reservoir, mL.
    pub level: f64,
    /// Pressure in the system, kPa gauge.
    pub pressure: f64,
    /// Gas in the circuit, mL at local air pressure and 20 °C.
    pub trapped: f64,
    /// Whether the coolant at the sensor boils.
    pub boiling: bool,
    /// Whether the cap lets something out.
    pub cap_lifted: bool,
    /// Whether an electric fan is on.
    pub fan: bool,
}

/// A run as simulated.
#[derive(Clone, Debug)]
pub struct Simulated {
    /// One entry a second, from ignition on to the end of the log.
    pub signals: Vec<Signal>,
    /// Reading a second from key-off on, as far as it was followed.
    pub cooling: Vec<f64>,
    /// Hottest store a second from key-off on.
    pub hottest: Vec<f64>,
    /// Second of key-off, counted from ignition on.
    pub key_off: usize,
    /// State cold before the drive, at the hot level reading, at the second cold one.
    pub at_levels: [State; 3],
    /// Levels of every heat cycle that was noted.
    pub cycles: Vec<CycleLevels>,
    /// Which of them was logged, from 1.
    pub logged_cycle: usize,
    /// Coolant and gas before the logged cycle, at its key-off and after the last cycle.
    pub contents: [Contents; 3],
    /// Heat given in, heat stored and heat given off by the end, kJ.
    pub balance: [f64; 3],
}

impl Simulated {
    /// Levels of the logged heat cycle.
    pub fn logged(&self) -> Option<&CycleLevels> {
        self.cycles.get(self.logged_cycle.checked_sub(1)?)
    }
}

/// A time as a count of ticks; two days at most.
fn whole_seconds(seconds: f64) -> usize {
    seconds.clamp(0.0, 172_800.0).round() as usize
}

/// Everything at ambient.
fn cold_state(scenario: &Scenario) -> State {
    let mut state = [scenario.weather.ambient; SIZE];
    (state[HEAT_IN], state[HEAT_OUT]) = (0.0, 0.0);
    state
}

fn starting_state(scenario: &Scenario) -> State {
    let ambient = scenario.weather.ambient;
    let mut state = cold_state(scenario);
    if let Start::Warm(warm) = scenario.drive.start {
        state[HEAD..=OUTLET].fill(warm);
        state[HEATER] = warm - 0.25 * (warm - ambient);
        state[TANK] = warm - 0.25 * (warm - ambient);
        state[RADIATOR..RETURN + 2].fill(0.5 * (warm + ambient));
        (state[WAX], state[SENSOR]) = (warm, warm);
        state[INTAKE] = ambient + 0.3 * (warm - ambient);
    }
    state
}

/// Seconds a tick while a parked vehicle cools unrecorded, its fan long at rest: the quickest parts that still matter then,
/// sensor and head, take three seconds and more.
const STRIDE: usize = 3;

/// Reading at which the warning lamp comes on, °C (common practice, no source; some come on from 110, others at 125).
const LAMP: f64 = 118.0;

/// A second of a driver who pulls up: 5 km/h slower each second, then a few seconds at idle.
fn pull_up(planned: &Second, speed: f64) -> Second {
    let demand = Demand { speed: 0.0, power: 0.5, fuel_cut: false, ..planned.demand };
    Second { speed: speed.max(0.0), demand, ..*planned }
}

/// With the ignition on: as planned, unless the warning lamp comes on and the driver pulls up.
fn drive_on(loop_state: &mut Loop, seconds: &[Second], substeps: usize) -> Vec<Signal> {
    let mut signals = Vec::with_capacity(seconds.len());
    let mut pulling_up: Option<f64> = None;
    for planned in seconds {
        let second = pulling_up.map_or(*planned, |speed| pull_up(planned, speed));
        let signal = loop_state.tick(&second, 1, substeps);
        signals.push(signal);
        if pulling_up.is_none() && signal.reading >= LAMP {
            pulling_up = Some(signal.speed);
        }
        if let Some(speed) = &mut pulling_up {
            *speed -= 5.0;
            if *speed <= -25.0 {
                break;
            }
        }
    }
    signals
}

/// The first `seconds` of the same run with a valve that stays shut: what the reading would have done without the opening.
/// `contents` as they were before the drive.
pub fn twin_that_stays_shut(scenario: &Scenario, contents: &Contents, seconds: usize, substeps: usize) -> Vec<Signal> {
    let mut twin = scenario.clone();
    twin.faults.push(Fault::StuckShut);
    let plant = Plant::of(&twin);
    let planned = plan(&twin);
    let planned = planned.get(..seconds).unwrap_or(&planned);
    let mut loop_state = Loop::new(&twin, &plant, starting_state(&twin), contents.clone(), logged_cycle(scenario));
    drive_on(&mut loop_state, planned, substeps)
}

/// The heat cycle to which the log belongs, from 1.
fn logged_cycle(scenario: &Scenario) -> usize {
    scenario.notes.logged_cycle.clamp(1, scenario.notes.cycles.max(1))
}

/// The run that a scenario describes. `substeps` is the least number of integration steps a second with the engine running.
pub fn simulate(scenario: &Scenario, substeps: usize) -> Simulated {
    let plant = Plant::of(scenario);
    let mut contents = Contents::filled(scenario, &plant, &cold_state(scenario));
    let logged = logged_cycle(scenario);
    let mut cycles: Vec<CycleLevels> = Vec::new();
    for cycle in 1..logged {
        cycles.push(cycles::unlogged(scenario, &plant, &mut contents, cycle, substeps));
    }
    let mut run = logged_run(scenario, &plant, contents, substeps);
    let [_, _, contents] = &mut run.contents;
    cycles::top_up(scenario, contents, &mut run.cycles, logged);
    cycles.append(&mut run.cycles);
    for cycle in logged + 1..=scenario.notes.cycles {
        cycles.push(cycles::unlogged(scenario, &plant, contents, cycle, substeps));
    }
    run.cycles = cycles;
    run
}

/// The heat cycle to which the log belongs.
fn logged_run(scenario: &Scenario, plant: &Plant, mut contents: Contents, substeps: usize) -> Simulated {
    let seconds = plan(scenario);
    let (cold_start, start) = (cold_state(scenario), starting_state(scenario));
    contents.system.settle(&cold_start);
    let before = contents.clone();
    let mut levels = CycleLevels::before(&contents);
    let mut loop_state = Loop::new(scenario, plant, start, contents, logged_cycle(scenario));
    let signals = drive_on(&mut loop_state, &seconds, substeps);
    loop_state.look();
    levels.at_key_off(&loop_state.contents);
    let mut run = Simulated {
        key_off: signals.len(),
        signals,
        cooling: Vec::new(),
        hottest: Vec::new(),
        at_levels: [cold_start, start, start],
        cycles: Vec::new(),
        logged_cycle: logged_cycle(scenario),
        contents: [before, loop_state.contents.clone(), loop_state.contents.clone()],
        balance: [0.0; 3],
    };
    // With the ignition off: while the log runs, then until the last level reading, and eight hours at least, which hold three time
    // constants of nearly every vehicle.
    let logged = scenario.drive.log_after_key_off;
    let (hot, cold) = (whole_seconds(scenario.notes.hot_after), whole_seconds(scenario.notes.cold_after));
    let end = whole_seconds(logged).max(cold).max(28_800);
    let mut after = 0;
    let mut read = [false; 2];
    while after < end {
        let stride = if after as f64 > logged && after > 900 { STRIDE } else { 1 };
        let signal = loop_state.tick(&Second::default(), stride, substeps);
        if after as f64 <= logged {
            run.signals.push(signal);
        }
        let hottest = signal.head.max(signal.block).max(signal.oil).max(signal.coolant);
        for _ in 0..stride {
            run.cooling.push(signal.reading);
            run.hottest.push(hottest);
        }
        after += stride;
        if after >= hot && !read[0] {
            read[0] = true;
            loop_state.look();
            run.at_levels[1] = loop_state.state;
            levels.hot(&loop_state.contents);
        }
        if after >= cold && !read[1] {
            read[1] = true;
            loop_state.look();
            run.at_levels[2] = loop_state.state;
            levels.cold_after(&loop_state.contents);
            run.contents[2] = loop_state.contents.clone();
        }
    }
    run.cycles.push(levels);
    if logged < 0.0 {
        // A drive that the warning lamp cut short still leaves half of itself in the log.
        let cut = whole_seconds(-logged).min(run.signals.len() / 2);
        run.signals.truncate(run.signals.len() - cut);
    }
    let state = loop_state.state;
    run.balance = [state[HEAT_IN], plant.stored(&state, &start), state[HEAT_OUT]];
    run
}
