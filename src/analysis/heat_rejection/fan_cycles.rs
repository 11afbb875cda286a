//! Fan cycles: the saw-tooth that an electric fan cuts into the reading at standstill, and from it the readings at which it
//! switches.
//!
//! Standing, the radiator gets air only from its fan. The reading climbs for a minute or more, the fan comes on, the reading
//! falls by several kelvin within half a minute, and so on. A cycle is a crest followed by a fall of at least `LEAST_FALL_K`
//! while the vehicle stands or crawls. The valve's own hysteresis swings less, about the level that it holds; a fan stands above
//! that level (`ABOVE_LEVEL_K`). Moving off ends a cycle: what the road's air does is no work of the fan's.
//!
//! The reading goes on rising after the fan is switched on, and falling after it is switched off, because the fan takes time to
//! spin, the cooler coolant time to arrive and the sensor time to follow:
//!
//! ```text
//! on = crest − rate of rise · delay        off = trough + rate of fall · delay
//! ```
//!
//! with the delays of `DELAY_ON_S` and `DELAY_OFF_S`.
//!
//! Limits: a viscous or belt-driven fan cuts no saw-tooth. Without road speed in the log the shape alone decides.

use crate::analysis::opening::Opening;
use crate::analysis::phases::Phases;
use crate::analysis::reported_degrees;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit, student_quantile};
use crate::numeric::{moments, robust};
use crate::run::{Run, Trace};

/// Fewest cycles from which switching readings are told.
pub const FEWEST: usize = 2;

/// Least fall of a cycle, in kelvin: fans switch off 3 to 8 K below where they switch on (common practice, no source).
const LEAST_FALL_K: f64 = 2.5;

/// How far a fan's crest stands above the level that the valve holds at least, in kelvin: fans switch on 8 K and more above the
/// stamped rating (common practice, no source), and the level stands a few kelvin above that too.
const ABOVE_LEVEL_K: f64 = 3.0;

/// Speed under which the fan's air counts, km/h: a walking pace to a slow crawl.
pub(super) const SLOW_KMH: f64 = 15.0;

/// Delay from switching on to the crest, in seconds, and its standard uncertainty: spinning up, one pass of coolant, the sensor
/// (memory).
const DELAY_ON_S: (f64, f64) = (8.0, 5.0);

/// Delay from switching off to the trough, likewise; longer, because the radiator goes on sending what the fan has cooled (our
/// own made runs at idle: 7 to 16 s in two of three).
const DELAY_OFF_S: (f64, f64) = (11.0, 6.0);

/// One cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cycle {
    /// When the reading turned down, in seconds.
    pub crest_s: f64,
    /// Reading there, °C.
    pub crest: f64,
    /// Rate of rise before it, K/s; `None` if the rise is not in the log.
    pub rise: Option<f64>,
    /// When the reading turned up again; `None` if the vehicle moved off or the log ended first.
    pub trough_s: Option<f64>,
    /// Lowest reading of the fall, °C.
    pub trough: f64,
    /// Rate of fall, K/s, positive.
    pub fall: f64,
}

/// What the saw-tooth shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FanCycles {
    /// Its cycles in time order.
    pub cycles: Vec<Cycle>,
    /// Reading at which the fan switches on; `None` under [`FEWEST`] cycles.
    pub on: Option<Estimate>,
    /// Reading at which it switches off.
    pub off: Option<Estimate>,
}

/// Finds the fan's cycles in a drive.
pub fn find(run: &Run, phases: &Phases, opening: &Opening) -> FanCycles {
    let Some(coolant) = run.trace(Channel::CoolantTemperature) else { return FanCycles::default() };
    let end = phases.drive_end(run);
    let from = opening.knee_time.map_or(phases.fired_s, |knee| knee.value);
    let drive = coolant.between(from, end);
    let level = opening.knee_temperature.map(|knee| knee.value).or_else(|| robust::quantile(&drive.value, 0.25)).unwrap_or(f64::INFINITY);
    let stretches = slow_stretches(run, from, end);
    let cycles: Vec<Cycle> = stretches
        .iter()
        .flat_map(|[from, to]| cycles_of(&drive.between(*from, *to)))
        .filter(|cycle| cycle.crest >= level + ABOVE_LEVEL_K)
        .collect();
    if cycles.len() < FEWEST {
        return FanCycles { cycles, on: None, off: None };
    }
    let on: Vec<(f64, f64)> = cycles.iter().filter_map(|cycle| cycle.rise.map(|rise| (cycle.crest, -rise))).collect();
    let off: Vec<(f64, f64)> = cycles.iter().filter(|cycle| cycle.trough_s.is_some()).map(|cycle| (cycle.trough, cycle.fall)).collect();
    let on = switching(&on, DELAY_ON_S, drive.step);
    let off = switching(&off, DELAY_OFF_S, drive.step).map(|off| below(off, on));
    FanCycles { cycles, on, off }
}

/// Stretches between two moments in which the vehicle stands or crawls; the whole if the log has no road speed. A blip of a few
/// seconds above walking pace ends none: the speed is averaged over a quarter of a minute first.
pub(super) fn slow_stretches(run: &Run, from: f64, to: f64) -> Vec<[f64; 2]> {
    let Some(speed) = run.trace(Channel::VehicleSpeed) else { return vec![[from, to]] };
    let speed = speed.between(from, to);
    let (mut first, mut sum) = (0, 0.0);
    let mut found: Vec<[f64; 2]> = Vec::new();
    let mut since = None;
    for (i, (time, value)) in speed.iter().enumerate() {
        sum += value;
        while speed.time[first] < time - 15.0 {
            sum -= speed.value[first];
            first += 1;
        }
        let slow = sum / (i + 1 - first) as f64 <= SLOW_KMH;
        match (slow, since) {
            (true, None) => since = Some(time),
            (false, Some(start)) => {
                found.push([start, time]);
                since = None;
            }
            _ => {}
        }
    }
    found.extend(since.map(|start| [start, to]));
    found
}

/// Crests and troughs of one stretch: the reading turns where it has come back by `LEAST_FALL_K` (or by more than two steps where
/// those are coarser).
fn cycles_of(stretch: &Trace) -> Vec<Cycle> {
    let turn = LEAST_FALL_K.max(2.0 * stretch.step);
    let mut cycles: Vec<Cycle> = Vec::new();
    let (Some(&t0), Some(&y0)) = (stretch.time.first(), stretch.value.first()) else { return cycles };
    // Highest since the last trough, lowest since the last crest; the last moment at a crest, the first at a trough.
    let (mut crest, mut trough) = ((t0, y0), (t0, y0));
    let mut rising = true;
    for (time, value) in stretch.iter() {
        if rising {
            if value >= crest.1 {
                crest = (time, value);
            } else if value <= crest.1 - turn {
                let rise = (crest.1 - trough.1 >= turn && crest.0 > trough.0).then(|| (crest.1 - trough.1) / (crest.0 - trough.0));
                cycles.push(Cycle { crest_s: crest.0, crest: crest.1, rise, trough_s: None, trough: value, fall: 0.0 });
                trough = (time, value);
                rising = false;
            } else if value < trough.1 && crest.1 - trough.1 < turn {
                trough = (time, value);
            }
        } else if value < trough.1 {
            trough = (time, value);
        } else if value >= trough.1 + turn {
            if let Some(cycle) = cycles.last_mut() {
                cycle.trough_s = Some(trough.0);
                cycle.trough = trough.1;
            }
            crest = (time, value);
            rising = true;
        }
        if let Some(cycle) = cycles.last_mut().filter(|_| !rising) {
            cycle.trough = trough.1;
            cycle.fall = (cycle.crest - trough.1) / (trough.0 - cycle.crest_s).max(1.0);
        }
    }
    cycles
}

/// The same estimate without what lies above the reading at which the fan switches on; its value is then the middle of what is
/// left.
fn below(off: Estimate, on: Option<Estimate>) -> Estimate {
    let low = off.interval_95[0];
    match on {
        Some(on) if on.value > low && on.value < off.interval_95[1] => {
            Estimate::from_interval(off.value.min(0.5 * (low + on.value)), [low, on.value], off.unit)
        }
        _ => off,
    }
}

/// Reading at which a fan switches, from turning points and how fast the reading was moving away from the switching point's side.
fn switching(turns: &[(f64, f64)], delay: (f64, f64), step: f64) -> Option<Estimate> {
    let n = turns.len() as f64;
    (turns.len() >= FEWEST).then_some(())?;
    let corrected: Vec<f64> = turns.iter().map(|(reading, rate)| reading + rate * delay.0).collect();
    let mean_rate = turns.iter().map(|(_, rate)| rate.abs()).sum::<f64>() / n;
    let value = moments::mean(&corrected)?;
    // The turning points scatter less than one step where the reading is coarse; rounding then bounds what their mean can tell.
    let scatter = moments::deviation(&corrected)?.max(0.2 * step) / n.sqrt();
    let rounding = 0.4 * step;
    let by_scatter = student_quantile(0.975, n - 1.0).min(4.3) * scatter;
    let half = by_scatter.hypot(1.96 * (mean_rate * delay.1).hypot(rounding));
    let middle = value + reported_degrees::mean_excess(step);
    Some(Estimate::from_interval(middle, [middle - half, middle + half], Unit::Celsius))
}
