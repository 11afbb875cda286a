//! Heat rejection: do fan and radiator carry away what the engine gives, standing and at speed?
//!
//! While they do, the thermostat decides the reading: it holds a level, a loaded engine lifts it by at most the travel of the
//! wax, and at standstill the fan cuts a saw-tooth under a ceiling. Where they do not, the valve is fully open and the reading
//! leaves that range. So two rises above the level are measured as means over a minute, each with its uncertainty:
//!
//! - *standing*: the highest mean over a minute at standstill or in a crawl. A weak fan lets it climb; road speed cures it;
//! - *under load*: the same at road speed. A blocked radiator lets it climb with the heat input; the regression of the reading on
//!   lagged heat input at road speed must explain half of the rise.
//!
//! Each is held against what a healthy system can do ([`STANDING_ORDINARY_K`], [`MOVING_ORDINARY_K`]): an interval wholly beyond
//! is a rise, wholly inside is ordinary, straddling cannot be told. Falls are never counted against it: a descent, moving off after
//! the fan's work or an accessory coming on let a healthy reading drop by more than 10 K. One fall counts for it: a standing
//! reading that has risen far enough to call for a fan ([`FAN_NEEDED_K`]) must be seen to fall again while the vehicle stands, else
//! nothing can be told, for a dead fan looks the same until the reading has climbed further.
//!
//! Limits: a weak fan shows only if the vehicle stands for minutes, a half-blocked radiator only under a load that a short drive
//! may never see.
//!
//! # References
//!
//! - `docs/detectors/heat_rejection.md`: the ranges, their marks and what was measured.

pub mod fan_cycles;
mod load_slope;
mod rises;

use crate::analysis::ambient::Ambient;
use crate::analysis::heat_input::HeatInput;
use crate::analysis::opening::{Opening, State as Valve};
use crate::analysis::phases::Phases;
use crate::analysis::reported_degrees;
use crate::channel::Channel;
use crate::estimate::Estimate;
use crate::run::Run;
use serde::Serialize;

/// Largest ordinary rise at standstill above the level that the valve begins to hold, in kelvin: fans switch on 8 to 14 K above
/// the stamped rating and the reading overshoots by a kelvin or two (common practice, no source).
pub const STANDING_ORDINARY_K: f64 = 16.0;

/// Largest ordinary rise at road speed above the same level, in kelvin: the wax travels over 10 to 15 K (memory), and with the
/// valve on the inlet the rise through the engine grows with load by a few kelvin.
pub const MOVING_ORDINARY_K: f64 = 16.0;

/// Rise at standstill below which no fan has been asked for, in kelvin: fans switch on 8 K and more above the stamped rating
/// (common practice, no source).
pub const FAN_NEEDED_K: f64 = 7.0;

/// Least time at standstill or at road speed from which it is called ordinary, in seconds; a rise shows sooner.
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

/// What the stretches at standstill show of the fan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Fan {
    /// The reading rose as far as a fan lets it and fell again.
    Works,
    /// The vehicle never stood for two minutes.
    NoStand,
    /// It stood, but the reading never rose far enough to call for a fan.
    #[default]
    NotNeeded,
    /// The reading rose that far and was not seen to fall again.
    NoFallSeen,
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
    /// What standing shows of the fan.
    #[serde(skip)]
    pub fan: Fan,
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
                return silent("the thermostat is open throughout");
            }
            Valve::NotReached => return silent("the thermostat did not open"),
            Valve::NotObservable => return silent("the log does not show the thermostat opening"),
        };
        let end = phases.drive_end(run);
        let drive = coolant.between(opened_s, end);
        let cycles = fan_cycles::find(run, phases, opening);
        let standing = run.trace(Channel::VehicleSpeed).map(|_| fan_cycles::slow_stretches(run, opened_s, end)).unwrap_or_default();
        let moving = rises::moving_stretches(run, opened_s, end);
        let Some(level) = rises::level(&drive, opening, &moving) else {
            return silent("there are too few readings after the thermostat opens");
        };
        let (rise_standing, rise_moving) = (rises::above(&drive, &standing, &level), rises::above(&drive, &moving, &level));
        let load_slope = load_slope::find(&drive, phases, heat, &moving);
        let seen_s = [&standing, &moving].map(|stretches| stretches.iter().map(|[from, to]| to - from).sum());
        let cycling = cycles.cycles.len() >= fan_cycles::FEWEST;
        let excess = reported_degrees::mean_excess(drive.step);
        let fell = rise_standing.is_some_and(|rise| cycles.cycles.iter().any(|cycle| cycle.crest + excess >= level.value + rise.value));
        let fan = match rise_standing {
            _ if cycling => Fan::Works,
            Some(rise) if rise.value >= FAN_NEEDED_K && fell => Fan::Works,
            Some(rise) if rise.value >= FAN_NEEDED_K => Fan::NoFallSeen,
            _ if seen_s[0] < LEAST_S => Fan::NoStand,
            _ => Fan::NotNeeded,
        };
        let road_speed = run.trace(Channel::VehicleSpeed).is_some();
        let (state, because) = judge(&Seen { rise_standing, rise_moving, load_slope, seen_s, road_speed, cycling, fan });
        let fan_cycles::FanCycles { cycles, on: fan_on, off: fan_off } = cycles;
        Self { state, fan_on, fan_off, fan, cycles, rise_standing, rise_moving, load_slope, seen_s, because }
    }

    /// What was found, in sentences.
    pub fn spoken(&self) -> Vec<String> {
        let because = self.because.as_deref().unwrap_or("the log does not show it");
        let rise = |rise: &Option<Estimate>| rise.map(|rise| rise.spoken_whole()).unwrap_or_default();
        let mut sentences = match self.state {
            State::NotObservable => vec![format!("Fan and radiator cannot be judged: {because}.")],
            State::RisesAtIdle => vec![format!(
                "Fan: standing, the reading rose by {} above the level that the thermostat holds; a working fan stops it by {STANDING_ORDINARY_K:.0} K.",
                rise(&self.rise_standing)
            )],
            State::RisesWithLoad => vec![format!(
                "Radiator: at road speed the reading rose with the load, by {} above the level that the thermostat holds; up to \
                 {MOVING_ORDINARY_K:.0} K is ordinary.",
                rise(&self.rise_moving)
            )],
            State::Ordinary => {
                let radiator = match self.seen_s[1] >= LEAST_S {
                    true => "Radiator: no unusual rise.",
                    false => "Radiator: not tested, the vehicle never drove long enough at road speed.",
                };
                let fan = match self.fan {
                    Fan::Works => "Fan: the reading rose standing and fell again, as a fan makes it.",
                    Fan::NoStand => "Fan: not tested, the vehicle never stood long enough.",
                    Fan::NotNeeded | Fan::NoFallSeen => "Fan: not tested, the reading never rose far enough to call for it.",
                };
                vec![radiator.to_owned(), fan.to_owned()]
            }
        };
        if let (Some(on), Some(off)) = (&self.fan_on, &self.fan_off) {
            sentences.push(format!("It switches on at {} and off at {}, {} times.", on.spoken(), off.spoken(), self.cycles.len()));
        }
        if matches!(self.state, State::RisesAtIdle | State::RisesWithLoad) && self.because.is_some() {
            sentences.push(format!("{}.", capitalised(because)));
        }
        sentences
    }
}

/// The first letter in capitals.
fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Everything that decides the state.
struct Seen {
    rise_standing: Option<Estimate>,
    rise_moving: Option<Estimate>,
    load_slope: Option<Estimate>,
    seen_s: [f64; 2],
    road_speed: bool,
    cycling: bool,
    fan: Fan,
}

/// The state, and why it cannot be told or what it leaves open.
fn judge(seen: &Seen) -> (State, Option<String>) {
    let beyond = |rise: &Option<Estimate>, limit: f64| rise.is_some_and(|rise| rise.interval_95[0] > limit);
    let inside =
        |rise: &Option<Estimate>, seen_s: f64, limit: f64| seen_s >= LEAST_S && rise.is_some_and(|rise| rise.interval_95[1] <= limit);
    let unknown = |because: &str| (State::NotObservable, Some(because.to_owned()));
    // One long climb is one independent observation, too few for a slope that is significant. So the slope need only explain half
    // of the rise, and not be significantly a fall (too short a drive for a slope says neither): a mapped valve that opens
    // further under load makes a high reading at little load, which is no radiator's doing.
    if let Some(rise) = seen.rise_moving.filter(|rise| rise.interval_95[0] > MOVING_ORDINARY_K) {
        let with_load = seen.load_slope.is_none_or(|slope| slope.value >= 0.5 * rise.value && slope.interval_95[1] > 0.0);
        return match with_load {
            true => (State::RisesWithLoad, None),
            false => unknown("the reading rises at road speed, but not with the load; repeat with a longer, steady climb"),
        };
    }
    if beyond(&seen.rise_standing, STANDING_ORDINARY_K) && !seen.cycling {
        // A cure by road speed is seen where the moving reading lies lower by more than the two together are uncertain.
        let cured =
            seen.rise_standing.zip(seen.rise_moving).is_some_and(|(standing, moving)| standing.interval_95[0] > moving.interval_95[1]);
        let left_open = (!cured).then(|| "the log has no drive at road speed that would show whether moving air cures it".to_owned());
        return (State::RisesAtIdle, left_open);
    }
    if let (Fan::NoFallSeen, Some(rise)) = (seen.fan, seen.rise_standing) {
        let rose = rise.spoken_whole();
        return unknown(&format!(
            "standing, the reading rose by {rose} and was not seen to fall again, as a fan makes it; let it stand for longer"
        ));
    }
    let standing_fine = seen.cycling || inside(&seen.rise_standing, seen.seen_s[0], STANDING_ORDINARY_K);
    let moving_fine = inside(&seen.rise_moving, seen.seen_s[1], MOVING_ORDINARY_K);
    match (standing_fine, moving_fine) {
        (true, true) => (State::Ordinary, None),
        (true, false) if seen.seen_s[1] < LEAST_S => (State::Ordinary, None),
        (false, true) if seen.seen_s[0] < LEAST_S => (State::Ordinary, None),
        _ if !seen.road_speed => unknown("the log has no road speed, so standing and driving cannot be told apart"),
        _ if seen.seen_s[0] < LEAST_S && seen.seen_s[1] < LEAST_S => {
            unknown("the vehicle neither stood nor drove for two minutes after the thermostat opened")
        }
        _ => unknown("the rise lies at the edge of what is ordinary; repeat with a longer standstill and a longer climb"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::Unit;

    /// Ten minutes standing with this rise, ten at road speed with an ordinary one.
    fn stood(rise: f64, fan: Fan) -> State {
        let kelvin = |value: f64| Some(Estimate::normal(value, 1.0, Unit::Kelvin));
        let seen = Seen {
            rise_standing: kelvin(rise),
            rise_moving: kelvin(4.0),
            load_slope: None,
            seen_s: [600.0, 600.0],
            road_speed: true,
            cycling: false,
            fan,
        };
        judge(&seen).0
    }

    #[test]
    fn a_rise_that_calls_for_a_fan_is_ordinary_only_if_it_falls_again() {
        assert_eq!(stood(3.0, Fan::NotNeeded), State::Ordinary);
        assert_eq!(stood(9.0, Fan::Works), State::Ordinary);
        assert_eq!(stood(9.0, Fan::NoFallSeen), State::NotObservable);
        assert_eq!(stood(20.0, Fan::NoFallSeen), State::RisesAtIdle);
    }
}
