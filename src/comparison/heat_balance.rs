//! The heat of two warm-ups on one scale: what does a kelvin take?
//!
//! Both logs must have the same stand-in for heat (fuel rate, air flow, load × speed, manifold pressure × speed, engine speed), in its own
//! unit, so that a unit of it means the same on both days. Over the part of the rise that both have,
//!
//! ```text
//! q = ∫(P/P̄ + p₀) dt / ΔT            heat per kelvin, in minutes at the usual input P̄
//! q = C·(1 + k·X/q)                    X = ∫(T − Tₐ) dt / ΔT: what is lost to air and heater
//! ln(C_now/C_then) = ln(q_now/q_then) − ln((1 + k·X/q)_now/(1 + k·X/q)_then) − s·ln(t_now/t_then)
//! ```
//!
//! `p₀` and `k` are one pair of numbers for all vehicles (they cancel where the two drives are alike); the last term is metal and oil farther
//! away, which a slow warm-up takes along. What is left unexplained grows with how unlike the two rises were. The loss is told by the rise
//! itself: how much more a kelvin takes in the upper half of the rise than in the lower, whatever the scale of the heat.
//!
//! Limits: heat per fuel is taken as constant, so an engine that runs rich in frost seems to take more; the heater's setting is not logged
//! and is the largest part of what is not explained. This tells a radiator in the circuit or a third of the coolant gone, not a litre.
//!
//! # References
//!
//! - `docs/comparison.md`: constants and what was measured.

use super::course::{Course, Held};
use super::decision::ratio;
use super::margins::Measure;
use super::{Answer, Change, Conditions, Drive, NotCompared};
use crate::analysis::heat_input::Source;
use crate::channel::Channel;
use crate::numeric::robust;
use crate::run::{Run, Trace};

/// Lowest reading from which the rises are weighed, °C: below it the coldest metal still decides.
const FROM_C: f64 = 35.0;

/// Least rise that both must have, in kelvin.
const LEAST_RISE_K: f64 = 15.0;

/// How far below the knee the rise ends, in kelvin: a valve may leak before it lifts.
const BELOW_KNEE_K: f64 = 4.0;

/// Power of time in what is left: metal and oil farther away. Set on made pairs.
const SLOWER: f64 = 0.3;

/// Two drives on one scale of heat.
#[derive(Clone, Debug)]
pub(super) struct Balance {
    /// What stands for heat.
    pub(super) source: Source,
    /// Both drives, the earlier first.
    pub(super) courses: [Course; 2],
    /// Readings between which both were weighed, °C; `None` where they share too little of the rise.
    between: Option<[f64; 2]>,
}

/// Puts both drives on one scale; else why there is none.
pub(super) fn weigh(earlier: Drive, later: Drive) -> Result<Balance, String> {
    let order = [Source::FuelRate, Source::AirFlow, Source::LoadTimesSpeed, Source::PressureTimesSpeed, Source::EngineSpeed];
    let common = order.into_iter().find_map(|source| Some((source, raw(earlier.run, source)?, raw(later.run, source)?)));
    let Some((source, then, now)) = common else {
        return Err("the two logs have no stand-in for heat in common; record fuel rate, or load and engine speed, every time".to_owned());
    };
    let usual = robust::median(&then.value).zip(robust::median(&now.value)).map_or(0.0, |(then, now)| 0.5 * (then + now));
    if usual.is_nan() || usual <= 0.0 {
        return Err("the stand-in for heat is zero for half of the drive".to_owned());
    }
    let (Some(first), Some(second)) = (Course::of(earlier, &then, usual), Course::of(later, &now, usual)) else {
        return Err("one of the two logs has no coolant reading while the engine runs".to_owned());
    };
    let tops = [earlier, later].map(|drive| {
        let opening = &drive.analysis.opening;
        opening.knee_temperature.map_or(opening.highest, |knee| knee.value) - BELOW_KNEE_K
    });
    let fives = |celsius: f64, up: bool| if up { 5.0 * (celsius / 5.0).ceil() } else { 5.0 * (celsius / 5.0).floor() };
    let courses = [first, second];
    let starts = courses.each_ref().map(|course| course.reading.first().copied().unwrap_or(f64::NAN) + 2.0);
    let between = [fives(starts[0].max(starts[1]).max(FROM_C), true), fives(tops[0].min(tops[1]), false)];
    let between = (between[1] - between[0] >= LEAST_RISE_K).then_some(between);
    Ok(Balance { source, courses, between })
}

/// Both drives, each on its own scale: minutes at the usual input of that drive. For a picture where no common stand-in is logged.
pub(super) fn own_scales(earlier: Drive, later: Drive) -> Option<[Course; 2]> {
    let own = |drive: Drive| {
        let (heat, phases) = (&drive.analysis.heat, &drive.analysis.phases);
        let raw = if heat.relative.is_empty() {
            Trace { time: vec![phases.fired_s], value: vec![1.0], step: 0.0 }
        } else {
            heat.relative.clone()
        };
        Course::of(drive, &raw, 1.0)
    };
    Some([own(earlier)?, own(later)?])
}

/// Heat taken per kelvin and heat loss of both drives against each other.
pub(super) fn compared(balance: Result<&Balance, &String>, conditions: &Conditions, later: Drive) -> [Answer; 2] {
    let measures = [Measure::HeatCapacity, Measure::HeatLoss];
    let silent = |because: &str| measures.map(|measure| Err(NotCompared::new(measure, because)));
    let balance = match balance {
        Ok(balance) => balance,
        Err(because) => return silent(because),
    };
    let short = "the two logs do not share 15 K of the rise below the opening; start both from cold";
    let Some([from, to]) = balance.between else { return silent(short) };
    let middle = from + 5.0 * ((to - from) / 10.0).floor();
    let part = |from: f64, to: f64| {
        let [Some(then), Some(now)] = balance.courses.each_ref().map(|course| course.part(from, to)) else { return None };
        Some([then, now])
    };
    let (Some([then, now]), Some(lower), Some(upper)) = (part(from, to), part(from, middle), part(middle, to)) else {
        return silent(short);
    };
    let slower = (now.seconds / then.seconds).ln();
    let log = (now.heat / then.heat).ln() - (now.with_loss() / then.with_loss()).ln() - SLOWER * slower;
    // Both laws were set on made pairs; they grow with how unlike the two rises were.
    let u = 0.19 * (0.39 * slower.abs() + 0.08 * conditions.start() + 0.1 * conditions.weather()).exp();
    let steeper = |half: usize| (upper[half].heat / lower[half].heat).ln();
    let loss_u = 0.346 * (0.42 * slower.abs() + 0.1 * conditions.start()).exp() * ((to - from) / 40.0).powf(0.32);
    let loss = ratio(steeper(1) - steeper(0), loss_u);
    let change = |measure: Measure, difference| Ok(Change::of(measure, None, None, difference, measure.margin(later.run)));
    [change(Measure::HeatCapacity, ratio(log, u)), change(Measure::HeatLoss, loss)]
}

/// A stand-in for heat in its own unit.
fn raw(run: &Run, source: Source) -> Option<Trace> {
    let speed = || run.trace(Channel::EngineSpeed);
    let times_speed = |channel: Channel| {
        let (first, speed) = (run.trace(channel)?, speed()?);
        let mut held = Held::of(speed);
        let (time, value) = first.iter().filter_map(|(time, value)| held.at(time).map(|speed| (time, value * speed))).unzip();
        Some(Trace { time, value, step: 0.0 }).filter(|trace| !trace.is_empty())
    };
    match source {
        Source::FuelRate => run.trace(Channel::FuelRate).cloned(),
        Source::AirFlow => run.trace(Channel::AirFlow).cloned(),
        Source::LoadTimesSpeed => times_speed(Channel::EngineLoad),
        Source::PressureTimesSpeed => times_speed(Channel::ManifoldPressure),
        Source::EngineSpeed => speed().cloned(),
        Source::VehicleSpeed | Source::RunningOnly => None,
    }
}
