//! Warm-up model: what the coolant does while the valve is shut, and how likely a log is under it.
//!
//! Two bodies follow the coolant at the sensor: metal close by, and metal, oil and far coolant more slowly. With heat P from
//! the engine, ambient Tₐ and road speed v:
//!
//! ```text
//! C dT/dt = Q(t) − K(T − Tₐ) − Σⱼ hⱼ(T − Tⱼ)        dTⱼ/dt = (T − Tⱼ)/τⱼ        j = near, far
//! ```
//!
//! Integrated once it is linear in everything but the τⱼ, and needs no derivative of a reading rounded to whole degrees:
//!
//! ```text
//! T(t) − T(0) = a∫P dt + a₀·t − b∫(T − Tₐ)dt − c∫v(T − Tₐ)dt − Σⱼ mⱼ(Tⱼ(t) − T(0)) − valve
//! ```
//!
//! because ∫(T − Tⱼ)dt = τⱼ(Tⱼ(t) − Tⱼ(0)). The bodies Tⱼ are low-passed readings. The coefficients have wide prior
//! distributions from what engines weigh and lose (`PRIORS`); τ and the size of the slow model error are scanned on a grid.
//! The error is a random walk ([`crate::numeric::local_level`]), so that a heat input which is wrong for a minute is not mistaken
//! for noise.
//!
//! Limits: the reading stands for the coolant's mean near the sensor; ambient is one number; heat per fuel is constant.
//!
//! # References
//!
//! - Incropera, F. P. et al. *Fundamentals of Heat and Mass Transfer*, chapter 5 (lumped capacitance).
//! - `docs/detectors/opening.md`: derivation, ranges and what was measured.

use crate::analysis::heat_input::{HeatInput, Source};
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::numeric::local_level::Whitener;
use crate::numeric::nonnegative::{MOST_COLUMNS, Minimum, Row, Sums, Y};
use crate::run::Run;

/// How many columns the closed-valve model has.
pub const COLUMNS: usize = 6;

/// Prior mean and standard deviation of each coefficient; none may be negative.
///
/// Heat: the fastest cold start seen in public warm-ups rises at 17 K/min, and the metal beside the sensor takes as much again,
/// so tens of K/min for `a` and `a₀` together. Loss: an engine with its heater on gives 40 to 120 W/K to the air from 30 to
/// 100 kJ/K at the sensor (memory), 2 to 8 per hour; each 100 km/h adds little while the radiator is shut off. Bodies: metal
/// and oil weigh up to three times the coolant's heat capacity (memory).
const PRIORS: [(f64, f64); COLUMNS] = [(6.0, 12.0), (4.0, 10.0), (2.5, 2.5), (0.7, 1.0), (0.6, 0.9), (0.6, 0.9)];

/// Prior of the loss terms when the radiator is in the circuit from the start: five to ten times as much, and road speed counts.
const PRIORS_RADIATOR: [(f64, f64); COLUMNS] = [(10.0, 16.0), (6.0, 14.0), (8.0, 8.0), (12.0, 10.0), (0.6, 0.9), (0.6, 0.9)];

/// Time constants of the near body, in seconds; the far one is [`FAR_OVER_NEAR`] times as slow.
const NEAR_SECONDS: [f64; 4] = [30.0, 60.0, 120.0, 240.0];

/// How much slower the far body is than the near one.
const FAR_OVER_NEAR: f64 = 4.0;

/// Standard deviation of the model's slow error after one second, in kelvin: 0.03 is 0.2 K in a minute, 0.25 is 2 K.
const WALKS: [f64; 5] = [0.03, 0.05, 0.09, 0.15, 0.25];

/// Readings and inputs on a uniform clock.
#[derive(Clone, Debug)]
pub struct Grid {
    /// Width of a step, in seconds.
    pub step: f64,
    /// Middle of each step, in seconds from the first row.
    pub time: Vec<f64>,
    /// Coolant temperature, °C; interpolated where a step has no reading.
    pub reading: Vec<f64>,
    /// Variance of the reading, K²; infinite where a step has none.
    pub variance: Vec<f64>,
    /// Relative heat input.
    pub heat: Vec<f64>,
    /// Share of the step in which the engine runs.
    pub running: Vec<f64>,
    /// Road speed, in 100 km/h; 0 if the log has none.
    pub speed: Vec<f64>,
    /// Ambient temperature taken, °C.
    pub ambient: f64,
    /// What stands for heat.
    pub source: Source,
}

impl Grid {
    /// Puts the run from `from` to `to` (seconds) on a clock of `step` seconds; `None` if there are fewer than ten readings.
    pub fn of(run: &Run, phases: &Phases, heat: &HeatInput, ambient: f64, from: f64, to: f64, step: f64) -> Option<Self> {
        let coolant = run.trace(Channel::CoolantTemperature)?;
        let steps = ((to - from) / step).floor().max(0.0) as usize;
        if steps < 10 {
            return None;
        }
        let time: Vec<f64> = (0..steps).map(|i| from + (i as f64 + 0.5) * step).collect();
        let means = step_means(coolant.iter(), from, step, steps);
        if means.iter().flatten().count() < 10 {
            return None;
        }
        let floor = reading_variance(coolant.step);
        let variance = means.iter().map(|mean| if mean.is_some() { floor } else { f64::INFINITY }).collect();
        let reading = filled(&means);
        let mean_or_hold = |channel: &dyn Fn(f64) -> f64, seen: Vec<Option<f64>>| -> Vec<f64> {
            seen.into_iter().zip(&time).map(|(mean, &t)| mean.unwrap_or_else(|| channel(t))).collect()
        };
        let heat_means = step_means(heat.relative.iter(), from, step, steps);
        let running: Vec<f64> = time.iter().map(|&t| if phases.is_running(t) { 1.0 } else { 0.0 }).collect();
        let mut relative = mean_or_hold(&|t| heat.at(t, phases), heat_means);
        relative.iter_mut().zip(&running).for_each(|(heat, on)| *heat *= on);
        let speed = run.trace(Channel::VehicleSpeed).map_or_else(
            || vec![0.0; steps],
            |trace| {
                let means = step_means(trace.iter(), from, step, steps);
                mean_or_hold(&|t| trace.at(t).unwrap_or(0.0), means).into_iter().map(|speed| speed / 100.0).collect()
            },
        );
        Some(Self { step, time, reading, variance, heat: relative, running, speed, ambient, source: heat.source })
    }

    /// How many steps the clock has.
    pub fn len(&self) -> usize {
        self.time.len()
    }

    /// Whether the clock has no steps.
    pub fn is_empty(&self) -> bool {
        self.time.is_empty()
    }

    /// First step at which the reading stands at or above a temperature.
    pub fn first_at(&self, celsius: f64) -> Option<usize> {
        self.reading.iter().position(|&reading| reading >= celsius)
    }

    /// Running integral of `f(step index)` over time, in minutes.
    pub fn integral(&self, f: impl Fn(usize) -> f64) -> Vec<f64> {
        let mut sum = 0.0;
        (0..self.len())
            .map(|i| {
                sum += f(i) * self.step / 60.0;
                sum
            })
            .collect()
    }
}

/// Variance of one reading: rounding to `step` spreads evenly over it (step²/12; JCGM 100:2008, F.2.2.1, clause from memory),
/// and a sensor's own noise of about 0.15 K (memory) is added.
pub fn reading_variance(step: f64) -> f64 {
    step * step / 12.0 + 0.0225
}

/// Mean of the readings in each step; `None` where it has none.
fn step_means(readings: impl Iterator<Item = (f64, f64)>, from: f64, step: f64, steps: usize) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0usize); steps];
    for (time, value) in readings {
        if time >= from
            && let Some(sum) = sums.get_mut(((time - from) / step) as usize)
        {
            sum.0 += value;
            sum.1 += 1;
        }
    }
    sums.into_iter().map(|(sum, count)| (count > 0).then(|| sum / count as f64)).collect()
}

/// Fills steps without a value by a straight line between their neighbours; the ends hold.
fn filled(means: &[Option<f64>]) -> Vec<f64> {
    let known: Vec<(usize, f64)> = means.iter().enumerate().filter_map(|(i, mean)| mean.map(|value| (i, value))).collect();
    let mut next = 0;
    (0..means.len())
        .map(|i| {
            while next < known.len() && known[next].0 < i {
                next += 1;
            }
            match (next.checked_sub(1).map(|before| known[before]), known.get(next)) {
                (_, Some(&(at, value))) if at == i => value,
                (Some((i0, v0)), Some(&(i1, v1))) => v0 + (v1 - v0) * (i - i0) as f64 / (i1 - i0) as f64,
                (Some((_, value)), None) | (None, Some(&(_, value))) => value,
                (None, None) => f64::NAN,
            }
        })
        .collect()
}

/// What is assumed of the radiator.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Radiator {
    /// Shut off by the valve.
    ShutOff,
    /// In the circuit from the start.
    InCircuit,
}

/// Steps between the sums that are kept.
const KEPT_EVERY: usize = 16;

/// One setting of what is scanned, with everything that does not depend on the valve whitened and added up once.
struct Setting {
    near: f64,
    /// Which of the filters whitens it.
    filter: usize,
    /// Whitened columns and reading, a row a step.
    rows: Vec<Row>,
    /// Sums of the priors and of the rows before each [`KEPT_EVERY`]th step.
    kept: Vec<Sums>,
}

/// The model laid over a grid from `start` on.
pub struct WarmUpModel {
    start: usize,
    filters: Vec<Whitener>,
    settings: Vec<Setting>,
    /// Columns of the closed-valve model for each near body's time constant, not whitened.
    columns: Vec<(f64, Vec<Vec<f64>>)>,
}

/// The fit of the model to a window.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// Logarithm of the posterior density of the window's readings, averaged over the settings that are scanned, up to a constant
    /// common to all fits of the same window.
    pub log_likelihood: f64,
    /// Coefficients at the best setting: `a, a₀` in K/min, `b, c` per hour, `m` near and far, then those of the valve's columns.
    pub coefficients: Vec<f64>,
    /// Time constant of the near body, in seconds.
    pub near: f64,
}

impl WarmUpModel {
    /// Lays the model over the grid from step `start`.
    pub fn new(grid: &Grid, start: usize, radiator: Radiator) -> Self {
        let priors = match radiator {
            Radiator::ShutOff => PRIORS,
            Radiator::InCircuit => PRIORS_RADIATOR,
        };
        let filters: Vec<Whitener> = WALKS.iter().map(|walk| Whitener::new(&grid.variance[start..], walk * walk * grid.step)).collect();
        let mut settings = Vec::new();
        let columns: Vec<_> = NEAR_SECONDS.into_iter().map(|near| (near, closed_valve_columns(grid, start, near))).collect();
        for (near, columns) in &columns {
            for (index, filter) in filters.iter().enumerate() {
                let mut rows = vec![[0.0; MOST_COLUMNS + 1]; grid.len() - start];
                let places = (0..COLUMNS).chain([Y]);
                for (column, place) in columns.iter().chain([&grid.reading]).zip(places) {
                    rows.iter_mut().zip(filter.whiten(&column[start..])).for_each(|(row, value)| row[place] = value);
                }
                settings.push(Setting { near: *near, filter: index, kept: kept_sums(&rows, &priors), rows });
            }
        }
        Self { start, filters, settings, columns }
    }

    /// Fits the window from the start to step `end` (left out) with extra columns (levels in kelvin, one value a grid step,
    /// what each takes away counted positive) whose coefficients are at least 0 and have the given prior scale.
    pub fn fit(&self, end: usize, extra: &[(&[f64], f64)]) -> Option<Fitted> {
        let steps = end.checked_sub(self.start).filter(|steps| *steps > COLUMNS + extra.len())?;
        // Nothing is taken away before the first step at which a column is not nothing.
        let idle = extra.iter().filter_map(|(column, _)| column[self.start..end].iter().position(|value| *value != 0.0)).min();
        let idle = idle.unwrap_or(steps);
        let whiten =
            |filter: &Whitener| -> Vec<Vec<f64>> { extra.iter().map(|(column, _)| filter.whiten(&column[self.start..end])).collect() };
        let whitened: Vec<Vec<Vec<f64>>> = self.filters.iter().map(whiten).collect();
        let mut like: Option<Minimum> = None;
        let fit = |setting: &Setting| {
            let minimum = setting.fit(steps, idle, &whitened[setting.filter], extra, like.as_ref())?;
            like = Some(minimum);
            let log_determinant = self.filters[setting.filter].log_determinant(steps);
            Some((-0.5 * (minimum.rss + log_determinant), setting.near, minimum))
        };
        let fits: Vec<(f64, f64, Minimum)> = self.settings.iter().filter_map(fit).collect();
        let &(best, near, minimum) = fits.iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
        let share: f64 = fits.iter().map(|(log_likelihood, ..)| (log_likelihood - best).exp()).sum();
        Some(Fitted {
            log_likelihood: best + (share / fits.len() as f64).ln(),
            coefficients: minimum.coefficients[..COLUMNS + extra.len()].to_vec(),
            near,
        })
    }

    /// What the model without its valve columns says the coolant would have risen to at grid step `at`, from its level at the start, in
    /// kelvin.
    pub fn rise_without_valve(&self, fitted: &Fitted, at: usize) -> f64 {
        let columns = self.columns.iter().find(|(near, _)| *near == fitted.near).map(|(_, columns)| columns.as_slice()).unwrap_or_default();
        columns.iter().zip(&fitted.coefficients).map(|(column, c)| column[at] * c).sum()
    }
}

impl Setting {
    /// Fits the first `steps` rows with extra columns, whitened in `whitened`, that are 0 before step `idle`; `like` is the fit of a
    /// like setting.
    fn fit(&self, steps: usize, idle: usize, whitened: &[Vec<f64>], extra: &[(&[f64], f64)], like: Option<&Minimum>) -> Option<Minimum> {
        let mut sums = *self.kept.get(steps / KEPT_EVERY)?;
        self.rows[steps - steps % KEPT_EVERY..steps].iter().for_each(|row| sums.add(row));
        for (j, column) in whitened.iter().enumerate() {
            let mut with = [0.0; MOST_COLUMNS + 1];
            for (row, value) in self.rows[idle..steps].iter().zip(&column[idle..]) {
                // What the valve takes away counts positive.
                with.iter_mut().zip(row).for_each(|(sum, known)| *sum -= known * value);
            }
            for (i, other) in whitened[..=j].iter().enumerate() {
                with[COLUMNS + i] = column[idle..].iter().zip(&other[idle..]).map(|(a, b)| a * b).sum();
            }
            sums.add_column(COLUMNS + j, &with);
            sums.add_prior(COLUMNS + j, 0.0, extra.get(j)?.1);
        }
        sums.minimum(COLUMNS + extra.len(), like)
    }
}

/// Sums of the priors and of the rows before each [`KEPT_EVERY`]th; the first row only sets the level.
fn kept_sums(rows: &[Row], priors: &[(f64, f64)]) -> Vec<Sums> {
    let mut sums = Sums::default();
    priors.iter().enumerate().for_each(|(j, (mean, deviation))| sums.add_prior(j, *mean, *deviation));
    let mut kept = Vec::with_capacity(rows.len() / KEPT_EVERY + 1);
    for (i, row) in rows.iter().enumerate() {
        if i % KEPT_EVERY == 0 {
            kept.push(sums);
        }
        sums.add(row);
    }
    kept.push(sums);
    kept
}

/// The columns of the closed-valve model, as levels in kelvin for unit coefficients.
fn closed_valve_columns(grid: &Grid, start: usize, near: f64) -> Vec<Vec<f64>> {
    let excess = |i: usize| grid.reading[i] - grid.ambient;
    vec![
        grid.integral(|i| grid.heat[i]),
        grid.integral(|i| grid.running[i]),
        grid.integral(|i| -excess(i) / 60.0),
        grid.integral(|i| -excess(i) * grid.speed[i] / 60.0),
        body(grid, start, near),
        body(grid, start, near * FAR_OVER_NEAR),
    ]
}

/// What a body that follows the coolant with time constant `seconds` has taken up, negative, in kelvin.
fn body(grid: &Grid, start: usize, seconds: f64) -> Vec<f64> {
    let keep = (-grid.step / seconds).exp();
    let mut temperature = grid.reading.get(start.min(grid.len().saturating_sub(1))).copied().unwrap_or(0.0);
    let first = grid.reading.first().copied().unwrap_or(temperature);
    temperature = temperature.min(first);
    let origin = temperature;
    grid.reading
        .iter()
        .map(|reading| {
            temperature = reading + (temperature - reading) * keep;
            origin - temperature
        })
        .collect()
}
