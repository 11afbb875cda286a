//! What the kept runs say of a fleet: which vehicles need a look, which thermostats drift, whose next interval is due.
//!
//! ```text
//! kept runs ─ by vehicle, in time order ─▶ latest verdict and what changed ─▶ needs a look?
//!                                       └▶ opening against time ─ comparison::trend ─▶ drifts?
//! ```
//!
//! A vehicle **needs a look** if its latest verdict is not a pass, or if its latest run was compared with an earlier one and something
//! changed. A thermostat **drifts** if the trend of its opening readings is shown at 5 %, from [`FEWEST`] runs on, and if by it the reading moved
//! farther over those runs than the comparison's margin for an opening, with its whole interval. Of many vehicles without any drift one in
//! twenty shows a trend all the same: the survey says how many that makes ([`Survey::by_chance`]).
//!
//! **The next interval** is not kept: a run holds log, vehicle file and notes, and none of them states how long the coolant lasts. So no
//! day is given.
//!
//! Limits: the trend is over the readings at opening as they were kept, not brought to one rate of heating as a comparison of two runs
//! does; a new thermostat between two runs is a step and no drift. Runs without a vehicle's name belong to nobody and are only counted.

pub mod html;
pub mod json;
pub mod text;

use super::kept::KeptRun;
use super::number::OPENING;
use super::order;
use crate::comparison::Measure;
use crate::comparison::trend::{FEWEST_RUNS, Point, SIGNIFICANCE, Trend, YEAR, day_of};
use crate::estimate::{Estimate, Unit};
use crate::run::Run;
use crate::vehicle::known_by;
use crate::verdict::decision::Verdict;
use polars::error::PolarsResult;
use polars::prelude::{DataFrame, NamedFrom, Series, SortMultipleOptions};

/// Fewest runs from which a drift is stated.
pub const FEWEST: usize = FEWEST_RUNS;

/// Why no next interval is given.
pub const NO_INTERVAL: &str = "No kept run says how long its coolant lasts or when it is due: log, vehicle file and level notes do not state it, and what is \
    typed for the plan is not kept. So this is left open; the plan of the last refill and the maker's schedule say it.";

/// What the kept runs of one vehicle say.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// The vehicle's name, as its latest run has it.
    pub vehicle: String,
    /// How many runs of it are kept.
    pub runs: usize,
    /// Its latest run.
    pub latest: KeptRun,
    /// Whether it needs a look.
    pub look: bool,
    /// The opening over time.
    pub opening: Trend,
    /// Years from the first opening to the last.
    pub years: f64,
}

/// What the openings of one vehicle tell together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drift {
    /// Too few of them.
    TooFew,
    /// No trend is shown.
    NoneShown,
    /// A trend is shown; by how much the reading moved by it may be of no consequence.
    Small(Estimate),
    /// The reading moved by this much, wholly beyond the margin.
    Beyond(Estimate),
}

impl Standing {
    /// What the openings tell.
    pub fn drift(&self) -> Drift {
        let Trend::Stated(stated) = &self.opening else { return Drift::TooFew };
        if !stated.moves() {
            return Drift::NoneShown;
        }
        let days = self.years * YEAR;
        let moved = Estimate::from_interval(days * stated.slope, stated.interval_95.map(|end| days * end), Unit::Kelvin);
        if stated.goes_beyond(margin(), days) { Drift::Beyond(moved) } else { Drift::Small(moved) }
    }
}

/// The least that the reading moved, either way.
fn least(moved: &Estimate) -> f64 {
    let [low, high] = moved.interval_95;
    low.max(-high).max(0.0)
}

/// What an opening may move by before it is worth a hand's work, in kelvin.
pub fn margin() -> f64 {
    Measure::Opening.margin(&Run::default())
}

/// What the kept runs say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Survey {
    /// One a vehicle: those that need a look first, the worst before the others.
    pub vehicles: Vec<Standing>,
    /// How many runs state no vehicle's name.
    pub nameless: usize,
    /// Runs that could not be opened: name and why.
    pub not_opened: Vec<(String, String)>,
}

impl Survey {
    /// Of kept runs in any order.
    ///
    /// # Errors
    ///
    /// Only what the dataframe library reports.
    pub fn of(runs: &[KeptRun], not_opened: Vec<(String, String)>) -> PolarsResult<Self> {
        let mut vehicles = Vec::new();
        for group in by_vehicle(runs)? {
            let of_vehicle: Vec<&KeptRun> = group.iter().filter_map(|&run| runs.get(run)).collect();
            vehicles.extend(standing(&of_vehicle));
        }
        vehicles.sort_by(|one, other| (!one.look).cmp(&!other.look).then_with(|| order::compare(&one.latest.row, &other.latest.row)));
        let nameless = runs.iter().filter(|run| key(run).is_none()).count();
        Ok(Self { vehicles, nameless, not_opened })
    }

    /// Vehicles whose opening has a trend that could be tested.
    pub fn tested(&self) -> usize {
        self.vehicles.iter().filter(|standing| matches!(standing.opening, Trend::Stated(_))).count()
    }

    /// Vehicles whose thermostats drift, the farthest first, with how far.
    pub fn drifting(&self) -> Vec<(&Standing, Estimate)> {
        let beyond = |one| match Standing::drift(one) {
            Drift::Beyond(moved) => Some((one, moved)),
            _ => None,
        };
        let mut drifting: Vec<(&Standing, Estimate)> = self.vehicles.iter().filter_map(beyond).collect();
        drifting.sort_by(|(_, one), (_, other)| least(other).total_cmp(&least(one)));
        drifting
    }

    /// Vehicles with a trend that may be of no consequence.
    pub fn small(&self) -> usize {
        self.vehicles.iter().filter(|one| matches!(one.drift(), Drift::Small(_))).count()
    }

    /// How many of them show a trend by chance alone, on the average.
    pub fn by_chance(&self) -> f64 {
        SIGNIFICANCE * self.tested() as f64
    }

    /// The program's exit code: 1 if the latest run of any vehicle is a recheck, 3 if anything else asks for a look, else 0.
    pub fn exit_code(&self) -> u8 {
        let latest = |verdict: Verdict| self.vehicles.iter().filter_map(|one| one.latest.row.found()).any(|found| found.verdict == verdict);
        if latest(Verdict::Recheck) {
            Verdict::Recheck.exit_code()
        } else if self.vehicles.iter().any(|one| one.look) || !self.not_opened.is_empty() {
            Verdict::Inconclusive.exit_code()
        } else {
            Verdict::Pass.exit_code()
        }
    }
}

/// What a run's vehicle is known by.
fn key(run: &KeptRun) -> Option<String> {
    run.about.vehicle.as_deref().map(known_by).filter(|name| !name.is_empty())
}

/// Places of the runs of each vehicle, in time order.
fn by_vehicle(runs: &[KeptRun]) -> PolarsResult<Vec<Vec<usize>>> {
    let named: Vec<(usize, String)> = runs.iter().enumerate().filter_map(|(place, run)| Some((place, key(run)?))).collect();
    if named.is_empty() {
        return Ok(Vec::new());
    }
    let driven = named.iter().filter_map(|(place, _)| runs.get(*place)).map(|run| run.about.driven.and_utc().timestamp_micros());
    let ids = named.iter().filter_map(|(place, _)| runs.get(*place)).map(|run| run.about.id.as_str());
    let frame = DataFrame::new(
        named.len(),
        vec![
            Series::new("vehicle".into(), named.iter().map(|(_, name)| name.as_str()).collect::<Vec<_>>()).into(),
            Series::new("driven".into(), driven.collect::<Vec<i64>>()).into(),
            Series::new("id".into(), ids.collect::<Vec<_>>()).into(),
            Series::new("place".into(), named.iter().map(|(place, _)| *place as u64).collect::<Vec<_>>()).into(),
        ],
    )?
    .sort(["vehicle", "driven", "id"], SortMultipleOptions::default())?;
    let (vehicles, places) = (frame.column("vehicle")?.str()?, frame.column("place")?.u64()?);
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut last = None;
    for (vehicle, place) in vehicles.iter().zip(places.iter()) {
        let place = place.unwrap_or_default() as usize;
        match groups.last_mut().filter(|_| vehicle == last) {
            Some(group) => group.push(place),
            None => groups.push(vec![place]),
        }
        last = vehicle;
    }
    Ok(groups)
}

/// One vehicle, its runs in time order.
fn standing(runs: &[&KeptRun]) -> Option<Standing> {
    let latest = (*runs.last()?).clone();
    let found = latest.row.found()?;
    let look = found.verdict != Verdict::Pass || !latest.changed.is_empty();
    let points: Vec<Point> = runs
        .iter()
        .filter_map(|run| Some(Point { day: day_of(run.about.driven), value: run.row.found()?.number(OPENING)?.value }))
        .collect();
    let ends = points.first().zip(points.last());
    Some(Standing {
        years: ends.map_or(0.0, |(first, last)| (last.day - first.day) / YEAR),
        vehicle: latest.about.vehicle.clone().unwrap_or_default(),
        runs: runs.len(),
        look,
        opening: Trend::of(&points),
        latest,
    })
}
