//! Opening: did the thermostat open, when, and at what reading?
//!
//! The opening is the departure from the closed-valve warm-up ([`crate::analysis::warm_up_model`]). Four things are asked of a departure before
//! it is believed, and they are added up as a log odds ([`Weighing`]):
//!
//! 1. *Fit*: how much better is the log explained with heat taken away in proportion to the excess over some reading than without?
//!    The comparison is made in a window that ends `WATCH_S` after that reading is first met, so that a rise which resumes
//!    after a stop or a crawl speaks against it.
//! 2. *Share*: how much of the rise does it take? An open valve takes most of it; a stop, an accessory or a model error takes
//!    some.
//! 3. *Place*: thermostats open between about 76 and 105 °C.
//! 4. *Afterwards*: does the reading hold near there, does it leave the place far behind, and did the heat ease off just then?
//!
//! Where that is not enough, every moment of the rise at which the taking-away may begin is tried in one common window (`moments`), and an
//! opening is believed on that evidence too. The knee is then placed by a finer scan over the moment about the departure; its interval comes
//! from the likelihood profile over that moment. The first lift comes a little before the knee that an eye sees: the wax must move some way
//! before the reading shows it, and the water of an inlet-side valve must first pass the engine.
//!
//! Limits: one opening, the first of the drive, within [`LONGEST_RISE_S`] of the first combustion; a log that starts hot and does not rise is
//! already open; a cold engine that cannot warm up because the radiator is in the circuit is told from one that had no time by its loss
//! to the air.
//!
//! # References
//!
//! - Kass, R. E. and Raftery, A. E. (1995). Bayes factors. *J. Am. Stat. Assoc.* 90, 773–795 (scale of evidence).
//! - Lerman, P. M. (1980). Fitting segmented regression models by grid search. *J. R. Stat. Soc. C* 29(1), 77–84 (profile).

mod departure;
mod knee;
mod moments;
mod throughout;
mod valve;

pub use departure::Weighing;

use crate::analysis::ambient::Ambient;
use crate::analysis::heat_input::HeatInput;
use crate::analysis::phases::Phases;
use crate::analysis::warm_up_model::{Grid, Radiator, WarmUpModel};
use crate::channel::Channel;
use crate::estimate::Estimate;
use crate::numeric::robust;
use crate::run::{Run, Trace};
use departure::WATCH_S;
use serde::Serialize;
use valve::Afterwards;

/// Log odds from which an opening is believed: about 240 to 1. Held against made logs and real ones in `docs/detectors/opening.md`.
const BELIEVED: f64 = 5.5;

/// The same for the evidence of the whole rise, whose fit counts for less than its face value. Held against the same logs.
const BELIEVED_WHOLE: f64 = 6.0;

/// Reading from which an engine that does not rise counts as already open, °C: below the lowest rating in use (memory: 71 °C in
/// old engines) no valve is open.
const HOT_START_C: f64 = 70.0;

/// How much of a rise is looked at, in seconds. Engines warm up within half an hour driven and two hours idling in the cold (common
/// practice, no source); six hours bound the work for logs of days.
pub const LONGEST_RISE_S: f64 = 6.0 * 3600.0;

/// What the log shows of the opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// The valve opened in this log.
    Opened,
    /// The log ends before the valve opens.
    NotReached,
    /// The radiator was in the circuit from the start.
    OpenThroughout,
    /// The engine was hot and the valve open when the log starts.
    AlreadyOpen,
    /// The log cannot tell.
    NotObservable,
}

/// What was found about the opening.
#[derive(Clone, Debug, Serialize)]
pub struct Opening {
    /// What the log shows.
    pub state: State,
    /// Reading at which the valve first lifts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature: Option<Estimate>,
    /// When it first lifts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time: Option<Estimate>,
    /// Reading at the visible knee.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub knee_temperature: Option<Estimate>,
    /// When the knee shows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub knee_time: Option<Estimate>,
    /// Rise of the reading over the minute before the knee, in K/s; at least half a kelvin a minute.
    #[serde(skip)]
    pub rise_before: f64,
    /// What spoke for and against.
    #[serde(skip)]
    pub weighing: Option<Weighing>,
    /// Highest reading of the drive, °C.
    #[serde(skip)]
    pub highest: f64,
    /// Why the log cannot tell, where it cannot.
    #[serde(skip)]
    pub because: Option<&'static str>,
}

/// How long a reading must be kept to count as the highest, in seconds: most values of a loose connector's burst are low, not high.
const KEPT_S: f64 = 30.0;

impl Opening {
    fn without_numbers(state: State, highest: f64, because: Option<&'static str>) -> Self {
        Self {
            state,
            temperature: None,
            time: None,
            knee_temperature: None,
            knee_time: None,
            rise_before: 0.0,
            weighing: None,
            highest,
            because,
        }
    }

    /// Examines a run.
    pub fn of(run: &Run, phases: &Phases, heat: &HeatInput, ambient: &Ambient) -> Self {
        let ambient = ambient.temperature.value;
        let Some(coolant) = run.trace(Channel::CoolantTemperature) else {
            return Self::without_numbers(State::NotObservable, f64::NAN, Some("the log has no coolant temperature"));
        };
        let end = phases.drive_end(run);
        let drive = coolant.between(phases.fired_s, end);
        let highest = robust::highest_kept(&drive.time, &drive.value, KEPT_S).map_or(f64::NEG_INFINITY, |(_, reading)| reading);
        let first = drive.between(phases.fired_s, phases.fired_s + 15.0);
        let Some(start_reading) = robust::median(&first.value).or(drive.value.first().copied()) else {
            return Self::without_numbers(State::NotObservable, highest, Some("there is no coolant reading while the engine runs"));
        };
        let afterwards = Afterwards::of(&drive, heat, phases);
        if starts_open(&drive, phases.fired_s, start_reading, afterwards.later(phases.fired_s).map(|later| later.level)) {
            return Self::without_numbers(State::AlreadyOpen, highest, None);
        }
        let (warm, longest) = (warmed_up(&drive.time, &drive.value, highest), phases.fired_s + LONGEST_RISE_S);
        let horizon = (warm + WATCH_S + 150.0).min(longest).min(end);
        let not_found = if warm > longest {
            Self::without_numbers(
                State::NotObservable,
                highest,
                Some("no opening shows in the first six hours, and the reading rises further after them"),
            )
        } else {
            Self::without_numbers(State::NotReached, highest, None)
        };
        let step = ((horizon - phases.fired_s) / 350.0).clamp(2.0, 12.0);
        let Some(grid) = Grid::of(run, phases, heat, ambient, phases.fired_s, horizon, step) else {
            return Self::without_numbers(
                State::NotObservable,
                highest,
                Some("there are too few coolant readings while the engine warms up"),
            );
        };
        let start = departure::fit_start(&grid, grid.reading.iter().copied().fold(f64::NEG_INFINITY, f64::max));
        let model = WarmUpModel::new(&grid, start, Radiator::ShutOff);
        let departures = departure::find(&grid, &model, start, &afterwards, start_reading);
        let departure = departure::best(&departures);
        if throughout::is_better(run, phases, heat, ambient, departure.map(|found| found.reading), &drive) {
            return Self::without_numbers(State::OpenThroughout, highest, None);
        }
        let Some(departure) = departure else { return not_found };
        let whole = || {
            let moments = moments::all(&grid, &model, start, departure, &departures, &afterwards);
            moments::likeliest(&moments)?.weighing(&grid, &model, departure)
        };
        let weighing = Some(departure.weighing).filter(|local| local.total() >= BELIEVED);
        match weighing.or_else(|| whole().filter(|whole| whole.total() >= BELIEVED_WHOLE)) {
            Some(weighing) => Self { weighing: Some(weighing), ..knee::place(&grid, &departures, &afterwards, coolant.step, highest) },
            None => Self { weighing: Some(departure.weighing), ..not_found },
        }
    }
}

/// Whether the engine is hot at the start and stands at the level that the drive holds or, in a log too short to show one, does not rise as a
/// closed engine must.
fn starts_open(drive: &Trace, fired: f64, start: f64, held: Option<f64>) -> bool {
    let early = drive.between(fired, fired + 150.0);
    let rise = early.value.iter().copied().fold(f64::NEG_INFINITY, f64::max) - start;
    start >= HOT_START_C && held.map_or(rise < 3.0, |held| start >= held - 3.0)
}

/// When the engine has warmed up at the latest: the reading first comes within 1 K of its highest, or stands 4 K above its median, whichever
/// is first.
fn warmed_up(time: &[f64], reading: &[f64], highest: f64) -> f64 {
    let held = robust::quantile(reading, 0.5).unwrap_or(highest);
    let near_top = reading.iter().position(|&r| r >= highest - 1.0);
    let above_held = reading.iter().position(|&r| r >= held + 4.0);
    near_top.into_iter().chain(above_held).min().and_then(|i| time.get(i)).copied().unwrap_or(0.0)
}
