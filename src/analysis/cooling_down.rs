//! Cooling down: how fast does the engine cool once it is off, when is it still too hot to open, when does it count as cold?
//!
//! The stretch with the engine off is found (`record`), the hot soak at its beginning set apart (`start`), and a curve towards
//! ambient (`curve`) put through the rest (`fit`). Everything that is not known (ambient, drift of the time constant, what is left of
//! the soak) is carried along as a spread of curves, and each answer is read off all of them.
//!
//! *Not to be opened before* is a late edge, 97.5 %, for the hottest part and not for the sensor: metal may keep more excess
//! than the coolant at the sensor (`HOTTEST_OVER_SENSOR`), and a sensor may read low. It says only when it is too early. There is no
//! answer ("leave it overnight") without a cooling record, in hot weather, and where the edge is more than `LONGEST_WAIT_S` away.
//!
//! Limits: ambient is one number, so air that turns colder makes "cold by" early, and a garage warmer than the air that was told makes the
//! late edge early unless the record is long enough to show it; a fan that runs on until the log ends looks like fast cooling, so
//! records under a quarter of an hour give nothing and those under half an hour reckon with the slowest usual vehicle; a sensor in vapour
//! may read low.
//!
//! # References
//!
//! - `docs/detectors/cooling_down.md`: model, choices and what was measured.

mod curve;
mod fit;
mod linear;
mod record;
mod start;

use crate::analysis::ambient::Ambient;
use crate::analysis::phases::Phases;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
use crate::run::Run;
use curve::Curve;
use fit::{COARSE_RULE, Curves};
use record::Record;
use serde::Serialize;
use start::Start;

/// The hottest part is to come under this before anything may be opened, °C. Our own choice: metal at 45 °C can be held, and coolant
/// at 45 °C in a closed system has lost its vapour pressure but not always its gas pressure.
pub const OPEN_BELOW_C: f64 = 45.0;

/// The reading counts as cold within this of ambient, K.
pub const COLD_WITHIN_K: f64 = 5.0;

/// Time constants that vehicles usually have, in seconds (common practice, no source). For planning only: see [`usual_wait`].
pub const USUAL_TIME_CONSTANT_S: [f64; 2] = [3600.0, 10_800.0];

/// Excess of the hottest part over that of the reading once the soak is over: middle and standard deviation. Our own choice, from two-body
/// models in which metal and oil give off between a third and two thirds of the heat.
const HOTTEST_OVER_SENSOR: (f64, f64) = (1.12, 0.12);

/// Standard uncertainty of the sensor against the ambient that it cools to, K: NTC sensors are within 1.5 K at 20 °C and 1 K at 100 °C
/// (tolerances of resistance in a service manual), taken as half-widths.
const SENSOR_K: f64 = 0.9;

/// From this ambient on there is no moment to give, °C.
const HOT_WEATHER_C: f64 = 40.0;

/// Longest wait that is still a number and not "overnight", in seconds after the stop.
const LONGEST_WAIT_S: f64 = 43_200.0;

/// Shortest wait from the stop that is ever given, in seconds. Our own choice.
const SHORTEST_WAIT_S: f64 = 1800.0;

/// Readings all along must reach this far after the stop, in seconds: a fan may run on for ten minutes (common practice, no source).
const LEAST_RECORD_S: f64 = 840.0;

/// A record that ends sooner than this after the stop, in seconds, may still be all fan, and an engine that cools slowly look quick: then
/// the longest usual time constant is reckoned with, if it is later.
const SHORT_RECORD_S: f64 = 1800.0;

/// The least excess over ambient at the top that counts as hot, K.
const LEAST_EXCESS_K: f64 = 15.0;

/// Widest 95 % interval of the time constant, high over low, that is worth printing.
const WIDEST_RATIO: f64 = 3.0;

/// Added to every answer as a share of the time from the stop: what one lump with a drift does not know. From made runs with
/// more bodies than the curve has.
const MODEL_ERROR: f64 = 0.02;

/// What the log shows of the cooling down.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CoolingDown {
    /// Time in which the excess over ambient falls to 1/e, counted from 5 K below the top of the hot soak.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time_constant: Option<Estimate>,
    /// Not to be opened before this, in seconds from the first row; `None` means "leave it overnight".
    pub open_not_before_s: Option<f64>,
    /// When the reading comes within 5 K of ambient, in seconds from the first row.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cold_at_s: Option<Estimate>,
    /// When the engine stopped, in seconds from the first row, where a cooling record was found.
    #[serde(skip)]
    pub stopped_s: Option<f64>,
    /// Where the plain cooling begins, in seconds from the first row.
    #[serde(skip)]
    pub plain_from_s: Option<f64>,
    /// Whether readings show the fall all along (`true`) or only its two ends.
    #[serde(skip)]
    pub continuous: bool,
    /// Why a figure is missing, as a sentence for the report.
    #[serde(skip)]
    pub because: Option<&'static str>,
}

impl CoolingDown {
    /// Examines a run.
    pub fn of(run: &Run, phases: &Phases, ambient: &Ambient) -> Self {
        let air = (ambient.temperature.value, ambient.temperature.standard_uncertainty.max(0.3).hypot(SENSOR_K));
        let records = Record::all(run, phases);
        if records.is_empty() {
            return Self::without("the log has nothing that tells when the engine stopped, or no coolant temperature");
        }
        let found = records.iter().find_map(|record| {
            let start = Start::of(record, air)?;
            let long_enough = !start.continuous || start.last_s() - record.stopped_s >= LEAST_RECORD_S;
            (long_enough && start.top - air.0 >= LEAST_EXCESS_K).then_some((record, start))
        });
        match found {
            None => Self::without("the log shows too little of the cooling down"),
            Some((record, start)) => Self::measured(record, &start),
        }
    }

    fn without(because: &'static str) -> Self {
        Self { because: Some(because), ..Self::default() }
    }

    fn measured(record: &Record, start: &Start) -> Self {
        let Some(curves) = start.problem.curves(start.variance) else {
            return Self::without("the readings after the stop do not fall towards ambient");
        };
        let since_stop = start.origin_s - record.stopped_s;
        let constant = estimate(&curves, |curve| curve.e_folding(start.top - 5.0 - curve.ambient));
        let Some(constant) = constant.filter(|tau| tau.interval_95[1] <= WIDEST_RATIO * tau.interval_95[0]) else {
            return Self::without("the record after the stop is too short for a time constant");
        };
        let mut result = Self {
            time_constant: Some(constant.widened(MODEL_ERROR * constant.value)),
            stopped_s: Some(record.stopped_s),
            plain_from_s: Some(start.origin_s),
            continuous: start.continuous,
            ..Self::default()
        };
        if record.runs_again {
            result.because = Some("the engine was started again, so the moments reckoned from this stop no longer hold");
            return result;
        }
        result.cold_at_s = estimate(&curves, |curve| curve.falls_to(COLD_WITHIN_K))
            .map(|cold| cold.widened(MODEL_ERROR * (cold.value + since_stop).max(0.0)).shifted(start.origin_s));
        result.open_not_before_s = not_before(record, start, &curves);
        if result.open_not_before_s.is_none() {
            result.because = Some("the hottest part may need half a day or more to come under 45 °C in this weather");
        }
        result
    }
}

/// Median and 95 % interval of what the curves say; `None` where an end is not finite.
fn estimate(curves: &Curves, what: impl Fn(&Curve) -> f64) -> Option<Estimate> {
    let (values, weights): (Vec<f64>, Vec<f64>) = curves.weighted.iter().map(|(curve, weight)| (what(curve).min(1e9), *weight)).unzip();
    let at = |share: f64| robust::weighted_quantile(&values, &weights, share).filter(|value| *value < 1e8);
    Some(Estimate::from_interval(at(0.5)?, [at(0.025)?, at(0.975)?], Unit::Second))
}

/// The late edge for the hottest part, in seconds from the first row; `None` for "leave it overnight".
fn not_before(record: &Record, start: &Start, curves: &Curves) -> Option<f64> {
    if start.problem.ambient.0 >= HOT_WEATHER_C {
        return None;
    }
    let (mut moments, mut weights) = (Vec::new(), Vec::new());
    for (curve, weight) in &curves.weighted {
        for (a, wa) in COARSE_RULE {
            for (b, wb) in COARSE_RULE {
                let ratio = (HOTTEST_OVER_SENSOR.0 + HOTTEST_OVER_SENSOR.1 * a).max(1.0);
                let room = OPEN_BELOW_C - curve.ambient - SENSOR_K * b;
                moments.push(curve.falls_to(room / ratio).min(1e9));
                weights.push(weight * wa * wb);
            }
        }
    }
    let edge = start.origin_s + robust::weighted_quantile(&moments, &weights, 0.975)?;
    let edge = edge + crate::estimate::normal_quantile(0.975) * MODEL_ERROR * (edge - record.stopped_s).max(0.0);
    let perhaps_fan = if start.last_s() - record.stopped_s < SHORT_RECORD_S {
        let (excess, room) = (start.top - start.problem.ambient.0, OPEN_BELOW_C - start.problem.ambient.0);
        USUAL_TIME_CONSTANT_S[1] * (HOTTEST_OVER_SENSOR.0 * excess / room).ln().max(0.0)
    } else {
        0.0
    };
    let still_hot = record.readings.iter().filter(|(_, value)| *value >= OPEN_BELOW_C).map(|(time, _)| time).last();
    let moment = edge.max(record.stopped_s + SHORTEST_WAIT_S.max(perhaps_fan)).max(still_hot.unwrap_or(0.0));
    (moment - record.stopped_s <= LONGEST_WAIT_S).then_some(moment)
}

/// For planning, without any record: seconds from a top reading until the excess over ambient has fallen to `excess`, for the shortest and
/// the longest usual time constant. `None` where the reading never gets there. Never to be given as a measured figure.
pub fn usual_wait(top_c: f64, ambient_c: f64, excess: f64) -> Option<[f64; 2]> {
    let falls = ((top_c - ambient_c) / excess).ln();
    (excess > 0.0 && falls.is_finite()).then(|| USUAL_TIME_CONSTANT_S.map(|tau| tau * falls.max(0.0)))
}
