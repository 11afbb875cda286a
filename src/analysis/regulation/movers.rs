//! Movers: what makes the regulated temperature swing?
//!
//! Coolant follows what the driver does with a lag. The reading is regressed on road speed and load, each passed through a lag,
//! with a drift beside:
//!
//! ```text
//! T = c + d·t + Σ bⱼ·xⱼ(lagged) + residual
//! ```
//!
//! The lag that fits best out of `LAGS_S` is taken. The residuals are correlated, so the coefficients' covariance grows by what
//! they are worth, and the level of significance is shared out over everything that was tried. An input is named only if it moves
//! the reading by more than one step between its 5th and 95th percentile.
//!
//! Limits: one lag for all inputs; what moves together (speed and load on a motorway) is told apart only as far as it does not.

use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::estimate::student_quantile;
use crate::numeric::least_squares::{self, Fit};
use crate::numeric::{autocorrelation, robust};
use crate::run::{Run, Trace};

/// Lags tried, in seconds: from a well-mixed jacket to a valve and radiator that follow slowly.
const LAGS_S: [f64; 4] = [5.0, 15.0, 40.0, 100.0];

/// Level of significance for everything tried together.
const SIGNIFICANCE: f64 = 0.01;

/// Least movement that counts where steps are fine, in kelvin: below it nobody would call the reading moved (our own choice).
const LEAST_MOVE_K: f64 = 0.5;

/// Width of the clock that all inputs are put on, in seconds.
const CLOCK_S: f64 = 5.0;

/// How far an input moves the reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// The input.
    pub input: Channel,
    /// Change of the reading from the input's 5th to its 95th percentile, in kelvin.
    pub change: f64,
    /// Its standard uncertainty, in kelvin.
    pub standard_uncertainty: f64,
}

/// Inputs that move the reading from `settled` to the end of `drive`, significantly and by more than a step.
pub(super) fn find(run: &Run, phases: &Phases, drive: &Trace, settled: f64) -> Vec<Move> {
    let held = super::thinned(&drive.between(settled, f64::INFINITY), CLOCK_S);
    let candidates: Vec<(Channel, &Trace)> =
        [Channel::VehicleSpeed, Channel::EngineLoad].into_iter().filter_map(|channel| Some((channel, run.trace(channel)?))).collect();
    if held.len() < 24 || candidates.is_empty() {
        return Vec::new();
    }
    let fits = LAGS_S.into_iter().filter_map(|lag| {
        let inputs: Vec<(Channel, Vec<f64>)> = candidates
            .iter()
            .map(|(channel, trace)| (*channel, lagged(trace, lag, phases.fired_s, &held.time)))
            .filter(|(_, input)| reach(input).is_some())
            .collect();
        Fitted::of(&held, inputs)
    });
    let Some(best) = fits.min_by(|a, b| a.fit.rss.total_cmp(&b.fit.rss)) else { return Vec::new() };
    let (moves, degrees_of_freedom) = best.moves(&held);
    let tried = 2.0 * (LAGS_S.len() * candidates.len()) as f64;
    let limit = student_quantile(1.0 - SIGNIFICANCE / tried, degrees_of_freedom);
    let least = drive.step.max(LEAST_MOVE_K);
    moves.into_iter().filter(|m| m.change.abs() > limit * m.standard_uncertainty && m.change.abs() > least).collect()
}

/// One lag's regression.
struct Fitted {
    fit: Fit,
    columns: Vec<Vec<f64>>,
    inputs: Vec<(Channel, Vec<f64>)>,
}

impl Fitted {
    fn of(held: &Trace, inputs: Vec<(Channel, Vec<f64>)>) -> Option<Self> {
        let n = held.len() as f64;
        let middle = 0.5 * (held.time.first()? + held.time.last()?);
        let centred = |input: &[f64]| {
            let mean = input.iter().sum::<f64>() / n;
            input.iter().map(|x| x - mean).collect::<Vec<f64>>()
        };
        let mut columns = vec![vec![1.0; held.len()], held.time.iter().map(|t| (t - middle) / 60.0).collect()];
        columns.extend(inputs.iter().map(|(_, input)| centred(input)));
        let fit = least_squares::solve(&columns, &held.value, None)?;
        Some(Self { fit, columns, inputs })
    }

    /// What its inputs do, and the degrees of freedom that the residuals are worth.
    fn moves(self, held: &Trace) -> (Vec<Move>, f64) {
        let Self { fit, columns, inputs } = self;
        let residuals: Vec<f64> = (0..held.len())
            .map(|i| held.value[i] - columns.iter().zip(&fit.coefficients).map(|(column, b)| column[i] * b).sum::<f64>())
            .collect();
        let n_eff = autocorrelation::of_residuals(&held.time, &residuals, columns.len()).n_eff;
        let fit = fit.correlated(held.len() as f64, n_eff);
        let moves = inputs.iter().enumerate().filter_map(|(i, (channel, input))| {
            let span = reach(input)?;
            Some(Move {
                input: *channel,
                change: fit.coefficients.get(i + 2)? * span,
                standard_uncertainty: fit.standard_deviation(i + 2)? * span,
            })
        });
        (moves.collect(), fit.degrees_of_freedom)
    }
}

/// From the 5th to the 95th percentile; `None` if the input stands still.
fn reach(input: &[f64]) -> Option<f64> {
    let span = robust::quantile(input, 0.95)? - robust::quantile(input, 0.05)?;
    (span > 1e-9).then_some(span)
}

/// The input after a first-order lag, at each of `times`; it starts from its first value at `from`.
fn lagged(input: &Trace, lag: f64, from: f64, times: &[f64]) -> Vec<f64> {
    let mut readings = input.iter().filter(|(time, _)| *time >= from).peekable();
    let (mut value, mut level, mut clock) = (input.at(from).or(input.value.first().copied()).unwrap_or(0.0), None, from);
    // Readings come mostly at equal gaps, and an exponential costs more than all the rest.
    let (mut gap, mut kept) = (0.0, 1.0);
    times
        .iter()
        .map(|&time| {
            let mut state = level.unwrap_or(value);
            let mut advance = |to: f64, value: f64| {
                if gap != to - clock {
                    gap = to - clock;
                    kept = (-gap.max(0.0) / lag).exp();
                }
                state = value + (state - value) * kept;
                clock = to.max(clock);
            };
            while let Some((at, next)) = readings.next_if(|(at, _)| *at <= time) {
                advance(at, value);
                value = next;
            }
            advance(time, value);
            level = Some(state);
            state
        })
        .collect()
}
