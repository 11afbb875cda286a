//! The opening of two drives, as the wax felt it.
//!
//! Two witnesses say how far a valve moved. One is the first lift: the reading at the moment of opening, followed by a lag of
//! `WAX_BEHIND_S`, because the reading runs ahead of the wax the faster it rises (a cold, hard drive opens at a higher *reading* than a
//! gentle one, with the same valve). The other is the level that the valve then holds: the middle of the first ten minutes of the hold.
//! A valve that opens 5 K earlier holds about 5 K less. The difference is their weighted mean. What the model's opening and the true first
//! lift of *this* valve lie apart, and how the control unit rounds, is the same in both drives and cancels: so the wide interval of the
//! opening itself, which holds that gap, does not enter, only that of the moment does.
//!
//! How far such a difference scatters between drives of an unchanged vehicle was set on made pairs, as a law:
//!
//! ```text
//! u = 0.2 K · (m/1 K)^0.74 · (g/1 K + ½)^0.35 · (w/1 K + 1)^0.6 · exp(0.6·s)
//!
//! m   standard uncertainty of the difference from the moments of opening
//! g   how far the two witnesses disagree
//! w   widths of the two first holds, in quadrature
//! s   difference of the shares of standing with an open valve: a fan that governs at a stand is easily taken for the valve
//! ```
//!
//! Limits: heated and driven valves open where the load asks, so stated ones are not compared, nor is an opening found above
//! [`HIGHEST_WAX_C`]: heated valves, weak fans and boiling bring a reading there. A sensor that has come to read otherwise
//! moves the opening with it; the cold comparison of the sensor tells.
//!
//! # References
//!
//! - `docs/comparison.md`: how the law was set and what it gave on other pairs.

use super::course::Course;
use super::heat_balance::Balance;
use super::margins::Measure;
use super::meaning::Meaning;
use super::{Answer, Change, Conditions, Decision, Drive, NotCompared};
use crate::analysis::opening::State;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit, normal_quantile};
use crate::vehicle::Control;

/// How far wax in the stream follows behind the reading, in seconds: at this lag made vehicles show the same wax temperature at the first
/// lift on both days most nearly (5 to 10 s serve alike). It is less than the wax's own lag, because the sensor lags too.
const WAX_BEHIND_S: f64 = 7.5;

/// Weight of the first lift; the rest is the held level's. From 0.5 to 0.7 they serve alike on made pairs.
const WEIGHT_OF_LIFT: f64 = 0.6;

/// Factor and powers of the law above.
const LAW: (f64, f64, f64, f64) = (0.2, 0.74, 0.35, 0.6);

/// How the shares of standing enter the law. Set on made pairs.
const UNLIKE_STANDING: f64 = 0.6;

/// Highest reading at which a wax valve is taken to have opened, °C: stamps go to 92 °C for plain wax (memory), and 5 K of ageing and the lag of
/// the reading come on top.
const HIGHEST_WAX_C: f64 = 103.0;

/// How much more heat than opened the valve the other drive must have had to be called open throughout, as a ratio (own choice).
const ENOUGH_HEAT: f64 = 1.5;

/// What stands for disagreement and width where one drive has no hold, in kelvin: a poor pair's (own choice).
const WITHOUT_HOLD_K: (f64, f64) = (6.0, 6.0);

/// One drive's witnesses.
struct Seen {
    /// The wax at the moment of opening and at the ends of its interval, °C.
    wax: [f64; 3],
    /// Middle and width of the first hold, °C and kelvin.
    held: Option<(f64, f64)>,
}

/// The opening of the two drives against each other.
pub(super) fn compared(earlier: Drive, later: Drive, conditions: &Conditions, balance: Option<&Balance>) -> Answer {
    let silent = |because: &str| Err(NotCompared::new(Measure::Opening, because));
    if [earlier, later].iter().any(|drive| matches!(drive.run.vehicle.thermostat.control, Control::Heated | Control::Driven)) {
        return silent("the thermostat is heated or driven and opens where the load asks, so its opening is not compared");
    }
    let states = [earlier, later].map(|drive| drive.analysis.opening.state);
    let estimates = [earlier, later].map(|drive| drive.analysis.opening.temperature);
    match states {
        [State::Opened, State::Opened] => {}
        [State::Opened, State::OpenThroughout] if balance.is_some_and(|balance| never_warm(earlier, later, &balance.courses)) => {
            return Ok(state(estimates, Meaning::OpenThroughoutNow, later));
        }
        [State::OpenThroughout, State::Opened] if balance.is_some_and(|balance| never_warm(later, earlier, &reversed(balance))) => {
            return Ok(state(estimates, Meaning::OpensAgain, later));
        }
        [State::OpenThroughout, _] | [_, State::OpenThroughout] => {
            return silent(
                "one of the two logs looks as if the radiator was in the circuit from the start, but it had not the heat to show it for certain",
            );
        }
        _ => return silent("one of the two logs does not show the thermostat opening; record a cold start until the reading holds"),
    }
    if estimates.iter().flatten().any(|lift| lift.value >= HIGHEST_WAX_C) {
        return silent("one of the two logs shows an opening beyond where wax valves open; what its own report says comes first");
    }
    let (Some(then), Some(now)) = (Seen::of(earlier), Seen::of(later)) else {
        return silent("one of the two logs has too few readings about the opening");
    };
    Ok(Change::of(
        Measure::Opening,
        estimates[0],
        estimates[1],
        difference(&then, &now, conditions.standing()),
        Measure::Opening.margin(later.run),
    ))
}

/// Whether `cold` had half as much heat again as opened the valve in `opened`, on one scale, and yet never came near that reading: a single log
/// that looks open throughout may only have been too gentle or too short.
fn never_warm(opened: Drive, cold: Drive, [to_opening, all]: &[Course; 2]) -> bool {
    let needed = opened.analysis.opening.time.map(|time| to_opening.heat_at(time.value));
    let had = all.heat.last().copied();
    let below = opened.analysis.opening.temperature.is_some_and(|lift| cold.analysis.opening.highest < lift.interval_95[0]);
    below && needed.zip(had).is_some_and(|(needed, had)| had >= ENOUGH_HEAT * needed)
}

fn reversed(balance: &Balance) -> [Course; 2] {
    let [earlier, later] = balance.courses.clone();
    [later, earlier]
}

/// A change of state, which has no number.
fn state([earlier, later]: [Option<Estimate>; 2], meaning: Meaning, drive: Drive) -> Change {
    let margin = Measure::Opening.margin(drive.run);
    Change { measure: Measure::Opening, earlier, later, difference: None, margin, decision: Decision::Changed, meaning }
}

fn difference(then: &Seen, now: &Seen, standing: f64) -> Estimate {
    let by_lift = now.wax[1] - then.wax[1];
    let z = normal_quantile(0.975);
    let halves = [then.wax[1] - then.wax[0], then.wax[2] - then.wax[1], now.wax[1] - now.wax[0], now.wax[2] - now.wax[1]];
    let moments = halves.iter().map(|half| (half / z).powi(2)).sum::<f64>().sqrt().max(0.3);
    let (value, apart, width) = match (then.held, now.held) {
        (Some((then, w0)), Some((now, w1))) => {
            let by_level = now - then;
            (WEIGHT_OF_LIFT * by_lift + (1.0 - WEIGHT_OF_LIFT) * by_level, (by_lift - by_level).abs(), w0.hypot(w1))
        }
        _ => (by_lift, WITHOUT_HOLD_K.0, WITHOUT_HOLD_K.1),
    };
    let (factor, of_moments, of_apart, of_width) = LAW;
    let u = factor
        * moments.powf(of_moments)
        * (apart + 0.5).powf(of_apart)
        * (width + 1.0).powf(of_width)
        * (UNLIKE_STANDING * standing).exp();
    Estimate::normal(value, u, Unit::Kelvin)
}

impl Seen {
    fn of(drive: Drive) -> Option<Self> {
        let opening = &drive.analysis.opening;
        let interval = opening.knee_time?.interval_95;
        let moments = [interval[0], opening.time?.value, interval[1]];
        let [Some(low), Some(middle), Some(high)] = moments.map(|at| wax(drive, at)) else { return None };
        let held = drive.analysis.regulation.at_first().map(|[low, middle, high]| (middle, high - low));
        Some(Self { wax: [low, middle, high], held })
    }
}

/// The reading followed by the wax's lag, at a moment; `None` before the first reading with the engine running.
fn wax(drive: Drive, at: f64) -> Option<f64> {
    let coolant = drive.run.trace(Channel::CoolantTemperature)?;
    let fired = drive.analysis.phases.fired_s;
    let mut wax: Option<(f64, f64)> = None;
    for (time, reading) in coolant.iter().skip_while(|(time, _)| *time < fired).take_while(|(time, _)| *time <= at) {
        wax = Some(match wax {
            None => (time, reading),
            Some((before, value)) => (time, reading + (value - reading) * (-(time - before) / WAX_BEHIND_S).exp()),
        });
    }
    wax.map(|(_, value)| value)
}
