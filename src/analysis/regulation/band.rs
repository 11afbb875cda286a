//! Band: between which readings does the regulated temperature stay for nine tenths of the time?
//!
//! The 5th and 95th percentile, weighted by how long each reading stands, of the reading before it was rounded, from settled to
//! the end of the drive. What is asked for is this drive's own band, so nothing is added for what another drive would have done
//! (see `Band::of_another_drive` for that). Two things blur it:
//!
//! - *rounding*. The percentile of the rounded readings names the step in which the percentile of the signal lies. Where in that
//!   step is anyone's guess, whatever the signal: the steps know nothing of it (`reported_degrees`);
//! - *the moment of settling*. The percentile is taken from several moments within its interval.
//!
//! The interval is that of the mixture of the two.
//!
//! Limits: polling slower than a swing misses its crests.

use crate::analysis::reported_degrees;
use crate::estimate::{Estimate, Unit};
use crate::numeric::autocorrelation;
use crate::run::Trace;

/// Places within the interval of the settling moment (0 its early end, ½ its value, 1 its late end) and their weights, about
/// those of a bell.
const STARTS: [(f64, f64); 5] = [(0.0, 0.06), (0.25, 0.24), (0.5, 0.4), (0.75, 0.24), (1.0, 0.06)];

/// The band with what it would scatter by from drive to drive.
pub(super) struct Band {
    /// 5th percentile, °C.
    pub low: Estimate,
    /// 95th percentile, °C.
    pub high: Estimate,
    /// Standard uncertainty of low and high as those of the vehicle, not of this drive, in kelvin.
    pub of_another_drive: [f64; 2],
}

/// Readings in rising order, each with its moment and how long it stands.
struct Sorted(Vec<(f64, f64, f64)>);

impl Sorted {
    fn of(trace: &Trace) -> Self {
        let held = super::held_times(&trace.time);
        let mut rows: Vec<_> = trace.iter().zip(held).map(|((time, value), weight)| (value, time, weight)).collect();
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self(rows)
    }

    /// The reading under which the trace stands for this share of the time from `start` on.
    fn quantile(&self, start: f64, share: f64) -> Option<f64> {
        let rows = || self.0.iter().filter(|row| row.1 >= start);
        let total: f64 = rows().map(|row| row.2).sum();
        let mut held = 0.0;
        rows()
            .find(|row| {
                held += row.2;
                held >= share.clamp(0.0, 1.0) * total * (1.0 - 1e-12)
            })
            .map(|row| row.0)
    }
}

/// The band of `drive` (to its end) from `settled` on.
pub(super) fn find(drive: &Trace, settled: &Estimate) -> Option<Band> {
    let sorted = Sorted::of(drive);
    let spread = independent_share(&drive.between(settled.value, f64::INFINITY));
    let at = |share: f64| -> Option<(Estimate, f64)> {
        let starts = STARTS.map(|(place, weight)| {
            let [early, late] = settled.interval_95;
            let start = if place < 0.5 {
                early + 2.0 * place * (settled.value - early)
            } else {
                settled.value + (2.0 * place - 1.0) * (late - settled.value)
            };
            sorted.quantile(start, share).map(|reading| (reading, weight))
        });
        let readings: Vec<(f64, f64)> = starts.into_iter().flatten().collect();
        let further = [share - spread * (share * (1.0 - share)).sqrt(), share + spread * (share * (1.0 - share)).sqrt()];
        let reach = sorted.quantile(settled.value, further[1])? - sorted.quantile(settled.value, further[0])?;
        Some((mixture(&readings, drive.step)?, 0.5 * reach))
    };
    let ((low, low_reach), (high, high_reach)) = (at(0.05)?, at(0.95)?);
    let of_another_drive = [low.standard_uncertainty.hypot(low_reach), high.standard_uncertainty.hypot(high_reach)];
    Some(Band { low, high, of_another_drive })
}

/// One over the root of the number of independent readings that the trace is worth.
fn independent_share(held: &Trace) -> f64 {
    let thinned = super::thinned(held, 5.0);
    let mean = thinned.value.iter().sum::<f64>() / thinned.len().max(1) as f64;
    let about: Vec<f64> = thinned.value.iter().map(|value| value - mean).collect();
    autocorrelation::of_residuals(&thinned.time, &about, 1).n_eff.max(1.0).sqrt().recip()
}

/// The truth behind weighted readings of one step.
fn mixture(readings: &[(f64, f64)], step: f64) -> Option<Estimate> {
    let total: f64 = readings.iter().map(|(_, weight)| weight).sum();
    let lowest = readings.iter().map(|r| r.0).fold(f64::INFINITY, f64::min);
    let highest = readings.iter().map(|r| r.0).fold(f64::NEG_INFINITY, f64::max);
    if !(total > 0.0 && lowest.is_finite() && highest.is_finite()) {
        return None;
    }
    let chance =
        |x: f64| readings.iter().map(|(reading, weight)| weight * reported_degrees::chance_below(x - reading, step)).sum::<f64>() / total;
    let solve = |share: f64| {
        let (mut low, mut high) = (lowest - step - 1.0, highest + 2.0 * step + 1.0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if chance(middle) < share { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    };
    let value = readings.iter().map(|(reading, weight)| weight * reading).sum::<f64>() / total + reported_degrees::mean_excess(step);
    // One standard deviation of a bell holds 68.3 %; of this flatter mixture the same share serves as well.
    let share = 0.5 - 0.5 * 0.6827;
    let standard_uncertainty = 0.5 * (solve(1.0 - share) - solve(share));
    Some(Estimate { value, standard_uncertainty, interval_95: [solve(0.025), solve(0.975)], unit: Unit::Celsius })
}
