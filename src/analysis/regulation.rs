//! Regulation: which band does the thermostat hold, when is it reached, how does the reading swing in it, and what moves it?
//!
//! Asked only where the valve is open: opened in this log, or open when it starts. `settling` finds the moment, `band` the
//! percentiles, the swing is a peak that stands out of drifting noise ([`oscillation`]), `movers` tells what speed and load do,
//! and a fan is told by its saw-tooth at standstill ([`fan_cycles`]). What is left, a regular swing that nothing moves, is the
//! valve's own hysteresis.
//!
//! Two more numbers are for whoever judges: the drift over the hold (the median of all slopes, whose interval knows that readings
//! are correlated) and the farthest excursion from the middle. Neither is a fault by itself: hysteresis, fan, traffic and long
//! descents move a reading.
//!
//! Limits: a hold of `settling`'s least length at least; under [`FIRM_HOLD_S`] the band is given and said to be short.
//!
//! # References
//!
//! - `docs/detectors/regulation.md`: definitions, uncertainty and what was measured.

mod band;
mod movers;
mod settling;

pub use movers::Move;

use crate::analysis::ambient::Ambient;
use crate::analysis::heat_input::HeatInput;
use crate::analysis::heat_rejection::fan_cycles;
use crate::analysis::opening::{Opening, State};
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::{autocorrelation, moments, oscillation, robust};
use crate::run::{Run, Trace};
use serde::Serialize;

/// A hold from which the band is firm, in seconds: two slow swings of a driven car (half to two minutes each in public warm-ups).
pub const FIRM_HOLD_S: f64 = 120.0;

/// Shortest and longest swing looked for, in seconds: slower than a sensor's own answer, faster than a stretch of traffic.
const SWING_S: [f64; 2] = [25.0, 240.0];

/// What was found about the regulation.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Regulation {
    /// 5th percentile by time of the coolant temperature from settled to the end of the drive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<Estimate>,
    /// 95th percentile.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<Estimate>,
    /// Length of one swing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swing_period: Option<Estimate>,
    /// From the middle of the swing to its crest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swing_amplitude: Option<Estimate>,
    /// When the reading settles, from the first row.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settling_time: Option<Estimate>,
    /// What moves the reading: "speed", "load", "fan".
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub moved_by: Vec<&'static str>,
    /// How far speed and load move it.
    #[serde(skip)]
    pub moves: Vec<Move>,
    /// Whether the swing keeps one period; `None` without a swing.
    #[serde(skip)]
    pub regular: Option<bool>,
    /// Change over the whole hold, by the median slope.
    #[serde(skip)]
    pub drift: Option<Estimate>,
    /// Farthest reading from the median, with its sign, in kelvin, and when.
    #[serde(skip)]
    pub farthest: Option<(f64, f64)>,
    /// Median reading of the hold, °C.
    #[serde(skip)]
    pub middle: Option<f64>,
    /// Standard uncertainty of low and high as those of the vehicle rather than of this drive, in kelvin: for comparing drives.
    #[serde(skip)]
    pub of_another_drive: Option<[f64; 2]>,
    /// For how long the reading was seen to be held, in seconds; gaps do not count.
    #[serde(skip)]
    pub held_s: f64,
    /// Readings of the hold.
    #[serde(skip)]
    pub held: Trace,
    /// Why the log cannot tell, where it cannot.
    #[serde(skip)]
    pub because: Option<String>,
}

impl Regulation {
    /// Examines a run.
    pub fn of(run: &Run, phases: &Phases, _heat: &HeatInput, _ambient: &Ambient, opening: &Opening) -> Self {
        let silent = |because: String| Self { because: Some(because), ..Self::default() };
        let lift = match opening.state {
            State::Opened => opening.time.as_ref(),
            State::AlreadyOpen => None,
            State::NotReached => return silent("the thermostat does not open in this log".to_owned()),
            State::OpenThroughout => return silent("the thermostat is open throughout and regulates nothing".to_owned()),
            State::NotObservable => return silent("the log does not show the thermostat opening".to_owned()),
        };
        let Some(coolant) = run.trace(Channel::CoolantTemperature) else { return silent("the log has no coolant temperature".to_owned()) };
        let end = phases.drive_end(run);
        let drive = coolant.between(phases.fired_s, end);
        let Some(settled) = settling::find(&drive, lift) else { return silent(too_short(&drive, lift)) };
        let held = drive.between(settled.value, end);
        let held_s: f64 = held_times(&held.time).iter().sum();
        if held_s < settling::LEAST_HOLD_S {
            return silent("the log has hardly a reading after the thermostat opens; drive on for 5 min more".to_owned());
        }
        // What settles in a gap is seen to hold from the end of it.
        let unseen = held.time.first().map_or(0.0, |first| first - settled.value);
        let settled = if unseen > settling::LEAST_HOLD_S { settled.shifted(unseen) } else { settled };
        let Some(band) = band::find(&drive, &settled) else { return silent(too_short(&drive, lift)) };
        let swing = oscillation::find(&held.time, &held.value, held.step, SWING_S[0], SWING_S[1]);
        let moves = movers::find(run, phases, &drive, settled.value);
        let fan = fan_cycles::find(run, phases, opening).cycles.len() >= fan_cycles::FEWEST;
        let named = moves.iter().map(|m| if m.input == Channel::VehicleSpeed { "speed" } else { "load" });
        let moved_by = named.chain(fan.then_some("fan")).collect();
        let middle = robust::weighted_quantile(&held.value, &held_times(&held.time), 0.5);
        Self {
            low: Some(band.low),
            high: Some(band.high),
            swing_period: swing.map(|s| Estimate::normal(s.period, s.period_deviation, Unit::Second)),
            swing_amplitude: swing.map(|s| Estimate::normal(s.amplitude, s.amplitude_deviation, Unit::Kelvin)),
            settling_time: Some(settled),
            moved_by,
            moves,
            regular: swing.map(|s| s.periodic),
            drift: drift(&held),
            farthest: middle.and_then(|middle| farthest(&held, middle)),
            middle,
            of_another_drive: Some(band.of_another_drive),
            held_s,
            held,
            because: None,
        }
    }

    /// Share of the hold in which the reading, as reported, stays from `low` to `high` °C; `None` without a hold.
    pub fn share_between(&self, low: f64, high: f64) -> Option<f64> {
        let weights = held_times(&self.held.time);
        let total: f64 = weights.iter().sum();
        let inside: f64 =
            self.held.value.iter().zip(&weights).filter(|(value, _)| (low..=high).contains(*value)).map(|(_, weight)| weight).sum();
        (total > 0.0).then(|| inside / total)
    }

    /// 5 %, 50 % and 95 % points by time of the first ten minutes of the hold, °C: what the valve does before a long stand or a climb asks
    /// more of the vehicle than of the valve.
    pub fn at_first(&self) -> Option<[f64; 3]> {
        let from = *self.held.time.first()?;
        let first = self.held.between(from, from + 600.0);
        let weights = held_times(&first.time);
        let point = |share: f64| robust::weighted_quantile(&first.value, &weights, share);
        Some([point(0.05)?, point(0.5)?, point(0.95)?])
    }

    /// Whether the hold is long enough for a band that another drive would repeat.
    pub fn is_firm(&self) -> bool {
        self.held_s >= FIRM_HOLD_S
    }

    /// What was found, in sentences.
    pub fn spoken(&self) -> Vec<String> {
        if let Some(because) = &self.because {
            return vec![format!("Regulation cannot be told: {because}.")];
        }
        let mut sentences = Vec::new();
        if let (Some(low), Some(high), Some(settled)) = (&self.low, &self.high, &self.settling_time) {
            let hold = if self.is_firm() { format!("{:.0} min", self.held_s / 60.0) } else { format!("only {:.0} s", self.held_s) };
            sentences.push(format!(
                "From {:.0} s on the reading holds {} to {} for nine tenths of the time, over {hold}.",
                settled.value,
                low.spoken(),
                high.spoken()
            ));
        }
        if let (Some(period), Some(amplitude)) = (&self.swing_period, &self.swing_amplitude) {
            let how = if self.regular == Some(true) { "regularly, every" } else { "without one period, about every" };
            sentences.push(format!("It swings {how} {}, by {} either way.", period.spoken(), amplitude.spoken()));
        }
        match self.moved_by.as_slice() {
            [] if self.regular == Some(true) => {
                sentences.push("Nothing logged moves it, as with a valve that opens and closes at different readings.".to_owned())
            }
            [] => {}
            named => sentences.push(format!("What moves it: {}.", named.join(", "))),
        }
        sentences
    }
}

/// Why there is no band, with what to do.
fn too_short(drive: &Trace, lift: Option<&Estimate>) -> String {
    let last = drive.time.last().copied().unwrap_or(0.0);
    let since = lift.map_or(last - drive.time.first().copied().unwrap_or(0.0), |lift| last - lift.value).max(0.0);
    // A minute for the overshoot and two stretches of two minutes decide whether it has settled.
    let needed = 300.0;
    if since < needed {
        format!(
            "the log ends {since:.0} s after the thermostat opens; drive on for {:.0} min more",
            ((needed - since) / 60.0).ceil().max(1.0)
        )
    } else {
        "the reading does not settle before the log ends; drive on for 5 min more".to_owned()
    }
}

/// Change over the hold by the median of all slopes.
fn drift(held: &Trace) -> Option<Estimate> {
    let thinned = thinned(held, 5.0);
    let span = thinned.time.last()? - thinned.time.first()?;
    let line = robust::theil_sen(&thinned.time, &thinned.value, |slope, intercept| {
        let residuals: Vec<f64> = thinned.iter().map(|(time, value)| value - intercept - slope * time).collect();
        autocorrelation::of_residuals(&thinned.time, &residuals, 2).n_eff
    })?;
    Some(Estimate::from_interval(line.slope * span, line.interval_95.map(|slope| slope * span), Unit::Kelvin))
}

/// Farthest reading from `middle`, and when.
fn farthest(held: &Trace, middle: f64) -> Option<(f64, f64)> {
    held.iter().map(|(time, value)| (value - middle, time)).max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
}

/// How long each reading stands, a gap in the log weighing no more than three ordinary readings.
fn held_times(time: &[f64]) -> Vec<f64> {
    let gaps: Vec<f64> = time.windows(2).map(|pair| pair[1] - pair[0]).collect();
    robust::holding_times(time, 3.0 * robust::median(&gaps).unwrap_or(1.0))
}

/// Means over steps of `width` seconds that hold a reading.
fn thinned(trace: &Trace, width: f64) -> Trace {
    let (time, value) = moments::thinned(&trace.time, &trace.value, width);
    Trace { time, value, step: trace.step }
}
