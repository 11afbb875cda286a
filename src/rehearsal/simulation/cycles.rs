//! Heat cycles: the levels of each, and the drives that nobody logged.
//!
//! A cycle that is not logged is driven like the logged one, with other luck; its cooling down is not followed but skipped to
//! the cold state of the next morning.

use super::ticks::{Contents, Loop};
use super::{Second, cold_state, drive_on, whole_seconds};
use crate::rehearsal::circuit::Plant;
use crate::rehearsal::drive::plan_of;
use crate::rehearsal::pockets::Place;
use crate::rehearsal::scenario::Scenario;
use serde::Serialize;

/// A reading so much lower than the first makes a careful person top up, mm.
const WORTH_TOPPING_UP: f64 = 3.0;

/// The reservoir and what is in the circuit over one heat cycle; mL, gas at local air pressure and 20 °C, coolant at 20 °C.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct CycleLevels {
    /// Level cold before the drive.
    pub cold_before: f64,
    /// Level hot after it.
    pub hot: f64,
    /// Gauge pressure at the hot reading, kPa.
    pub hot_pressure: f64,
    /// Level cold after it.
    pub cold_after: f64,
    /// Gas in the circuit before the drive.
    pub gas_before: f64,
    /// Gas in the circuit at key-off, in all.
    pub gas_at_key_off: f64,
    /// The same by place: sensor, thermostat, heater, radiator top, fine bubbles.
    pub gas_by_place: [f64; 5],
    /// Gas in the circuit at the cold reading after.
    pub gas_after: f64,
    /// Coolant in circuit and reservoir before the drive.
    pub coolant_before: f64,
    /// The same at the cold reading after.
    pub coolant_after: f64,
    /// Poured in after the cold reading.
    pub topped_up: f64,
}

impl CycleLevels {
    pub(super) fn before(contents: &Contents) -> Self {
        let system = &contents.system;
        Self { cold_before: system.level, gas_before: system.trapped(), coolant_before: system.coolant(), ..Self::default() }
    }

    pub(super) fn at_key_off(&mut self, contents: &Contents) {
        self.gas_at_key_off = contents.system.trapped();
        self.gas_by_place = contents.system.gas;
    }

    pub(super) fn hot(&mut self, contents: &Contents) {
        (self.hot, self.hot_pressure) = (contents.system.level, contents.system.pressure);
    }

    pub(super) fn cold_after(&mut self, contents: &Contents) {
        let system = &contents.system;
        (self.cold_after, self.gas_after, self.coolant_after) = (system.level, system.trapped(), system.coolant());
    }

    /// Fall of the level from cold to cold with both brought to 20 °C and air pressure: gas that left, and coolant that did.
    pub fn loss_at_20(&self) -> f64 {
        self.gas_before - self.gas_after + self.coolant_before - self.coolant_after
    }

    /// Gas at key-off in a place.
    pub fn in_place(&self, place: Place) -> f64 {
        self.gas_by_place[place as usize]
    }
}

/// A heat cycle without a log.
pub(super) fn unlogged(scenario: &Scenario, plant: &Plant, contents: &mut Contents, cycle: usize, substeps: usize) -> CycleLevels {
    let cold = cold_state(scenario);
    contents.system.settle(&cold);
    let mut levels = CycleLevels::before(contents);
    let gulps = contents.pockets.gulps.len();
    let mut loop_state = Loop::new(scenario, plant, cold, contents.clone(), cycle);
    drive_on(&mut loop_state, &plan_of(scenario, 100 + cycle as u64), substeps);
    loop_state.look();
    levels.at_key_off(&loop_state.contents);
    for _ in 0..whole_seconds(scenario.notes.hot_after) {
        loop_state.tick(&Second::default(), 1, substeps);
    }
    loop_state.look();
    levels.hot(&loop_state.contents);
    *contents = loop_state.contents;
    contents.system.tick(&cold, scenario.notes.cold_after - scenario.notes.hot_after);
    levels.cold_after(contents);
    // Only the logged cycle's gulps have a place on the log's clock.
    contents.pockets.gulps.truncate(gulps);
    let mut all = vec![levels];
    top_up(scenario, contents, &mut all, cycle);
    all.pop().unwrap_or(levels)
}

/// What the person pours in after the last cycle of `done`, which is cycle number `cycle`.
pub(super) fn top_up(scenario: &Scenario, contents: &mut Contents, done: &mut [CycleLevels], cycle: usize) {
    let Some(levels) = done.last_mut() else { return };
    let (notes, tank) = (&scenario.notes, &scenario.reservoir);
    let fallen = tank.cold_level - levels.cold_after;
    let low = notes.cycles > cycle && levels.cold_after < tank.min_mark;
    if notes.taken && (low || (notes.tops_up && fallen > WORTH_TOPPING_UP * tank.per_mm)) && fallen > 0.0 {
        levels.topped_up = (fallen / 10.0).round() * 10.0;
        contents.system.top_up(&cold_state(scenario), levels.topped_up);
    }
}
