//! Opening: did the thermostat open, when, and at what reading?
//!
//! The opening is the departure from the closed-valve warm-up ([`warm_up_model`]). Three things are asked of a departure before
//! it is believed, and they are added up as a log odds ([`Weighing`]):
//!
//! 1. *Fit*: how much better is the log explained with heat taken away in proportion to the excess over some reading than without?
//!    The comparison is made in a window that ends [`WATCH_S`] after that reading is first met, so that a rise which resumes
//!    after a stop or a crawl speaks against it.
//! 2. *Share*: how much of the rise does it take? An open valve takes most of it; a stop, an accessory or a model error takes
//!    some.
//! 3. *Place*: thermostats open between about 76 and 105 °C.
//!
//! The knee is then placed by a second, finer scan over the moment at which the taking-away begins; its interval comes from the
//! likelihood profile over that moment. The first lift comes before the knee: the wax must move some way before the reading
//! shows it ([`lift_before_knee`]).
//!
//! Limits: one opening, the first of the drive; a log that starts hot and does not rise is already open; a cold engine that
//! cannot warm up because the radiator is in the circuit is told from one that had no time by its loss to the air.
//!
//! # References
//!
//! - Kass, R. E. and Raftery, A. E. (1995). Bayes factors. *J. Am. Stat. Assoc.* 90, 773–795 (scale of evidence).
//! - Lerman, P. M. (1980). Fitting segmented regression models by grid search. *J. R. Stat. Soc. C* 29(1), 77–84 (profile).

use crate::analysis::ambient::Ambient;
use crate::analysis::heat_input::HeatInput;
use crate::analysis::phases::Phases;
use crate::analysis::warm_up_model::{Grid, Radiator, WarmUpModel};
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::{Run, Trace};
use crate::vehicle::Side;
use serde::Serialize;

/// How long after a reading is first met the comparison goes on, in seconds: longer than a red light, shorter than a descent.
const WATCH_S: f64 = 400.0;

/// Log odds from which an opening is believed: about 90 to 1. Held against made logs and real ones in `docs/detectors/opening.md`.
const BELIEVED: f64 = 5.5;

/// Widest lift over which the valve takes more as the reading rises, in kelvin: full lift comes 10 to 15 K above the rating (memory).
const FULL_LIFT_K: f64 = 15.0;

/// Scale of the valve's pull in K/min for each kelvin of excess: enough to stop a rise of 1 to 15 K/min within a few kelvin.
const PULL_SCALE: f64 = 4.0;

/// Scale of the first sudden pull, in K/min, from a rise of 1 to 20 K/min that stops at once.
const STEP_SCALE: f64 = 12.0;

/// Readings kept of a drive for finding the level that it holds.
const LEVEL_SAMPLES: usize = 400;

/// How fast the wax follows the reading, in seconds: time constants of 10 to 40 s (memory).
const WAX_SECONDS: [f64; 2] = [8.0, 25.0];

/// How far below its highest so far a reading may lie at the knee, in kelvin: rounding and a ripple.
const STILL_RISING_K: f64 = 1.2;

/// How far the reading stands above the first lift when the knee shows, in kelvin, and its standard uncertainty, by the valve's
/// place. An outlet valve shows at once; the water that an inlet valve lets in must first pass the engine. Held against made
/// runs (`docs/detectors/opening.md`).
const fn lift_before_knee(side: Side) -> (f64, f64) {
    match side {
        Side::Outlet => (0.0, 0.9),
        Side::Inlet => (0.8, 1.0),
        Side::Unknown => (0.3, 1.0),
    }
}

/// How far the reading rises between the moment at which the model sees heat being taken away and the knee that an eye sees, in
/// kelvin, and its standard uncertainty.
const SEEN_AFTER_K: (f64, f64) = (0.1, 0.3);

/// Standard uncertainty of the model's moment of opening beyond its likelihood, in seconds: dead times of flow and sensor.
const MOMENT_S: f64 = 6.0;

/// Reading from which an engine that does not rise counts as already open, °C: below the lowest rating in use (memory: 71 °C in
/// old engines) no valve is open.
const HOT_START_C: f64 = 70.0;

/// A drive that spends nine tenths of its time below this may have its radiator in the circuit throughout, °C; with a stated
/// rating it is the rating less 4 K. The lowest rating in common use is 76 °C (memory).
const COOL_DRIVE_C: f64 = 76.0;

/// Log odds from which a radiator in the circuit throughout is believed: it is a fault, and rare.
const CIRCUIT_BELIEVED: f64 = 8.0;

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

/// What speaks for an opening, as natural logarithms of odds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighing {
    /// Better fit with a valve than without.
    pub fit: f64,
    /// Share of the rise that is taken away.
    pub share: f64,
    /// Where thermostats open.
    pub place: f64,
    /// The share itself, 0 to about 1.
    pub share_taken: f64,
}

impl Weighing {
    /// Log odds of an opening.
    pub fn total(&self) -> f64 {
        self.fit + self.share + self.place
    }
}

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
        let highest = drive.value.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let first = drive.between(phases.fired_s, phases.fired_s + 15.0);
        let Some(start_reading) = robust::median(&first.value).or(drive.value.first().copied()) else {
            return Self::without_numbers(State::NotObservable, highest, Some("there is no coolant reading while the engine runs"));
        };
        let level = HeldLevel::of(&drive);
        if starts_open(&drive, phases.fired_s, start_reading, level.after(phases.fired_s)) {
            return Self::without_numbers(State::AlreadyOpen, highest, None);
        }
        let horizon = horizon(&drive.time, &drive.value, highest).min(end);
        let step = ((horizon - phases.fired_s) / 350.0).clamp(2.0, 12.0);
        let Some(grid) = Grid::of(run, phases, heat, ambient, phases.fired_s, horizon, step) else {
            return Self::without_numbers(
                State::NotObservable,
                highest,
                Some("there are too few coolant readings while the engine warms up"),
            );
        };
        let candidate = coarse(&grid, &level, start_reading);
        let radiator_in_circuit = open_throughout(run, phases, heat, ambient, candidate.as_ref().map(|c| c.reading), &drive);
        match candidate {
            _ if radiator_in_circuit => Self::without_numbers(State::OpenThroughout, highest, None),
            Some(candidate) if candidate.weighing.total() >= BELIEVED => {
                place(&grid, &candidate, &level, run.vehicle.thermostat.side, coolant.step, highest)
            }
            Some(candidate) => Self { weighing: Some(candidate.weighing), ..Self::without_numbers(State::NotReached, highest, None) },
            None => Self::without_numbers(State::NotReached, highest, None),
        }
    }
}

/// Whether the engine is hot at the start and stands at the level that the drive holds, or does not rise as a closed engine must.
fn starts_open(drive: &Trace, fired: f64, start: f64, held: Option<f64>) -> bool {
    let early = drive.between(fired, fired + 150.0);
    let rise = early.value.iter().copied().fold(f64::NEG_INFINITY, f64::max) - start;
    start >= HOT_START_C && (rise < 3.0 || held.is_some_and(|held| start >= held - 3.0))
}

/// Until when the warm-up must be looked at: [`WATCH_S`] after the reading first comes within 1 K of its highest, or within
/// 4 K of the level it holds for the middle of the drive, whichever is first.
fn horizon(time: &[f64], reading: &[f64], highest: f64) -> f64 {
    let held = robust::quantile(reading, 0.5).unwrap_or(highest);
    let near_top = reading.iter().position(|&r| r >= highest - 1.0);
    let above_held = reading.iter().position(|&r| r >= held + 4.0);
    let at = near_top.into_iter().chain(above_held).min().and_then(|i| time.get(i)).copied().unwrap_or(0.0);
    at + WATCH_S + 150.0
}

/// An opening that fits best on the coarse scan.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    reading: f64,
    at: usize,
    weighing: Weighing,
}

/// First step used by the fits: 12 s after the engine fired, when coolant that stood at the sensor has passed it.
fn fit_start(grid: &Grid, top: f64) -> usize {
    let settled = (12.0 / grid.step).ceil() as usize;
    grid.first_at(top - 45.0).unwrap_or(0).max(settled).min(grid.len())
}

/// Scans the reading at which a valve would begin to open, one kelvin at a time.
fn coarse(grid: &Grid, level: &HeldLevel, start_reading: f64) -> Option<Candidate> {
    let highest = grid.reading.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let start = fit_start(grid, highest);
    let model = WarmUpModel::new(grid, start, Radiator::ShutOff);
    let wax = WAX_SECONDS.map(|seconds| followed(grid, seconds));
    let lowest = (start_reading + 6.0).max(55.0);
    let count = ((highest - lowest).floor().max(-1.0) + 1.0) as usize;
    let candidates = (0..count).map(|i| lowest + i as f64).filter_map(|reading| {
        let at = grid.first_at(reading)?;
        let end = (at + (WATCH_S / grid.step) as usize).min(grid.len());
        if at < start + 10 || end < at + (20.0 / grid.step).ceil() as usize {
            return None;
        }
        let shut = model.fit(end, &[])?;
        let opens = wax.iter().filter_map(|wax| model.fit(end, &[(&pull(grid, wax, reading), PULL_SCALE)]));
        let opens = opens.max_by(|a, b| a.log_likelihood.total_cmp(&b.log_likelihood))?;
        let fit = opens.log_likelihood - shut.log_likelihood + pull_prior(opens.coefficients.last().copied().unwrap_or(0.0));
        let without = model.rise_without_valve(&opens);
        let (share_taken, u) = share_taken(grid, &without, at, end);
        Some(Candidate {
            reading,
            at,
            weighing: Weighing {
                fit,
                share: share_odds(share_taken, u),
                place: place_odds(reading) + level_odds(wax[1][at], level.after(grid.time[at])),
                share_taken,
            },
        })
    });
    candidates.max_by(|a, b| a.weighing.total().total_cmp(&b.weighing.total()))
}

/// Log of the prior for the valve's pull (K/min per kelvin) against its own middle: log-normal about 1.5 with a factor e.
fn pull_prior(pull: f64) -> f64 {
    -0.5 * (pull.max(1e-3) / 1.5).ln().powi(2)
}

/// Share of the rise that a departure from step `at` on takes away over the next 90 s, and its standard uncertainty.
fn share_taken(grid: &Grid, without: &[f64], at: usize, end: usize) -> (f64, f64) {
    let later = (at + (90.0 / grid.step) as usize).min(end.saturating_sub(1));
    let expected = (without[later] - without[at]).max(0.05);
    let seen = grid.reading[later] - grid.reading[at];
    let u = (2.0 * grid.variance.iter().copied().fold(f64::INFINITY, f64::min)).sqrt() / expected;
    ((1.0 - seen / expected).clamp(-1.0, 2.0), u.min(3.0))
}

/// Log odds from the share: an opening valve takes 0.85 ± 0.25 of the rise, other causes 0.2 ± 0.25.
fn share_odds(share: f64, u: f64) -> f64 {
    let spread = 0.25f64.hypot(u);
    let distance = |middle: f64| ((share - middle) / spread).powi(2);
    // A valve that overshoots and falls takes more than all; that speaks no less for a valve.
    let from_valve = if share > 0.85 { 0.0 } else { distance(0.85) };
    0.5 * (distance(0.2) - from_valve).min(12.0)
}

/// Log odds from where thermostats open: heavy-tailed about 88 °C with a half-width of 8 K (ratings 76 to 105 °C, memory).
fn place_odds(reading: f64) -> f64 {
    -(1.0 + ((reading - 88.0) / 8.0).powi(2)).ln()
}

/// Places the knee: scans the moment at which heat begins to be taken away, about the coarse candidate.
fn place(grid: &Grid, candidate: &Candidate, level: &HeldLevel, side: Side, reading_step: f64, highest: f64) -> Opening {
    let steps = |seconds: f64| (seconds / grid.step).ceil() as usize;
    let end = (candidate.at + steps(120.0)).min(grid.len());
    let start = fit_start(grid, candidate.reading);
    let model = WarmUpModel::new(grid, start, Radiator::ShutOff);
    let from = candidate.at.saturating_sub(steps(90.0)).max(start + 10);
    let to = (candidate.at + steps(75.0)).min(end.saturating_sub(steps(16.0)));
    let wax = followed(grid, WAX_SECONDS[1]);
    let mut profile: Vec<(f64, f64, f64)> = Vec::new();
    let mut highest_so_far = grid.reading[..from].iter().copied().fold(f64::NEG_INFINITY, f64::max);
    for knee in from..to {
        let at_knee = grid.reading[knee];
        highest_so_far = highest_so_far.max(at_knee);
        // The wax follows the coolant from below: it first reaches its opening while the coolant is about at its highest so far.
        if at_knee < highest_so_far - STILL_RISING_K {
            continue;
        }
        let odds = level_odds(wax[knee], level.after(grid.time[knee]));
        let sudden = grid.integral(|i| if i > knee { 1.0 } else { 0.0 });
        let growing = pull(grid, &wax, wax[knee]);
        if let Some(fit) = model.fit(end, &[(&sudden, STEP_SCALE), (&growing, PULL_SCALE)]) {
            profile.push((grid.time[knee], at_knee, fit.log_likelihood + odds));
        }
    }
    let best = profile.iter().map(|p| p.2).fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = profile.iter().map(|p| (p.2 - best).exp()).collect();
    let times: Vec<f64> = profile.iter().map(|p| p.0).collect();
    let readings: Vec<f64> = profile.iter().map(|p| p.1).collect();
    let weighing = Some(candidate.weighing);
    let (Some(time), Some(temperature)) = (
        posterior(&times, &weights, grid.step / 2.0, Unit::Second),
        posterior(&readings, &weights, reading_step.hypot(0.3) * 0.35, Unit::Celsius).map(|t| t.shifted(0.25 * reading_step)),
    ) else {
        return Opening {
            weighing,
            ..Opening::without_numbers(State::NotObservable, highest, Some("the readings about the opening are too few"))
        };
    };
    let rate = rate_before(grid, time.value);
    let (seen, u_seen) = SEEN_AFTER_K;
    let later = |by: f64, u: f64| time.shifted(by / rate).widened(MOMENT_S.hypot(u / rate));
    let (before, u) = lift_before_knee(side);
    Opening {
        state: State::Opened,
        temperature: Some(temperature.shifted(seen - before).widened(u)),
        time: Some(later(seen - before, u)),
        knee_temperature: Some(temperature.shifted(seen).widened(u_seen)),
        knee_time: Some(later(seen, u_seen)),
        rise_before: rate,
        weighing,
        highest,
        because: None,
    }
}

/// The reading as the wax follows it, low-passed over `seconds`.
fn followed(grid: &Grid, seconds: f64) -> Vec<f64> {
    let keep = (-grid.step / seconds).exp();
    let mut wax = grid.reading.first().copied().unwrap_or(0.0);
    let follow = |reading: &f64| {
        wax = reading + (wax - reading) * keep;
        wax
    };
    grid.reading.iter().map(follow).collect()
}

/// What a valve takes away that begins to lift where its wax passes `opening`, as a level in kelvin for a pull of 1 K/min a kelvin.
fn pull(grid: &Grid, wax: &[f64], opening: f64) -> Vec<f64> {
    grid.integral(|i| (wax[i] - opening).clamp(0.0, FULL_LIFT_K))
}

/// The level that a drive holds after a moment: the median reading from a minute after it to the end of the drive, where
/// there is a minute of it. The drive is thinned to [`LEVEL_SAMPLES`] readings.
struct HeldLevel {
    time: Vec<f64>,
    reading: Vec<f64>,
}

impl HeldLevel {
    fn of(drive: &Trace) -> Self {
        let every = drive.len().div_ceil(LEVEL_SAMPLES).max(1);
        let (time, reading) = drive.iter().step_by(every).unzip();
        Self { time, reading }
    }

    fn after(&self, moment: f64) -> Option<f64> {
        let from = self.time.partition_point(|&time| time < moment + 60.0);
        let long_enough = self.time.last().is_some_and(|last| last - moment >= 120.0);
        long_enough.then(|| robust::median(&self.reading[from..])).flatten()
    }
}

/// Log odds from the level that the reading holds afterwards: a valve regulates a little above the wax temperature at which it
/// begins to lift, 1.5 K with a heavy-tailed half-width of 2 K (a heavy load or an inlet-side valve lifts it further). A break
/// that the rise later leaves behind is no knee.
fn level_odds(wax: f64, level: Option<f64>) -> f64 {
    level.map_or(0.0, |level| -2.0 * (1.0 + ((level - wax - 1.5) / 2.0).powi(2)).ln())
}

/// Median and 95 % interval of a quantity under weights, widened by an independent standard uncertainty.
fn posterior(values: &[f64], weights: &[f64], more: f64, unit: Unit) -> Option<Estimate> {
    let total: f64 = weights.iter().sum();
    let median = robust::weighted_quantile(values, weights, 0.5)?;
    let variance = values.iter().zip(weights).map(|(v, w)| (v - median).powi(2) * w).sum::<f64>() / total;
    let low = robust::weighted_quantile(values, weights, 0.025)?;
    let high = robust::weighted_quantile(values, weights, 0.975)?;
    let estimate =
        Estimate { value: median, standard_uncertainty: variance.sqrt(), interval_95: [low.min(median), high.max(median)], unit };
    variance.is_finite().then(|| estimate.widened(more))
}

/// Rise of the reading over the minute before a moment, in K/s, and at least 0.5 K/min.
fn rate_before(grid: &Grid, time: f64) -> f64 {
    let at = grid.time.partition_point(|&t| t < time).min(grid.len() - 1);
    let before = at.saturating_sub((60.0 / grid.step).ceil() as usize);
    let seconds = (at - before).max(1) as f64 * grid.step;
    ((grid.reading[at] - grid.reading[before]) / seconds).max(0.5 / 60.0)
}

/// Whether the whole drive is better explained by a radiator that was in the circuit from the start than by a valve that
/// opens at `opening`, or never. Only a drive that stays cool is asked: at the readings at which valves regulate, a loss that
/// grows with road speed is the valve's own work.
fn open_throughout(run: &Run, phases: &Phases, heat: &HeatInput, ambient: f64, opening: Option<f64>, drive: &Trace) -> bool {
    let end = phases.drive_end(run);
    let cool_below = run.vehicle.thermostat.rating.map_or(COOL_DRIVE_C, |rating| rating.celsius() - 4.0);
    if run.trace(Channel::VehicleSpeed).is_none() || robust::quantile(&drive.value, 0.9).is_none_or(|warm| warm > cool_below) {
        return false;
    }
    let step = ((end - phases.fired_s) / 300.0).clamp(4.0, 30.0);
    let Some(grid) = Grid::of(run, phases, heat, ambient, phases.fired_s, end, step) else { return false };
    let start = (12.0 / grid.step).ceil() as usize;
    let shut = WarmUpModel::new(&grid, start, Radiator::ShutOff);
    let Some(in_circuit) = WarmUpModel::new(&grid, start, Radiator::InCircuit).fit(grid.len(), &[]) else { return false };
    let valve = opening.into_iter().flat_map(|reading| {
        WAX_SECONDS.map(|seconds| shut.fit(grid.len(), &[(&pull(&grid, &followed(&grid, seconds), reading), PULL_SCALE)]))
    });
    let valve: Vec<_> = valve.flatten().collect();
    let shut = shut.fit(grid.len(), &[]);
    let best = valve.into_iter().chain(shut).map(|fit| fit.log_likelihood).fold(f64::NEG_INFINITY, f64::max);
    let per_hour_at_speed = in_circuit.coefficients[2] + 0.8 * in_circuit.coefficients[3];
    in_circuit.log_likelihood - best > CIRCUIT_BELIEVED && per_hour_at_speed > 12.0
}
