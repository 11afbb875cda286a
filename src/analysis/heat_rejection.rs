//! Heat rejection: do fan and radiator carry away what the engine gives, standing and at speed?
//!
//! While they do, the thermostat decides the reading: it holds a level, a loaded engine lifts it by at most the travel of the wax, and at standstill the fan
//! cuts a saw-tooth under a ceiling. Where they do not, the valve is fully open and the reading leaves that range. So two rises above the level are
//! measured as means over a minute or more, each with its uncertainty:
//!
//! - *standing*: the highest mean over [`STANDING_MEAN_S`] at standstill or in a crawl. A weak fan lets it climb; road speed cures it;
//! - *under load*: the highest mean over [`MOVING_MEAN_S`] at road speed. A blocked radiator lets it climb with the heat input; the
//!   regression of the reading on lagged heat input at road speed must explain half of the rise.
//!
//! Each is held against what a healthy system can do ([`STANDING_ORDINARY_K`], [`MOVING_ORDINARY_K`]): an interval wholly beyond is a rise, wholly inside is
//! ordinary, straddling cannot be told. Falls are never counted: a descent, moving off after the fan's work or an accessory coming on let
//! a healthy reading drop by more than 10 K.
//!
//! Limits: a weak fan shows only if the vehicle stands for minutes, a half-blocked radiator only under a load that a short drive may never see.
//!
//! # References
//!
//! - `docs/detectors/heat_rejection.md`: the ranges, their marks and what was measured.

pub mod fan_cycles;
mod load_slope;

use crate::analysis::ambient::Ambient;
use crate::analysis::heat_input::HeatInput;
use crate::analysis::opening::{Opening, State as Valve};
use crate::analysis::phases::Phases;
use crate::analysis::reported_degrees;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::{Run, Trace};
use serde::Serialize;

/// Length of the mean that counts as a level at standstill, in seconds: half a fan cycle or more.
const STANDING_MEAN_S: f64 = 60.0;

/// Length of the mean that counts as sustained at road speed, in seconds: an overtaking is shorter.
const MOVING_MEAN_S: f64 = 120.0;

/// Largest ordinary rise at standstill above the level that the valve begins to hold, in kelvin: fans switch on 8 to 14 K above the stamped rating and the
/// reading overshoots by a kelvin or two (common practice, no source).
pub const STANDING_ORDINARY_K: f64 = 16.0;

/// Largest ordinary rise at road speed above the same level, in kelvin: the wax travels over 10 to 15 K (memory), and with the valve on the inlet the rise
/// through the engine grows with load by a few kelvin.
pub const MOVING_ORDINARY_K: f64 = 16.0;

/// Rise at standstill below which no fan has been asked for, in kelvin: fans switch on 8 K and more above the stamped rating (common practice, no source).
const FAN_NEEDED_K: f64 = 7.0;

/// Standard uncertainty of the level where the log has no knee, in kelvin, when it is what the reading exceeds for three quarters of the time: at road speed the
/// valve's travel under ordinary load blurs it, at standstill it may lie anywhere between the valve's level and the fan's (our own choice).
const LEVEL_DRIVEN_U: f64 = 3.5;
const LEVEL_STANDING_U: f64 = 6.0;

/// Road speed from which the air of the road counts, km/h.
const MOVING_KMH: f64 = 30.0;

/// Least time at standstill or at road speed from which anything is said, in seconds.
const LEAST_S: f64 = 120.0;

/// What the log shows of heat rejection.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// The reading stays where valve and fan hold it.
    Ordinary,
    /// It rises at standstill beyond what a fan allows, and road speed cures it.
    RisesAtIdle,
    /// It rises at road speed with the heat input beyond what a valve allows.
    RisesWithLoad,
    /// The log cannot tell.
    #[default]
    NotObservable,
}

/// What was found about heat rejection.
#[derive(Clone, Debug, Default, Serialize)]
pub struct HeatRejection {
    /// What the log shows.
    pub state: State,
    /// Reading at which the fan switches on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fan_on: Option<Estimate>,
    /// Reading at which it switches off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fan_off: Option<Estimate>,
    /// Fan cycles seen.
    #[serde(skip)]
    pub cycles: Vec<fan_cycles::Cycle>,
    /// Highest sustained reading at standstill above the level that the valve holds.
    #[serde(skip)]
    pub rise_standing: Option<Estimate>,
    /// The same at road speed.
    #[serde(skip)]
    pub rise_moving: Option<Estimate>,
    /// Change of the reading at road speed from the 5th to the 95th percentile of the heat input.
    #[serde(skip)]
    pub load_slope: Option<Estimate>,
    /// Seconds at standstill or in a crawl, and at road speed, with the valve open.
    #[serde(skip)]
    pub seen_s: [f64; 2],
    /// Why the log cannot tell, or what it leaves open.
    #[serde(skip)]
    pub because: Option<String>,
}

impl HeatRejection {
    /// Examines a run.
    pub fn of(run: &Run, phases: &Phases, heat: &HeatInput, _ambient: &Ambient, opening: &Opening) -> Self {
        let silent = |because: &str| Self { because: Some(because.to_owned()), ..Self::default() };
        let Some(coolant) = run.trace(Channel::CoolantTemperature) else { return silent("the log has no coolant temperature") };
        let opened_s = match opening.state {
            Valve::Opened => opening.knee_time.map_or(phases.fired_s, |knee| knee.value),
            Valve::AlreadyOpen => phases.fired_s,
            Valve::OpenThroughout => {
                return silent("the thermostat is open throughout, so the reading follows the road's air and not the fan");
            }
            Valve::NotReached => return silent("the thermostat does not open in this log, so the radiator is not asked for anything"),
            Valve::NotObservable => return silent("the log does not show the thermostat opening"),
        };
        let end = phases.drive_end(run);
        let drive = coolant.between(opened_s, end);
        let fan = fan_cycles::find(run, phases, opening);
        let standing = run.trace(Channel::VehicleSpeed).map(|_| fan_cycles::slow_stretches(run, opened_s, end)).unwrap_or_default();
        let moving = moving_stretches(run, opened_s, end);
        let Some(level) = level(&drive, opening, &moving) else { return silent("there are too few readings after the thermostat opens") };
        let rise = |stretches: &[[f64; 2]], length: f64| rise_above(&drive, stretches, length, &level);
        let (rise_standing, rise_moving) = (rise(&standing, STANDING_MEAN_S), rise(&moving, MOVING_MEAN_S));
        let load_slope = load_slope::find(&drive, phases, heat, &moving);
        let seen_s = [&standing, &moving].map(|stretches| stretches.iter().map(|[from, to]| to - from).sum());
        let (state, because) = judge(&Seen {
            rise_standing,
            rise_moving,
            load_slope,
            seen_s,
            road_speed: run.trace(Channel::VehicleSpeed).is_some(),
            fan: &fan,
        });
        Self { state, fan_on: fan.on, fan_off: fan.off, cycles: fan.cycles, rise_standing, rise_moving, load_slope, seen_s, because }
    }

    /// What was found, in sentences.
    pub fn spoken(&self) -> Vec<String> {
        let mut sentences = Vec::new();
        let rise = |rise: &Option<Estimate>| rise.map(|rise| rise.spoken()).unwrap_or_default();
        match self.state {
            State::Ordinary => sentences.push("The reading stays where thermostat and fan hold it.".to_owned()),
            State::RisesAtIdle => sentences.push(format!(
                "At standstill the reading rises by {} above the level that the thermostat holds; a fan should have stopped that.",
                rise(&self.rise_standing)
            )),
            State::RisesWithLoad => sentences.push(format!(
                "At road speed the reading rises with the load, by {} above the level that the thermostat holds.",
                rise(&self.rise_moving)
            )),
            State::NotObservable => {}
        }
        if let (Some(on), Some(off)) = (&self.fan_on, &self.fan_off) {
            sentences.push(format!("The fan switches on at {} and off at {}, {} times.", on.spoken(), off.spoken(), self.cycles.len()));
        }
        if let Some(because) = &self.because {
            sentences.push(match self.state {
                State::NotObservable => format!("Heat rejection cannot be told: {because}."),
                _ => format!("{}.", capitalised(because)),
            });
        }
        sentences
    }
}

/// The first letter in capitals.
fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Stretches at road speed: the gaps between those in which the vehicle is slow, cut to where it is faster than [`MOVING_KMH`] in the mean.
fn moving_stretches(run: &Run, from: f64, to: f64) -> Vec<[f64; 2]> {
    let Some(speed) = run.trace(Channel::VehicleSpeed) else { return Vec::new() };
    let slow = fan_cycles::slow_stretches(run, from, to);
    let edges: Vec<f64> = std::iter::once(from).chain(slow.iter().flatten().copied()).chain(std::iter::once(to)).collect();
    let mean = |from: f64, to: f64| robust::median(&speed.between(from, to).value).unwrap_or(0.0);
    edges.chunks_exact(2).map(|pair| [pair[0], pair[1]]).filter(|[from, to]| to - from >= 20.0 && mean(*from, *to) >= MOVING_KMH).collect()
}

/// The level at which the valve begins to hold: the knee, else what the reading seldom falls below at road speed (or at all).
fn level(drive: &Trace, opening: &Opening, moving: &[[f64; 2]]) -> Option<Estimate> {
    let excess = reported_degrees::mean_excess(drive.step);
    if let Some(knee) = opening.knee_temperature {
        return Some(knee.shifted(excess));
    }
    let at_speed: Vec<f64> = moving.iter().flat_map(|[from, to]| drive.between(*from, *to).value).collect();
    let driven: f64 = moving.iter().map(|[from, to]| to - from).sum();
    let (readings, u) = if driven >= LEAST_S { (&at_speed, LEVEL_DRIVEN_U) } else { (&drive.value, LEVEL_STANDING_U) };
    robust::quantile(readings, 0.25).map(|reading| Estimate::normal(reading + excess, u, Unit::Celsius))
}

/// Highest mean over `length` seconds within the stretches, above the level.
fn rise_above(drive: &Trace, stretches: &[[f64; 2]], length: f64, level: &Estimate) -> Option<Estimate> {
    let seen: f64 = stretches.iter().map(|[from, to]| to - from).sum();
    let highest = stretches.iter().filter_map(|[from, to]| highest_mean(&drive.between(*from, *to), length)).max_by(f64::total_cmp);
    // No stretch as long as the mean: what short ones reach bounds it from above, so their whole does.
    let highest = highest.or_else(|| {
        let readings: Vec<f64> = stretches.iter().flat_map(|[from, to]| drive.between(*from, *to).value).collect();
        robust::quantile(&readings, 0.9)
    })?;
    (seen >= LEAST_S).then_some(())?;
    let reading = highest + reported_degrees::mean_excess(drive.step);
    let u = (0.3 * drive.step).hypot(level.standard_uncertainty);
    Some(Estimate::normal(reading - level.value, u, Unit::Kelvin))
}

/// Highest mean over `length` seconds in one stretch; `None` if it is shorter.
fn highest_mean(stretch: &Trace, length: f64) -> Option<f64> {
    let (mut first, mut sum, mut best) = (0, 0.0, None::<f64>);
    let begins = *stretch.time.first()?;
    for (i, (time, value)) in stretch.iter().enumerate() {
        sum += value;
        while stretch.time[first] < time - length {
            sum -= stretch.value[first];
            first += 1;
        }
        if time - begins >= length {
            let mean = sum / (i + 1 - first) as f64;
            best = Some(best.map_or(mean, |best| best.max(mean)));
        }
    }
    best
}

/// Everything that decides the state.
struct Seen<'a> {
    rise_standing: Option<Estimate>,
    rise_moving: Option<Estimate>,
    load_slope: Option<Estimate>,
    seen_s: [f64; 2],
    road_speed: bool,
    fan: &'a fan_cycles::FanCycles,
}

/// The state, and what it leaves open.
fn judge(seen: &Seen) -> (State, Option<String>) {
    let beyond = |rise: &Option<Estimate>, limit: f64| rise.is_some_and(|rise| rise.interval_95[0] > limit);
    let inside = |rise: &Option<Estimate>, limit: f64| rise.is_some_and(|rise| rise.interval_95[1] <= limit);
    // One long climb is one independent observation, too few for a slope that is significant. So the slope need only explain half of the rise, and not be
    // significantly a fall: a mapped valve that opens further under load makes a high reading at little load, which is no radiator's doing.
    if let Some(rise) = seen.rise_moving.filter(|rise| rise.interval_95[0] > MOVING_ORDINARY_K) {
        let with_load = seen.load_slope.is_some_and(|slope| slope.value >= 0.5 * rise.value && slope.interval_95[1] > 0.0);
        return match with_load {
            true => (State::RisesWithLoad, None),
            false => (
                State::NotObservable,
                Some("the reading rises at road speed, but not with the load; repeat with a longer, steady climb".to_owned()),
            ),
        };
    }
    let cycling = seen.fan.cycles.len() >= fan_cycles::FEWEST;
    if beyond(&seen.rise_standing, STANDING_ORDINARY_K) && !cycling {
        // A cure by road speed is seen where the moving reading lies lower by more than the two together are uncertain.
        let cured =
            seen.rise_standing.zip(seen.rise_moving).is_some_and(|(standing, moving)| standing.interval_95[0] > moving.interval_95[1]);
        let left_open = (!cured).then(|| "the log has no drive at road speed that would show whether moving air cures it".to_owned());
        return (State::RisesAtIdle, left_open);
    }
    let standing_fine = cycling || inside(&seen.rise_standing, STANDING_ORDINARY_K);
    let moving_fine = inside(&seen.rise_moving, MOVING_ORDINARY_K);
    let fan_needed = cycling || seen.rise_standing.is_some_and(|rise| rise.interval_95[1] > FAN_NEEDED_K);
    match (standing_fine, moving_fine) {
        (true, true) if !fan_needed => {
            (State::Ordinary, Some("the vehicle never stood long enough to need the fan, so a weak one would not show".to_owned()))
        }
        (true, true) => (State::Ordinary, None),
        (true, false) if seen.seen_s[1] < LEAST_S => {
            (State::Ordinary, Some("the log shows it at standstill only, not under load".to_owned()))
        }
        (false, true) if seen.seen_s[0] < LEAST_S => {
            (State::Ordinary, Some("the log shows it at road speed only, not standing".to_owned()))
        }
        _ if !seen.road_speed => {
            (State::NotObservable, Some("the log has no road speed, so standing and driving cannot be told apart".to_owned()))
        }
        _ if seen.seen_s[0] < LEAST_S && seen.seen_s[1] < LEAST_S => (
            State::NotObservable,
            Some("the vehicle neither stands nor drives for two minutes after the thermostat opens; drive on for 5 min more".to_owned()),
        ),
        _ => (
            State::NotObservable,
            Some("the rise lies at the edge of what is ordinary; repeat with a longer standstill and a longer climb".to_owned()),
        ),
    }
}
