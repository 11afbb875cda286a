//! Warm-up: how fast does the reading rise from 40 to 70 °C?
//!
//! The mean rise between two levels needs only the two moments at which the reading crosses them for the first time:
//!
//! ```text
//! rate = (to − from) / (t_to − t_from)
//! ```
//!
//! A reading in steps shows a level only when it changes. If the unit cuts off, the change to 70 is the crossing of 70; if it
//! rounds to nearest, it is the crossing of 69½, and 70 is crossed halfway to the next change. Both are computed; their mean is
//! the value and half their difference part of the uncertainty, together with the spacing of the readings at both moments.
//!
//! Where the log has not all of 40 to 70 °C, the part that it has is taken, 10 K at least; the answer says which.
//!
//! Limits: a mean over the whole rise; stops and idling on the way are in it, so the idle share is given beside it. Which heat
//! came in is not asked here.

use crate::analysis::ambient::Ambient;
use crate::analysis::heat_input::HeatInput;
use crate::analysis::opening::Opening;
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::{Run, Trace};
use serde::Serialize;

/// Levels between which the rate is taken, °C.
pub const LEVELS_C: [f64; 2] = [40.0, 70.0];

/// Least part of that range, in kelvin: below it rounding makes a tenth of the rate.
pub const LEAST_RISE_K: f64 = 10.0;

/// A sensor's own noise, in kelvin (memory).
const NOISE_K: f64 = 0.15;

/// How far a flicker reaches above a level, in kelvin: three standard deviations of a sensor's noise (memory).
const FLICKER_K: f64 = 0.6;

/// What was found about the warm-up.
#[derive(Clone, Debug, Default, Serialize)]
pub struct WarmUp {
    /// Mean rise from 40 to 70 °C, or the part of it that the log has.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rate: Option<Estimate>,
    /// Readings between which it was taken, °C.
    #[serde(skip)]
    pub between: [f64; 2],
    /// When those were crossed, in seconds from the first row.
    #[serde(skip)]
    pub crossed_s: [f64; 2],
    /// Share of that time in which the vehicle stood; `None` if the log has no road speed.
    #[serde(skip)]
    pub standing_share: Option<f64>,
    /// Mean heat input over that time against the drive's median.
    #[serde(skip)]
    pub relative_heat: f64,
    /// Ambient temperature taken, °C.
    #[serde(skip)]
    pub ambient: Option<Estimate>,
    /// Why the log cannot tell, where it cannot.
    #[serde(skip)]
    pub because: Option<String>,
}

impl WarmUp {
    /// Examines a run.
    pub fn of(run: &Run, phases: &Phases, heat: &HeatInput, ambient: &Ambient, _opening: &Opening) -> Self {
        let silent = |because: String| Self { because: Some(because), ..Self::default() };
        let Some(coolant) = run.trace(Channel::CoolantTemperature) else { return silent("the log has no coolant temperature".to_owned()) };
        let drive = coolant.between(phases.fired_s, phases.drive_end(run));
        // Coolant that stood at a warm sensor is swept away in the first half minute: the rise begins where the reading is
        // lowest.
        let begins = drive.between(phases.fired_s, phases.fired_s + 30.0);
        let (begins_s, lowest) = begins.iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((phases.fired_s, f64::NAN));
        let drive = drive.between(begins_s, f64::INFINITY);
        let highest = drive.value.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        // One step above the first reading is the first crossing that the log shows; one step below the highest is the last.
        let step = drive.step;
        let from = LEVELS_C[0].max((lowest + step.max(0.5)).ceil());
        let to = LEVELS_C[1].min((highest - step).floor());
        if from.is_nan() || to.is_nan() || from > LEVELS_C[1] - LEAST_RISE_K {
            return silent(format!(
                "the log starts at {lowest:.0} °C, too warm to see the rise from 40 to 70 °C; start from cold next time"
            ));
        }
        if to < from + LEAST_RISE_K {
            return silent(format!(
                "the reading goes no higher than {highest:.0} °C in this log; let it run until the thermostat has opened"
            ));
        }
        let crossings = [Way::CutOff, Way::Nearest].map(|way| Some([crossing(&drive, from, way)?, crossing(&drive, to, way)?]));
        let [Some(cut), Some(nearest)] = crossings else {
            return silent("the reading does not rise steadily enough to time it".to_owned());
        };
        let lasted = [cut[1] - cut[0], nearest[1] - nearest[0]];
        let seconds = 0.5 * (lasted[0] + lasted[1]);
        if seconds <= 0.0 || lasted.iter().any(|s| *s <= 0.0) {
            return silent("the reading jumps past the rise from 40 to 70 °C".to_owned());
        }
        let crossed_s = [0.5 * (cut[0] + nearest[0]), 0.5 * (cut[1] + nearest[1])];
        let rate = (to - from) / seconds * 60.0;
        // The two ways are the ends of what can be; a reading is as old as anything up to the time since the one before.
        let by_way = 0.5 * (lasted[0] - lasted[1]).abs();
        let by_polling = crossed_s.map(|at| polling(&drive, at) / 12f64.sqrt());
        let by_noise = crossed_s.map(|at| (0.3 * step).hypot(NOISE_K) / slope_about(&drive, at, step));
        let u = by_way.hypot(by_polling[0]).hypot(by_polling[1]).hypot(by_noise[0]).hypot(by_noise[1]);
        let within = |trace: &Trace| trace.between(crossed_s[0], crossed_s[1]).value;
        let standing_share = run.trace(Channel::VehicleSpeed).map(within).filter(|speeds| !speeds.is_empty());
        let heats = within(&heat.relative);
        Self {
            rate: Some(Estimate::normal(rate, rate * u / seconds, Unit::KelvinPerMinute)),
            between: [from, to],
            crossed_s,
            standing_share: standing_share.map(|speeds| speeds.iter().filter(|speed| **speed < 3.0).count() as f64 / speeds.len() as f64),
            relative_heat: if heats.is_empty() { 1.0 } else { heats.iter().sum::<f64>() / heats.len() as f64 },
            ambient: Some(ambient.temperature),
            because: None,
        }
    }

    /// What was found, in a sentence.
    pub fn spoken(&self) -> String {
        match (&self.rate, &self.because) {
            (Some(rate), _) => {
                let how = match self.standing_share {
                    Some(share) if share > 0.9 => ", standing".to_owned(),
                    Some(share) if share < 0.1 => ", driving".to_owned(),
                    Some(share) => format!(", standing {:.0} % of the time", 100.0 * share),
                    None => String::new(),
                };
                format!("From {:.0} to {:.0} °C the reading rises by {}{how}.", self.between[0], self.between[1], rate.spoken())
            }
            (None, Some(because)) => format!("The rate of the warm-up cannot be told: {because}."),
            (None, None) => "The rate of the warm-up cannot be told.".to_owned(),
        }
    }
}

/// How the unit drops what is finer than its step.
#[derive(Clone, Copy)]
enum Way {
    CutOff,
    Nearest,
}

/// When the signal behind the readings first crosses `level`, in seconds.
fn crossing(drive: &Trace, level: f64, way: Way) -> Option<f64> {
    let above = |level: f64| drive.value.iter().position(|value| *value >= level);
    let first = |level: f64| {
        let at = above(level)?;
        let (t1, y1) = (*drive.time.get(at)?, *drive.value.get(at)?);
        let before = at.checked_sub(1)?;
        let (t0, y0) = (*drive.time.get(before)?, *drive.value.get(before)?);
        // Where readings jump by several steps (slow polling) the level lies between them.
        let share = if y1 > y0 && y1 - y0 > 1.5 * drive.step { ((level - y0) / (y1 - y0)).clamp(0.0, 1.0) } else { 1.0 };
        // A noisy reading flickers about the level: it is crossed halfway between the first time above and the last below.
        let past = above(level + drive.step.max(FLICKER_K)).unwrap_or(at);
        let last_below = (at..past).rev().find(|&i| drive.value.get(i).is_some_and(|value| *value < level));
        let last = last_below.and_then(|i| drive.time.get(i + 1)).copied().unwrap_or(t1);
        Some(t0 + share * (t1 - t0) + 0.5 * (last - t1))
    };
    match way {
        Way::CutOff => first(level),
        Way::Nearest => Some(0.5 * (first(level)? + first(level + drive.step)?)),
    }
}

/// Seconds between changes of the rows about a moment: how old a reading may be.
fn polling(drive: &Trace, at: f64) -> f64 {
    let near = drive.between(at - 30.0, at + 30.0);
    let gaps: Vec<f64> = near.time.windows(2).map(|pair| pair[1] - pair[0]).collect();
    // Rows repeat readings: a channel polled in turn is two or more rows old, half a minute at the most.
    robust::quantile(&gaps, 0.9).map_or(5.0, |gap| (2.0 * gap).min(30.0))
}

/// Rise about a moment, in K/s, over three steps either way; at least 0.5 K/min.
fn slope_about(drive: &Trace, at: f64, step: f64) -> f64 {
    let reach = 3.0 * step.max(0.5);
    let level = drive.at(at).unwrap_or(f64::NAN);
    let time_of = |wanted: f64| drive.iter().find(|(_, value)| *value >= wanted).map(|(time, _)| time);
    match (time_of(level - reach), time_of(level + reach)) {
        (Some(from), Some(to)) if to > from => (2.0 * reach / (to - from)).max(0.5 / 60.0),
        _ => 2.0 / 60.0,
    }
}
