//! Open throughout: was the radiator in the circuit from the start, as with a valve that is stuck open or missing?

use super::departure::PULL_SCALE;
use super::valve::{WAX_SECONDS, followed, pull};
use crate::analysis::heat_input::HeatInput;
use crate::analysis::phases::Phases;
use crate::analysis::warm_up_model::{Grid, Radiator, WarmUpModel};
use crate::channel::Channel;
use crate::numeric::robust;
use crate::run::{Run, Trace};
use crate::vehicle::Control;

/// A drive that spends nine tenths of its time below this may have its radiator in the circuit throughout, °C; with a stated
/// wax rating it is the rating less 4 K. The lowest rating in common use is 76 °C (memory).
const COOL_DRIVE_C: f64 = 76.0;

/// How far above that a cool drive may go for a moment, in kelvin: a climb.
const FLEETING_K: f64 = 8.0;

/// Least time on the road, in seconds, and the speed from which it counts, in km/h: what tells a radiator in the circuit is that the
/// reading sinks in the road's air. At a stand a cold day looks the same.
const LEAST_ROAD_S: f64 = 240.0;
const ROAD_KM_H: f64 = 30.0;

/// Log odds from which a radiator in the circuit throughout is believed: it is a fault, and rare.
const CIRCUIT_BELIEVED: f64 = 8.0;

/// Whether the whole drive is better explained by a radiator that was in the circuit from the start than by a valve that
/// opens at `opening`, or never. Only a drive that stays cool is asked: at the readings at which valves regulate, a loss that
/// grows with road speed is the valve's own work.
pub(super) fn is_better(run: &Run, phases: &Phases, heat: &HeatInput, ambient: f64, opening: Option<f64>, drive: &Trace) -> bool {
    let end = phases.drive_end(run);
    let thermostat = &run.vehicle.thermostat;
    let wax = thermostat.rating.filter(|_| thermostat.control == Control::Wax);
    let cool_below = wax.map_or(COOL_DRIVE_C, |rating| rating.celsius() - 4.0);
    let warm = robust::quantile(&drive.value, 0.9).zip(robust::quantile(&drive.value, 1.0));
    let stays_cool = warm.is_some_and(|(mostly, highest)| mostly <= cool_below && highest <= cool_below + FLEETING_K);
    if !stays_cool || seconds_on_the_road(run, phases.fired_s, end) < LEAST_ROAD_S {
        return false;
    }
    let step = ((end - phases.fired_s) / 300.0).clamp(4.0, 30.0);
    let Some(grid) = Grid::of(run, phases, heat, ambient, phases.fired_s, end, step) else { return false };
    let start = (12.0 / grid.step).ceil() as usize;
    let shut = WarmUpModel::new(&grid, start, Radiator::ShutOff);
    let Some(in_circuit) = WarmUpModel::new(&grid, start, Radiator::InCircuit).fit(grid.len(), &[]) else { return false };
    let valve = opening.into_iter().flat_map(|reading| {
        WAX_SECONDS.map(|seconds| shut.fit(grid.len(), &[(&pull(&grid, &followed(&grid, seconds), reading), PULL_SCALE)]))
    });
    let valve: Vec<_> = valve.flatten().collect();
    let shut = shut.fit(grid.len(), &[]);
    let best = valve.into_iter().chain(shut).map(|fit| fit.log_likelihood).fold(f64::NEG_INFINITY, f64::max);
    let per_hour_at_speed = in_circuit.coefficients[2] + 0.8 * in_circuit.coefficients[3];
    in_circuit.log_likelihood - best > CIRCUIT_BELIEVED && per_hour_at_speed > 12.0
}

/// Seconds driven at road speed.
fn seconds_on_the_road(run: &Run, from: f64, to: f64) -> f64 {
    let Some(speed) = run.trace(Channel::VehicleSpeed).map(|speed| speed.between(from, to)) else { return 0.0 };
    let held = robust::holding_times(&speed.time, 20.0);
    speed.value.iter().zip(held).filter(|(value, _)| **value >= ROAD_KM_H).map(|(_, seconds)| seconds).sum()
}
