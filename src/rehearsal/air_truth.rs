//! The truth about gas in the circuit.
//!
//! Amounts in mL at local air pressure and 20 °C; times count from the log's first row.

use super::pockets::{Gulp, Place};
use super::scenario::Scenario;
use super::simulation::Simulated;
use super::system::Ledger;
use serde::Serialize;

/// What the gas did besides moving.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Happening {
    /// The cap let something out, having been shut for a minute.
    CapLifts,
    /// Coolant at the sensor began to boil.
    Boils,
    /// The gas in the circuit fell to the threshold or below.
    Bled,
    /// It rose above it again.
    FilledWithGas,
}

/// Something that happened, and when.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Event {
    /// s from the log's first row.
    pub time_s: f64,
    /// What.
    pub what: Happening,
}

/// Gas by place at key-off.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct ByPlace {
    /// Around the sensor.
    pub sensor: f64,
    /// Around the wax.
    pub thermostat: f64,
    /// In the heater.
    pub heater: f64,
    /// In the radiator's top.
    pub radiator_top: f64,
    /// Fine bubbles that disturb nothing.
    pub fine_bubbles: f64,
}

/// Gas in the circuit over the logged drive.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct AirTruth {
    /// Above so much the circuit counts as not bled.
    pub threshold: f64,
    /// At the fill, fine bubbles included.
    pub at_fill: f64,
    /// Before the logged drive.
    pub before: f64,
    /// At key-off.
    pub at_key_off: f64,
    /// Whether that is above the threshold.
    pub trapped: bool,
    /// The same by place.
    pub by_place: ByPlace,
    /// The place that holds most of it, if any holds 3 mL.
    pub mostly: Option<Place>,
    /// What left the circuit in the logged drive.
    pub purged: f64,
    /// Every move of gas before the end of the log.
    pub gulps: Vec<Gulp>,
    /// What else happened, key-off included.
    pub events: Vec<Event>,
    /// Highest gauge pressure in the log, kPa.
    pub highest_pressure: f64,
    /// What came and went over all heat cycles.
    pub ledger: Ledger,
}

impl AirTruth {
    /// Of a simulated run.
    pub fn of(scenario: &Scenario, run: &Simulated) -> Self {
        let begins = scenario.drive.log_begins.clamp(0.0, 1e6).round();
        let end = run.signals.len() as f64 - begins;
        let cycle = run.logged().copied().unwrap_or_default();
        let [before, at_key_off, _] = &run.contents;
        let made = at_key_off.system.ledger.generated - before.system.ledger.generated;
        let drawn = at_key_off.system.ledger.drawn - before.system.ledger.drawn;
        // In the order of the stores: the places, then fine bubbles.
        let [sensor, thermostat, heater, radiator_top, fine_bubbles] = cycle.gas_by_place;
        let most = Place::ALL.into_iter().max_by(|&a, &b| cycle.in_place(a).total_cmp(&cycle.in_place(b)));
        let threshold = scenario.threshold();
        Self {
            threshold,
            at_fill: run.cycles.first().map_or(0.0, |first| first.gas_before),
            before: cycle.gas_before,
            at_key_off: cycle.gas_at_key_off,
            trapped: cycle.gas_at_key_off > threshold,
            by_place: ByPlace { sensor, thermostat, heater, radiator_top, fine_bubbles },
            mostly: most.filter(|&place| cycle.in_place(place) > 3.0),
            // An expansion tank draws air above its coolant, never into the circuit.
            purged: (cycle.gas_before + made - cycle.gas_at_key_off + if before.system.tank_gas > 0.0 { 0.0 } else { drawn }).max(0.0),
            gulps: at_key_off.pockets.gulps.iter().copied().filter(|gulp| gulp.time_s < end).collect(),
            events: events(run, begins, threshold),
            highest_pressure: run.signals.iter().map(|signal| signal.pressure).fold(0.0, f64::max),
            ledger: run.contents[2].system.ledger,
        }
    }
}

fn events(run: &Simulated, begins: f64, threshold: f64) -> Vec<Event> {
    let mut events = Vec::new();
    let mut last_lifted = f64::NEG_INFINITY;
    for (at, pair) in run.signals.windows(2).enumerate() {
        let (last, now) = (&pair[0], &pair[1]);
        let at = at as f64 + 1.0;
        let mut happens = |what: Happening| events.push(Event { time_s: at - begins, what });
        if now.cap_lifted {
            if at - last_lifted > 60.0 {
                happens(Happening::CapLifts);
            }
            last_lifted = at;
        }
        if now.boiling && !last.boiling {
            happens(Happening::Boils);
        }
        if last.trapped > threshold && now.trapped <= threshold {
            happens(Happening::Bled);
        }
        if last.trapped <= threshold && now.trapped > threshold {
            happens(Happening::FilledWithGas);
        }
    }
    events
}
