//! Trend: does a measure move over several runs, how fast, and when does it meet a limit?
//!
//! From five runs on the slope is Theil and Sen's median of all pairs' slopes, tested by Mann and Kendall's count of rises less falls
//! ([`kendall`]). Both ask only for order, so one odd run does little. Under five nothing can be stated: of four runs even the clearest order
//! has a two-sided chance of 2/24 = 8 % without any trend, and no interval of slopes holds 95 %; of five it is 2/120.
//!
//! The slope's interval is exact for that count: with N pairs in order of slope, the r-th smallest and r-th largest enclose the true slope
//! unless |S| > N − 2r. The moment at which a limit is met is stated only where the trend is significant and heads for the limit, with the
//! earliest and latest of the lines that slope and level allow; farther ahead than the runs reach back it is not stated.
//!
//! Limits: one straight line; a part changed between two runs is a step, and whoever knows of one begins the series after it.
//!
//! # References
//!
//! - Sen, P. K. (1968). *J. Am. Stat. Assoc.* 63, 1379–1389 (slope and its interval).
//! - Mann, H. B. (1945). Nonparametric tests against trend. *Econometrica* 13, 245–259 (from memory).

pub mod forecast;
pub mod kendall;

pub use forecast::Forecast;

use crate::numeric::robust;
use chrono::{Datelike, NaiveDateTime, Timelike};
use kendall::Kendall;

/// Fewest runs from which a trend is stated.
pub const FEWEST_RUNS: usize = 5;

/// Fewest runs that are drawn as a series at all.
pub const FEWEST_DRAWN: usize = 3;

/// Level of significance of a trend.
pub const SIGNIFICANCE: f64 = 0.05;

/// One run's value of a measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// When the run was, in days from any fixed day.
    pub day: f64,
    /// The value.
    pub value: f64,
}

/// What a series of runs tells.
#[derive(Clone, Debug, PartialEq)]
pub enum Trend {
    /// Too few runs to say anything; from [`FEWEST_DRAWN`] on they may be drawn.
    TooFew {
        /// How many there are.
        have: usize,
    },
    /// A slope with its test.
    Stated(Stated),
}

/// A stated trend.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    /// Change a day: the median of all pairs.
    pub slope: f64,
    /// 95 % interval of the slope.
    pub interval_95: [f64; 2],
    /// Rises less falls, and their chance.
    pub test: Kendall,
    /// The runs, in time order.
    points: Vec<Point>,
}

/// Days in a year.
pub const YEAR: f64 = 365.25;

/// A moment as a day of the common era, with its part.
pub fn day_of(moment: NaiveDateTime) -> f64 {
    f64::from(moment.num_days_from_ce()) + f64::from(moment.num_seconds_from_midnight()) / 86_400.0
}

impl Trend {
    /// Of runs in any order; values and days that are not finite, and runs at the very same moment as an earlier one, are left out.
    pub fn of(points: &[Point]) -> Self {
        let mut points: Vec<Point> = points.iter().copied().filter(|point| point.day.is_finite() && point.value.is_finite()).collect();
        points.sort_by(|a, b| a.day.total_cmp(&b.day));
        points.dedup_by(|later, earlier| later.day == earlier.day);
        let have = points.len();
        match Stated::of(points) {
            Some(stated) if have >= FEWEST_RUNS => Trend::Stated(stated),
            _ => Trend::TooFew { have },
        }
    }

    /// What the series tells, as a sentence; `unit` with its space before it.
    pub fn spoken(&self, unit: &str) -> String {
        match self {
            Trend::TooFew { have } => {
                let drawn = if *have >= FEWEST_DRAWN { "They are drawn, and no more; a" } else { "A" };
                format!("{have} runs are too few to say whether it moves. {drawn} trend is stated from {FEWEST_RUNS} on.")
            }
            Trend::Stated(stated) => {
                let number = |value: f64| crate::estimate::spoken::number(value * YEAR, 1);
                let [low, high] = stated.interval_95;
                let how = if stated.moves() { "It moves by" } else { "No trend is shown; the slope is" };
                format!("{how} {}{unit} a year ({} to {}).", number(stated.slope), number(low), number(high))
            }
        }
    }
}

impl Stated {
    fn of(points: Vec<Point>) -> Option<Self> {
        let (days, values): (Vec<f64>, Vec<f64>) = points.iter().map(|point| (point.day, point.value)).unzip();
        let line = robust::theil_sen(&days, &values, |_, _| points.len() as f64)?;
        let test = Kendall::of(&values);
        let interval_95 = exact_interval(&points, &test).unwrap_or(line.interval_95);
        Some(Self { slope: line.slope, interval_95, test, points })
    }

    /// Whether a trend is shown.
    pub fn moves(&self) -> bool {
        self.test.chance < SIGNIFICANCE && (self.interval_95[0] > 0.0 || self.interval_95[1] < 0.0)
    }

    /// Whether a trend is shown that, even at its slowest, has gone farther than `margin` in so many days. Small steps that happen to go one
    /// way are a trend by order alone.
    pub fn goes_beyond(&self, margin: f64, days: f64) -> bool {
        let slowest = self.interval_95.map(f64::abs).into_iter().fold(f64::INFINITY, f64::min);
        self.moves() && slowest * days > margin
    }

    /// The line through the medians, at a day.
    pub fn at(&self, day: f64) -> f64 {
        let left: Vec<f64> = self.points.iter().map(|point| point.value - self.slope * point.day).collect();
        robust::median(&left).unwrap_or(f64::NAN) + self.slope * day
    }

    /// When a limit is met.
    pub fn meets(&self, limit: f64) -> Forecast {
        Forecast::of(self, &self.points, limit)
    }
}

/// Sen's interval by the exact distribution of S; `None` where values are equal or the runs too many for it.
fn exact_interval(points: &[Point], test: &Kendall) -> Option<[f64; 2]> {
    let exact = test.exact.as_ref()?;
    let mut slopes = Vec::new();
    for (i, now) in points.iter().enumerate() {
        slopes.extend(points[..i].iter().map(|then| (now.value - then.value) / (now.day - then.day)));
    }
    slopes.sort_by(f64::total_cmp);
    let pairs = slopes.len();
    // The farther in, the narrower; the last that still holds 95 %.
    let r = (1..=pairs / 2).take_while(|r| exact.beyond((pairs - 2 * r) as i64) <= SIGNIFICANCE).last()?;
    Some([*slopes.get(r - 1)?, *slopes.get(pairs - r)?])
}
