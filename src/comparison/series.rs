//! Series: one measure over several runs of a vehicle, with its trend and when it meets a limit.
//!
//! The values are the runs' own estimates. Of the opening it is the reading at which the valve's wax starts, because the reading at the
//! first lift runs ahead of it by how hard the vehicle was driven that day. Limits are the verdict's.
//!
//! Limits: a part changed between two runs is a step and no trend; whoever knows of one begins the series after it.

use super::trend::{Forecast, Point, Trend};
use super::{Drive, Measure, levels};
use crate::analysis::trapped_air;
use crate::estimate::Estimate;
use crate::run::Run;
use crate::vehicle::Side;
use crate::verdict::limits;
use crate::verdict::rules::opening::{valve_starts_at, wax_rating};

/// A measure over several runs.
#[derive(Clone, Debug)]
pub struct Series {
    /// What it is.
    pub measure: Measure,
    /// Place of each run that shows it among the drives, its day and its value; in time order.
    pub values: Vec<(usize, f64, Estimate)>,
    /// How far it may move and count as alike, as in [`Measure::margin`].
    pub margin: f64,
    /// What they tell together.
    pub trend: Trend,
    /// The limit that the trend heads for, and when it is met; `None` where no trend is shown or no limit lies ahead.
    pub ahead: Option<(Limit, Forecast)>,
}

/// A limit of the verdict.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// In the measure's unit.
    pub value: f64,
    /// Whose limit it is: "the least for its stamp".
    pub what: &'static str,
}

impl Series {
    /// Whether a trend is shown that has taken the measure farther than what counts as alike.
    pub fn matters(&self) -> bool {
        let Trend::Stated(stated) = &self.trend else { return false };
        let (Some((_, first, then)), Some((_, last, _))) = (self.values.first(), self.values.last()) else { return false };
        let margin = if self.measure.is_share() { self.margin * then.value.abs() } else { self.margin };
        stated.goes_beyond(margin, last - first)
    }
}

/// The measures that at least one run shows, each with its series. `drives`: day of each run, in days from any fixed one, and the run.
pub fn series(drives: &[(f64, Drive)]) -> Vec<Series> {
    let mut order: Vec<usize> = (0..drives.len()).collect();
    order.sort_by(|a, b| drives[*a].0.total_cmp(&drives[*b].0));
    let of = |measure: Measure| {
        let values: Vec<(usize, f64, Estimate)> =
            order.iter().filter_map(|&place| Some((place, drives[place].0, measure.of(drives[place].1)?))).collect();
        let points: Vec<Point> = values.iter().map(|(_, day, estimate)| Point { day: *day, value: estimate.value }).collect();
        let trend = Trend::of(&points);
        let last = values.last().map(|(place, _, _)| drives[*place].1.run);
        let ahead = last.and_then(|run| ahead(measure, run, &trend));
        let margin = last.map_or(0.0, |run| measure.margin(run));
        Series { measure, values, margin, trend, ahead }
    };
    Measure::ALL.into_iter().map(of).filter(|series| !series.values.is_empty()).collect()
}

impl Measure {
    /// The measure on one drive, if it shows it and is a number there.
    pub fn of(self, drive: Drive) -> Option<Estimate> {
        let analysis = drive.analysis;
        match self {
            Measure::Opening => analysis.opening.temperature.map(|temperature| valve_starts_at(&temperature, analysis)),
            Measure::BandLow => analysis.regulation.low,
            Measure::BandHigh => analysis.regulation.high,
            Measure::RiseStanding => analysis.heat_rejection.rise_standing,
            Measure::RiseMoving => analysis.heat_rejection.rise_moving,
            Measure::CoolingDown => analysis.cooling_down.time_constant,
            Measure::LevelLoss => levels::per_cycle(drive),
            Measure::SensorOffset => analysis.sensor_offset.as_ref().ok().map(|found| found.offset),
            Measure::HeatCapacity | Measure::HeatLoss | Measure::Coverage => None,
        }
    }
}

/// The limit that a shown trend heads for.
fn ahead(measure: Measure, run: &Run, trend: &Trend) -> Option<(Limit, Forecast)> {
    let Trend::Stated(stated) = trend else { return None };
    if !stated.moves() {
        return None;
    }
    let [low, high] = limits_of(measure, run);
    let limit = if stated.slope > 0.0 { high } else { low }?;
    Some((limit, stated.meets(limit.value)))
}

/// The least and the most that the verdict allows.
fn limits_of(measure: Measure, run: &Run) -> [Option<Limit>; 2] {
    let both = |[low, high]: [f64; 2], what: [&'static str; 2]| {
        [Some(Limit { value: low, what: what[0] }), Some(Limit { value: high, what: what[1] })]
    };
    match measure {
        Measure::Opening => match wax_rating(&run.vehicle.thermostat) {
            Some(rating) => {
                let about = match run.vehicle.thermostat.side {
                    Side::Outlet => limits::OUTLET_ABOUT_RATING_K,
                    Side::Inlet => limits::INLET_ABOUT_RATING_K,
                    Side::Unknown => limits::UNKNOWN_ABOUT_RATING_K,
                };
                both(about.map(|beside| rating + beside), ["the least for its stamp", "the most for its stamp"])
            }
            None => both(limits::OPENING_ANY, ["the least for any thermostat", "the most for any thermostat"]),
        },
        Measure::SensorOffset => both([-limits::SENSOR_OFFSET_K, limits::SENSOR_OFFSET_K], ["what is ordinary for a sensor"; 2]),
        Measure::LevelLoss => [None, Some(Limit { value: trapped_air::threshold(run), what: "the volume from which it matters" })],
        _ => [None, None],
    }
}
