//! Settling: from when on does the reading hold its band?
//!
//! Settled is the first moment, at least `AFTER_LIFT_S` after the valve first lifts, from which the mean over two minutes and the
//! mean over the next two differ by less than `RISE_K` of rise. Where the log ends sooner, the stretches shrink to half of what
//! is left and the allowed rise with them.
//!
//! Rounding blurs a mean the less, the more steps the reading passes within it; so each difference of means has a standard
//! uncertainty
//!
//! ```text
//! u² = step²/12 · (1/(1 + k₁) + 1/(1 + k₂))        k: changes of the reading within each stretch
//! ```
//!
//! and the interval's ends are where the difference would pass with 1.96 u given away to either side, from either end of the
//! interval of the lift.
//!
//! Limits: a rise that goes on by less than 1 K in two minutes counts as settled, however long it lasts; the drift says so.

use crate::estimate::{Estimate, Unit, normal_quantile};
use crate::numeric::robust;
use crate::run::Trace;

/// Seconds after the first lift before the band can count: what an overshoot takes to pass (common practice, no source).
const AFTER_LIFT_S: f64 = 60.0;

/// Length of a stretch, in seconds: twice the slow swing of a driven car (half to two minutes in public warm-ups).
const STRETCH_S: f64 = 120.0;

/// Rise from one stretch to the next that still counts as settled, in kelvin: one step of a reading in whole degrees.
const RISE_K: f64 = 1.0;

/// Seconds between moments that are tried.
const SCAN_S: f64 = 1.0;

/// The shortest hold from which anything is said, in seconds: half a slow swing, crest and middle.
pub(super) const LEAST_HOLD_S: f64 = 30.0;

/// When the reading settles; `None` if it never does within the trace. `lift` is the first lift with its interval, `None` where
/// the valve was open from the start.
pub(super) fn find(drive: &Trace, lift: Option<&Estimate>) -> Option<Estimate> {
    let means = Means::of(drive);
    let (first, last) = (*drive.time.first()?, *drive.time.last()?);
    let from = |moment: f64| if lift.is_some() { moment + AFTER_LIFT_S } else { first };
    let lifted = lift.map_or([first; 3], |lift| [lift.interval_95[0], lift.value, lift.interval_95[1]]).map(from);
    let guard = normal_quantile(0.975);
    let value = means.settled(lifted[1], last, 0.0)?;
    let early = means.settled(lifted[0], last, guard).unwrap_or(value).min(value).max(first);
    let late = means.settled(lifted[2], last, -guard).unwrap_or(last - LEAST_HOLD_S).max(value);
    Some(Estimate::from_interval(value, [early, late], Unit::Second))
}

/// Running sums over a trace, for means between any two moments.
struct Means<'a> {
    time: &'a [f64],
    step: f64,
    weight: Vec<f64>,
    sum: Vec<f64>,
    changes: Vec<f64>,
}

impl<'a> Means<'a> {
    fn of(trace: &'a Trace) -> Self {
        let held = super::held_times(&trace.time);
        let running = |terms: Vec<f64>| -> Vec<f64> {
            std::iter::once(0.0)
                .chain(terms.iter().scan(0.0, |sum, term| {
                    *sum += term;
                    Some(*sum)
                }))
                .collect()
        };
        // About a middle reading, so that sums keep their digits.
        let middle = robust::median(&trace.value).unwrap_or(0.0);
        let products = trace.value.iter().zip(&held).map(|(value, weight)| (value - middle) * weight).collect();
        let changed = (0..trace.len()).map(|i| f64::from(u8::from(i > 0 && trace.value[i] != trace.value[i - 1]))).collect();
        Self { time: &trace.time, step: trace.step, weight: running(held), sum: running(products), changes: running(changed) }
    }

    /// Mean (about the middle) over a stretch and the changes in it; `None` without a reading there.
    fn over(&self, from: f64, to: f64) -> Option<(f64, f64)> {
        let (first, last) = (self.time.partition_point(|&t| t < from), self.time.partition_point(|&t| t < to));
        let weight = self.weight.get(last)? - self.weight.get(first)?;
        (weight > 0.0).then(|| ((self.sum[last] - self.sum[first]) / weight, self.changes[last] - self.changes[first]))
    }

    /// First moment from which neighbouring means rise by less than is allowed, with `guard` standard uncertainties added to the
    /// allowance.
    fn settled(&self, from: f64, last: f64, guard: f64) -> Option<f64> {
        let tries = ((last - LEAST_HOLD_S - from) / SCAN_S).floor();
        (0..=tries.clamp(-1.0, 1e6) as i64).map(|k| from + k as f64 * SCAN_S).filter(|at| at + LEAST_HOLD_S <= last).find(|&at| {
            let length = STRETCH_S.min(0.5 * (last - at));
            let (Some((now, k1)), Some((next, k2))) = (self.over(at, at + length), self.over(at + length, at + 2.0 * length)) else {
                return false;
            };
            let u = self.step * ((1.0 / (1.0 + k1) + 1.0 / (1.0 + k2)) / 12.0).sqrt();
            next - now < RISE_K * length / STRETCH_S + guard * u
        })
    }
}
