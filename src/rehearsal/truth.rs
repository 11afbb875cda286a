//! What is true of a made run: what a perfect analysis of its log would find.
//!
//! All times count from the log's first row, as the program's own do. Temperatures are readings: after the sensor's lag and
//! offset, before noise and rounding.

use super::air_truth::AirTruth;
use super::circuit::Plant;
use super::scenario::{Fan, Fault, LookAlike, Scenario, Start};
use super::simulation::{CycleLevels, Signal, Simulated, twin_that_stays_shut};
use super::system::coolant_growth;
use super::valve::{FIRST_LIFT, Thermostat};
use serde::Serialize;

/// What can be seen of the valve's opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Opening {
    /// It opens within the log.
    Opened,
    /// The log ends, or the engine stops, before it opens.
    NotReached,
    /// It never shuts.
    OpenThroughout,
    /// It is open at the first row.
    AlreadyOpen,
}

/// Kelvin by which the reading must lag its twin's to count as departed: one whole degree, the usual resolution.
pub const DEPARTURE: f64 = 1.0;

/// Time and reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Moment {
    /// Seconds from the first row.
    pub time_s: f64,
    /// Reading, °C.
    pub reading: f64,
}

/// The truth of one run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Truth {
    /// State of the opening.
    pub opening: Opening,
    /// When lift first reaches 2 % of full, if within the log.
    pub first_lift: Option<Moment>,
    /// When the reading first lies [`DEPARTURE`] below that of a twin run whose valve stays shut, if within the log: near
    /// the knee that a person would mark.
    pub departure: Option<Moment>,
    /// Stamped rating, °C.
    pub rating: f64,
    /// True wax temperature at which lift starts, faults included, °C.
    pub starts_to_lift: f64,
    /// What is wrong.
    pub faults: Vec<Fault>,
    /// Whether the engine was warm when it fired.
    pub warm_start: bool,
    /// When the engine fired, s (negative: before the first row).
    pub engine_start_s: f64,
    /// Key-off, s, if within the log.
    pub key_off_s: Option<f64>,
    /// Last row, s.
    pub log_end_s: f64,
    /// From here to key-off the band counts: 60 s after first lift, and not before the 60 s mean stops rising by more than
    /// 1 K from one two-minute stretch to the next.
    pub settled_s: Option<f64>,
    /// 5th and 95th percentile of the reading from settled to key-off (or the end of the log), by time, °C.
    pub band: Option<[f64; 2]>,
    /// Mean rise of the reading from 40 to 70 °C, K/min.
    pub warm_up_rate: Option<f64>,
    /// Highest reading before key-off, °C.
    pub highest: f64,
    /// Time for the excess over ambient to fall to 1/e, from 5 K below the top of the hot soak, s.
    pub cooling_time_constant_s: Option<f64>,
    /// Seconds from key-off until the hottest store is below 45 °C.
    pub below_45_after_s: Option<f64>,
    /// Seconds from key-off until the reading is within 5 K of ambient.
    pub cold_after_s: Option<f64>,
    /// An electric fan's thresholds, on and off, °C.
    pub fan_thresholds: Option<[f64; 2]>,
    /// How often it switched on within the log.
    pub fan_starts: usize,
    /// Sensor's total offset, K.
    pub sensor_offset: f64,
    /// Level changes of the logged heat cycle, without reading errors.
    pub levels: LevelTruth,
    /// Every heat cycle that was noted, in order.
    pub cycles: Vec<CycleLevels>,
    /// Which of them was logged, from 1.
    pub logged_cycle: usize,
    /// Gas in the circuit.
    pub air: AirTruth,
    /// What was put in to look like air.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub look_alike: Option<LookAlike>,
}

/// The reservoir as it truly stood, mL.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct LevelTruth {
    /// Cold before the drive.
    pub cold_before: f64,
    /// Hot after it.
    pub hot: f64,
    /// Cold after it.
    pub cold_after: f64,
    /// Growth of all coolant from cold to hot.
    pub coolant_growth: f64,
    /// Fall cold to cold, both brought to 20 °C.
    pub loss_at_20: f64,
}

impl LevelTruth {
    /// Of a simulated run's logged heat cycle.
    pub fn of(scenario: &Scenario, plant: &Plant, run: &Simulated) -> Self {
        let cycle = run.logged().copied().unwrap_or_default();
        Self {
            cold_before: cycle.cold_before,
            hot: cycle.hot,
            cold_after: cycle.cold_after,
            coolant_growth: coolant_growth(scenario, plant, &run.at_levels[0], &run.at_levels[1]),
            loss_at_20: cycle.loss_at_20(),
        }
    }
}

impl Truth {
    /// Serialises to JSON; every member is finite by construction, so this cannot fail but for lack of memory.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }

    /// The truth of a simulated run.
    pub fn of(scenario: &Scenario, run: &Simulated, levels: LevelTruth) -> Self {
        let begins = scenario.drive.log_begins.clamp(0.0, 1e6).round() as usize;
        let valve = Thermostat::of(scenario);
        let logged = run.signals.get(begins..).unwrap_or_default();
        let key_off = run.key_off.checked_sub(begins).filter(|&at| at < logged.len());
        let driven = &logged[..key_off.unwrap_or(logged.len())];
        let first_lift = first_lift(driven);
        let opening = if !valve.shuts() {
            Opening::OpenThroughout
        } else if logged.first().is_some_and(|signal| signal.lift >= FIRST_LIFT) {
            Opening::AlreadyOpen
        } else if first_lift.is_some() {
            Opening::Opened
        } else {
            Opening::NotReached
        };
        let first_lift = first_lift.filter(|_| opening == Opening::Opened);
        let departure = first_lift.and_then(|lift| {
            let from = begins + lift.time_s as usize;
            let twin = twin_that_stays_shut(scenario, &run.contents[0], from + 900, super::SUBSTEPS);
            let at = (from..twin.len().min(begins + driven.len())).find(|&at| twin[at].reading - run.signals[at].reading >= DEPARTURE)?;
            Some(Moment { time_s: (at - begins) as f64, reading: run.signals[at].reading })
        });
        let settled = match opening {
            Opening::Opened => first_lift.and_then(|moment| settled(driven, moment.time_s as usize + 60)),
            Opening::AlreadyOpen => settled(driven, 0),
            Opening::NotReached | Opening::OpenThroughout => None,
        };
        let excess = |reading: f64| reading - scenario.weather.ambient;
        Self {
            opening,
            first_lift,
            departure,
            rating: scenario.valve.rating,
            starts_to_lift: valve.starts(),
            faults: scenario.faults.clone(),
            warm_start: scenario.drive.start != Start::Cold,
            engine_start_s: scenario.drive.fires_after.round() - begins as f64,
            key_off_s: key_off.map(|at| at as f64),
            log_end_s: logged.len().saturating_sub(1) as f64,
            settled_s: settled.map(|at| at as f64),
            band: settled.and_then(|at| band(&driven[at..])),
            warm_up_rate: warm_up_rate(driven),
            highest: driven.iter().map(|signal| signal.reading).fold(f64::NEG_INFINITY, f64::max).max(-273.15),
            cooling_time_constant_s: time_constant(&run.cooling, excess),
            below_45_after_s: run.hottest.iter().position(|&hottest| hottest < 45.0).map(|at| at as f64),
            cold_after_s: run.cooling.iter().position(|&reading| excess(reading) < 5.0).map(|at| at as f64),
            fan_thresholds: match scenario.fan {
                Fan::Electric { on, off, .. } => Some([on, off]),
                _ => None,
            },
            fan_starts: logged.windows(2).filter(|pair| !pair[0].fan && pair[1].fan).count(),
            sensor_offset: logged.first().map_or(0.0, |_| total_offset(scenario)),
            levels,
            cycles: run.cycles.clone(),
            logged_cycle: run.logged_cycle,
            air: AirTruth::of(scenario, run),
            look_alike: scenario.look_alike,
        }
    }
}

fn total_offset(scenario: &Scenario) -> f64 {
    let fault: f64 = scenario.faults.iter().map(|fault| if let Fault::SensorOffset(by) = fault { *by } else { 0.0 }).sum();
    scenario.sensor.offset + fault
}

/// The crossing of 2 % lift, between two seconds by proportion.
fn first_lift(driven: &[Signal]) -> Option<Moment> {
    let after = driven.iter().position(|signal| signal.lift >= FIRST_LIFT)?;
    let (Some(before), Some(now)) = (after.checked_sub(1).and_then(|at| driven.get(at)), driven.get(after)) else {
        return Some(Moment { time_s: 0.0, reading: driven.first()?.reading });
    };
    let share = (FIRST_LIFT - before.lift) / (now.lift - before.lift);
    Some(Moment { time_s: after as f64 - 1.0 + share, reading: before.reading + share * (now.reading - before.reading) })
}

/// First second at or after `from` from which two neighbouring two-minute means differ by less than 1 K of rise.
fn settled(driven: &[Signal], from: usize) -> Option<usize> {
    let mean = |at: usize| {
        let part = driven.get(at..at + 120)?;
        Some(part.iter().map(|signal| signal.reading).sum::<f64>() / 120.0)
    };
    (from..driven.len()).step_by(5).find(|&at| matches!((mean(at), mean(at + 120)), (Some(now), Some(next)) if next - now < 1.0))
}

fn band(settled: &[Signal]) -> Option<[f64; 2]> {
    if settled.len() < 120 {
        return None;
    }
    let mut readings: Vec<f64> = settled.iter().map(|signal| signal.reading).collect();
    readings.sort_by(f64::total_cmp);
    let quantile = |share: f64| {
        let place = share * (readings.len() - 1) as f64;
        let below = place.floor() as usize;
        let above = (below + 1).min(readings.len() - 1);
        readings[below] + (readings[above] - readings[below]) * (place - below as f64)
    };
    Some([quantile(0.05), quantile(0.95)])
}

fn warm_up_rate(driven: &[Signal]) -> Option<f64> {
    let crossing = |level: f64| driven.windows(2).position(|pair| pair[0].reading < level && pair[1].reading >= level);
    let (from, to) = (crossing(40.0)?, crossing(70.0)?);
    (to > from).then(|| 30.0 * 60.0 / (to - from) as f64)
}

fn time_constant(cooling: &[f64], excess: impl Fn(f64) -> f64) -> Option<f64> {
    let (top_at, top) = cooling.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let from = top_at + cooling.get(top_at..)?.iter().position(|&reading| reading <= top - 5.0)?;
    let goal = excess(*cooling.get(from)?) / std::f64::consts::E;
    let length = cooling.get(from..)?.iter().position(|&reading| excess(reading) <= goal)?;
    (goal > 0.0).then_some(length as f64)
}
