//! When does a trend meet a limit?
//!
//! The line goes through the medians, with Theil and Sen's slope. Its interval comes of the lines that are left possible: those with the ends
//! of the slope's interval and the median level, and those with the slope itself and the ends of the level's interval (order statistics of
//! what the slope leaves: for five runs the smallest and the largest). Earliest and latest of them are stated.

use super::{Point, Stated};
use crate::numeric::robust;

/// When a limit is met, in the days of the points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Forecast {
    /// No trend is shown, so nothing is foretold.
    NoTrend,
    /// The trend has passed the limit, or moves away from it.
    Behind,
    /// Not within as long a time as the runs reach back.
    NotSoon,
    /// It is met about then.
    At {
        /// Most likely day.
        day: f64,
        /// Earliest and latest, 95 %; no latest where the slowest line that is left does not meet it within ten times as long as the runs reach
        /// back.
        interval: (f64, Option<f64>),
    },
}

/// How many times the length of the series the latest moment may lie ahead and still be a date.
const LATEST: f64 = 10.0;

impl Forecast {
    pub(super) fn of(stated: &Stated, points: &[Point], limit: f64) -> Self {
        let (Some(first), Some(last)) = (points.first(), points.last()) else { return Forecast::NoTrend };
        if !stated.moves() || !limit.is_finite() {
            return Forecast::NoTrend;
        }
        let left = |slope: f64| points.iter().map(|point| point.value - slope * point.day).collect::<Vec<f64>>();
        let level = |slope: f64| robust::median(&left(slope)).unwrap_or(f64::NAN);
        let meets = |slope: f64, level: f64| (limit - level) / slope;
        let day = meets(stated.slope, level(stated.slope));
        let [low, high] = stated.interval_95;
        let mut rest = left(stated.slope);
        rest.sort_by(f64::total_cmp);
        let in_from_end = sign_rank(rest.len());
        let levels = [rest.get(in_from_end), rest.get(rest.len() - 1 - in_from_end)];
        let lines = [(low, level(low)), (high, level(high))].into_iter();
        let lines = lines.chain(levels.into_iter().flatten().map(|level| (stated.slope, *level)));
        let moments: Vec<f64> = lines.map(|(slope, level)| meets(slope, level)).chain([day]).collect();
        let earliest = moments.iter().copied().fold(f64::INFINITY, f64::min);
        let latest = moments.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let reach = last.day - first.day;
        if day <= last.day {
            Forecast::Behind
        } else if !day.is_finite() || day > last.day + reach {
            Forecast::NotSoon
        } else {
            Forecast::At { day, interval: (earliest, Some(latest).filter(|latest| *latest <= last.day + LATEST * reach)) }
        }
    }
}

/// How far in from the end of n sorted values a bound of their median lies at 95 % (sign test); 0 where no farther one holds it.
fn sign_rank(n: usize) -> usize {
    let mut term = 0.5f64.powi(n.min(1000) as i32);
    let mut below = term;
    let mut rank = 0;
    while rank + 1 < n / 2 {
        term *= (n - rank) as f64 / (rank + 1) as f64;
        if 2.0 * (below + term) > 0.05 {
            break;
        }
        below += term;
        rank += 1;
    }
    rank
}
