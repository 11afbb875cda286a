//! Where the hot soak ends and the plain cooling begins.
//!
//! The metal is hotter than the coolant when the engine stops, so the reading rises first; a fan may run on by itself. Moments from the
//! highest reading onwards are tried, the earliest first. At each one the rest of the record is fitted with and without a fast part, and
//! the first moment at which the fast part no longer helps (F test, 5 %, residuals counted for what they are worth) is the start.
//! What such a test can overlook stays in the uncertainty: the fast part is kept with a prior that shrinks with the time since the highest
//! reading.
//!
//! # References
//!
//! - Draper, N. R. and Smith, H. *Applied Regression Analysis*, "extra sum of squares" (chapter from memory).

use super::fit::{FAST_S, Known, Problem, USUAL_DRIFT};
use super::record::Record;
use crate::numeric::autocorrelation;
use crate::numeric::robust;
use crate::run::Trace;
use statrs::distribution::{ContinuousCDF, FisherSnedecor};

/// Seconds after the highest reading that are tried as the start.
const TRIED_S: [f64; 13] = [0.0, 60.0, 120.0, 180.0, 300.0, 420.0, 600.0, 900.0, 1200.0, 1800.0, 2700.0, 3600.0, 5400.0];

/// Most points of a fit; more readings are averaged over equal times.
const MOST_POINTS: usize = 80;

/// Fewest points that carry a fit.
const FEWEST_POINTS: usize = 10;

/// Least fall of the reading from the start to the end of the record, in kelvin; also four steps of the reading.
const LEAST_FALL_K: f64 = 3.0;

/// Prior of the fast part at the highest reading, in kelvin, either way: where the rise ends, the soak still holds the excess times
/// the ratio of fast to slow, 70 K of 5 in 100 minutes.
const FAST_AT_TOP_K: f64 = 2.0;

/// How that prior shrinks, in seconds, and what stays of it, in kelvin. Our own choice.
const FAST_SHRINKS: (f64, f64) = (600.0, 0.3);

/// Fast part at the stop where no reading shows the soak: the slow part stands 5 ± 5 K above the last reading of the run (a
/// reading rises several kelvin after the stop: common practice, no source).
const FAST_UNSEEN: Known = (-5.0, 5.0);

/// A hole in the readings longer than this, in seconds, parts a "before" from an "after".
const LONG_HOLE_S: f64 = 1200.0;

/// Standard uncertainty of a single reading beyond rounding, in kelvin. Our own choice.
const SINGLE_READING_K: f64 = 0.7;

/// The readings that the curve is fitted to.
#[derive(Clone, Debug)]
pub struct Start {
    /// The fit; its times count from `origin_s`.
    pub problem: Problem,
    /// Where it begins, in seconds from the first row.
    pub origin_s: f64,
    /// Variance of each reading, correlation counted in.
    pub variance: f64,
    /// Highest reading after the stop, or the last before it, °C.
    pub top: f64,
    /// Whether readings show the fall all along, or only its two ends.
    pub continuous: bool,
}

impl Start {
    /// The start of the plain cooling in a record, with ambient as the sensor reads it; `None` if the record shows too little.
    pub fn of(record: &Record, ambient: Known) -> Option<Self> {
        let step = record.readings.step;
        let least = (step * step / 12.0).max(0.05f64.powi(2));
        Self::continuous(record, ambient, least).or_else(|| Self::two_ends(record, ambient, least))
    }

    /// The last moment of the fit, in seconds from the first row.
    pub fn last_s(&self) -> f64 {
        self.origin_s + self.problem.time.last().copied().unwrap_or(0.0)
    }

    fn continuous(record: &Record, ambient: Known, least: f64) -> Option<Self> {
        let readings = &record.readings;
        let (top_at, top) = highest(readings)?;
        let end = *readings.time.last()?;
        let needed = LEAST_FALL_K.max(4.0 * readings.step);
        let mut last = None;
        for later in TRIED_S {
            let origin_s = top_at + later;
            let rest = readings.between(origin_s, end);
            let (time, value) = averaged(&rest, origin_s);
            let longest = time.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
            if time.len() < FEWEST_POINTS
                || fall(&rest).is_none_or(|fall| fall < needed)
                || longest > LONG_HOLE_S.max(0.3 * (end - origin_s))
            {
                break;
            }
            let fast = FAST_AT_TOP_K * (-later / FAST_SHRINKS.0).exp() + FAST_SHRINKS.1;
            let problem = Problem { time, value, ambient, fast: (0.0, fast) };
            let plain = !fast_part_helps(&problem, least);
            last = Some((problem, origin_s));
            if plain {
                break;
            }
        }
        let (problem, origin_s) = last?;
        let steps = fall(&readings.between(origin_s, end)).map_or(0.0, |fall| if readings.step > 0.0 { fall / readings.step } else { 0.0 });
        let variance = problem.variance(least, steps);
        Some(Self { problem, origin_s, variance, top, continuous: true })
    }

    /// The last reading of the run and what is read after a long hole.
    fn two_ends(record: &Record, ambient: Known, least: f64) -> Option<Self> {
        let readings = &record.readings;
        let (first_at, first) = record.before?;
        let hole = std::iter::once(first_at).chain(readings.time.iter().copied()).zip(readings.time.iter().copied());
        let (_, after) = hole.filter(|(from, to)| to - from > LONG_HOLE_S).last()?;
        let late = readings.between(after, after + 60.0);
        let second = robust::median(&late.value)?;
        let fell = first - second >= LEAST_FALL_K.max(4.0 * readings.step);
        let origin_s = record.stopped_s;
        let problem = Problem { time: vec![first_at - origin_s, after - origin_s], value: vec![first, second], ambient, fast: FAST_UNSEEN };
        fell.then_some(Self { problem, origin_s, variance: least + SINGLE_READING_K.powi(2), top: first, continuous: false })
    }
}

/// Highest reading and the last moment at which it stood there, from medians of three so that one wild reading is no top.
fn highest(readings: &Trace) -> Option<(f64, f64)> {
    let smooth = readings.value.windows(3).zip(readings.time.get(1..)?).filter_map(|(three, &time)| Some((time, robust::median(three)?)));
    smooth.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// How far the reading falls from the first readings to the last.
fn fall(rest: &Trace) -> Option<f64> {
    let last = rest.len().checked_sub(3)?;
    Some(robust::median(rest.value.get(..3)?)? - robust::median(rest.value.get(last..)?)?)
}

/// Means over equal stretches of time, at most [`MOST_POINTS`]; times from `origin`.
fn averaged(rest: &Trace, origin: f64) -> (Vec<f64>, Vec<f64>) {
    let (Some(&first), Some(&last)) = (rest.time.first(), rest.time.last()) else { return (Vec::new(), Vec::new()) };
    let width = ((last - first) / MOST_POINTS as f64).max(1e-9);
    let mut sums: Vec<(usize, f64, f64, f64)> = Vec::new();
    for (time, value) in rest.iter() {
        let place = (((time - first) / width) as usize).min(MOST_POINTS - 1);
        match sums.last_mut() {
            Some(sum) if sum.0 == place => {
                sum.1 += 1.0;
                sum.2 += time - origin;
                sum.3 += value;
            }
            _ => sums.push((place, 1.0, time - origin, value)),
        }
    }
    sums.into_iter().map(|(_, count, time, value)| (time / count, value / count)).unzip()
}

/// Whether a fast part explains the readings better than chance would.
fn fast_part_helps(problem: &Problem, least: f64) -> bool {
    let with_fast = |size: f64, times: &[f64]| {
        let tried = Problem { fast: (0.0, size), ..problem.clone() };
        let fits = times.iter().filter_map(|&fast_s| tried.residuals(USUAL_DRIFT, fast_s, least));
        fits.min_by(|a, b| a.1.total_cmp(&b.1))
    };
    // As good as no fast part, and as good as any.
    let (Some((_, without)), Some((residuals, with))) = (with_fast(1e-3, &FAST_S[..1]), with_fast(50.0, &FAST_S)) else { return false };
    // Nothing finer than half the error of a reading is told apart.
    let noise = with.max(0.25 * residuals.len() as f64);
    let freedom = (autocorrelation::of_residuals(&problem.time, &residuals, 5).n_eff - 5.0).max(1.0);
    let ratio = 0.5 * freedom * (without - with) / noise;
    FisherSnedecor::new(2.0, freedom).is_ok_and(|chance| ratio > chance.inverse_cdf(0.95))
}
