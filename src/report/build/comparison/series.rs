//! Several runs of a vehicle: each measure's values in time order, their trend, and when a limit is met.

use super::{capitalised, own_words};
use crate::comparison::trend::{FEWEST_DRAWN, FEWEST_RUNS, Forecast, Stated, Trend, YEAR};
use crate::comparison::{Drive, Series};
use crate::estimate::Unit;
use crate::estimate::spoken::number;
use crate::report::document::{Account, AccountPart, AccountRow, Axis, Chart, Curve, Mark, MarkKind, Panel, Words};
use crate::report::moved::Moved;
use chrono::NaiveDate;
use serde_json::{Value, json};

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;

/// What several runs of a vehicle tell together. `drives`: the day of each run, in days of the common era, and the run.
pub fn over_time(vehicle: &str, drives: &[(f64, Drive)], all: &[Series]) -> Moved {
    let told: Vec<String> = all.iter().filter_map(told).collect();
    let moving = all.iter().filter(|series| series.matters()).count();
    let headline = match (drives.len(), moving) {
        (few, _) if few < FEWEST_RUNS => {
            format!("{few} runs are too few to say whether anything moves: a trend is stated from {FEWEST_RUNS} on.")
        }
        (many, 0) => format!("{many} runs show no trend that goes beyond what counts as alike."),
        _ => told.join(" "),
    };
    let parts = all.iter().map(|series| part(series, drives)).collect();
    let remark = "A part changed between two runs is a step and no trend: compare the runs on either side of it.".to_owned();
    Moved {
        title: vehicle.to_owned(),
        headline,
        account: Account { parts, remarks: vec![remark], in_brief: Vec::new() },
        steps: Vec::new(),
        cautions: Vec::new(),
        chart: chart(all, drives),
        json: json!({
            "vehicle": vehicle,
            "runs": drives.iter().map(|(at, drive)| json!({ "run": drive.name, "day": day(*at) })).collect::<Vec<_>>(),
            "series": all.iter().map(as_json).collect::<Vec<_>>(),
        }),
    }
}

/// A shown trend as a sentence or two; `None` where none is shown.
fn told(series: &Series) -> Option<String> {
    let unit = series.values.last()?.2.unit.spoken();
    let Trend::Stated(stated) = &series.trend else { return None };
    let per_year = per_year(series, stated.slope.abs());
    let way = if stated.slope > 0.0 { "rises" } else { "falls" };
    let name = capitalised(series.measure.spoken());
    let ahead = ahead(series, unit).map(|sentence| format!(" {sentence}")).unwrap_or_default();
    series.matters().then(|| format!("{name}: it {way} by {per_year} a year.{ahead}"))
}

/// A slope with its unit: a slope of temperatures is in kelvin.
fn per_year(series: &Series, slope: f64) -> String {
    let unit = match series.values.last() {
        Some((_, _, estimate)) if estimate.unit == Unit::Celsius => Unit::Kelvin.spoken(),
        Some((_, _, estimate)) => estimate.unit.spoken(),
        None => "",
    };
    let decimals = if let Trend::Stated(stated) = &series.trend { decimals(stated) } else { 1 };
    format!("{}{unit}", number(slope * YEAR, decimals))
}

/// Decimals of a yearly slope: none where its interval is many units wide.
fn decimals(stated: &Stated) -> usize {
    usize::from((stated.interval_95[1] - stated.interval_95[0]) * YEAR < 20.0)
}

/// When the limit is met, as a sentence.
fn ahead(series: &Series, unit: &str) -> Option<String> {
    let (limit, forecast) = series.ahead.as_ref()?;
    let at = format!("{}{unit}, {}", number(limit.value, 0), limit.what);
    Some(match forecast {
        Forecast::NoTrend => return None,
        Forecast::Behind => format!("It has passed {} already.", at),
        Forecast::NotSoon => {
            format!("At this rate it does not meet {}, within as long a time as the runs reach back.", at)
        }
        Forecast::At { day: at_day, interval: (earliest, latest) } => {
            let latest = latest.map_or("no latest can be said".to_owned(), |latest| format!("{} at the latest", day(latest)));
            format!("At this rate it meets {at}, about {} ({} at the earliest, {latest}).", day(*at_day), day(*earliest))
        }
    })
}

/// A day of the common era as a date.
fn day(days: f64) -> String {
    NaiveDate::from_num_days_from_ce_opt(days.floor() as i32).map_or("unknown".to_owned(), |date| date.format("%Y-%m-%d").to_string())
}

fn part(series: &Series, drives: &[(f64, Drive)]) -> AccountPart {
    let value = |(place, at, estimate): &(usize, f64, crate::estimate::Estimate)| AccountRow {
        label: match drives.get(*place) {
            Some((_, drive)) if drive.run.started.is_none() => format!("{} {}", day(*at), drive.run.source),
            _ => day(*at),
        },
        estimate: Some(*estimate),
        words: own_words(series.measure, estimate),
        result: false,
    };
    let mut rows: Vec<AccountRow> = series.values.iter().map(value).collect();
    if let Trend::Stated(stated) = &series.trend {
        let [low, high] = stated.interval_95.map(|end| number(end * YEAR, decimals(stated)));
        let sign = if stated.slope > 0.0 { "+" } else { "" };
        let words = Words { value: format!("{sign}{} a year", per_year(series, stated.slope)), interval: format!("{low} to {high}") };
        let label = match (series.matters(), stated.moves()) {
            (true, _) => "it moves by",
            (false, true) => "a trend within what counts as alike",
            (false, false) => "no trend is shown; slope",
        };
        rows.push(AccountRow { label: label.to_owned(), estimate: None, words, result: true });
    }
    AccountPart { title: capitalised(series.measure.spoken()), noted: false, rows }
}

fn as_json(series: &Series) -> Value {
    let values: Vec<Value> =
        series.values.iter().map(|(run, at, estimate)| json!({ "run": run, "day": day(*at), "value": estimate })).collect();
    let trend = match &series.trend {
        Trend::TooFew { have } => json!({ "state": "too_few", "runs": have }),
        Trend::Stated(stated) => json!({
            "state": if stated.moves() { "moves" } else { "none_shown" },
            "slope_per_year": stated.slope * YEAR,
            "interval_95": stated.interval_95.map(|end| end * YEAR),
            "chance_without_a_trend": stated.test.chance,
        }),
    };
    let ahead = series.ahead.as_ref().map(|(limit, forecast)| {
        let forecast = match forecast {
            Forecast::NoTrend => Value::Null,
            Forecast::Behind => json!({ "state": "passed" }),
            Forecast::NotSoon => json!({ "state": "not_soon" }),
            Forecast::At { day: at, interval: (earliest, latest) } => {
                json!({ "state": "at", "day": day(*at), "earliest": day(*earliest), "latest": latest.map(day) })
            }
        };
        json!({ "limit": limit.value, "what": limit.what, "forecast": forecast })
    });
    json!({ "measure": series.measure.id(), "values": values, "trend": trend, "limit": ahead })
}

/// The measures that three runs or more show, one panel each over a common axis of years; `None` where there is none.
fn chart(all: &[Series], drives: &[(f64, Drive)]) -> Option<Chart> {
    let days = || drives.iter().map(|(at, _)| *at).filter(|at| at.is_finite());
    let (first, last) = (days().fold(f64::INFINITY, f64::min), days().fold(f64::NEG_INFINITY, f64::max));
    let drawn: Vec<&Series> = all.iter().filter(|series| series.values.len() >= FEWEST_DRAWN).take(MOST_PANELS).collect();
    if drawn.is_empty() || last <= first {
        return None;
    }
    let at = |day: f64| (day - first) * DAY_S;
    let described: Vec<String> = drawn.iter().map(|series| described(series)).collect();
    Some(Chart {
        description: format!("{} to {}. {}", day(first), day(last), described.join(" ")),
        panels: drawn.iter().map(|series| panel(series, &at)).collect(),
        // The last run stands clear of the edge.
        duration_s: 1.02 * at(last),
        axis: Axis::Years,
        ..Chart::default()
    })
}

/// Most panels that can be read on a phone.
const MOST_PANELS: usize = 4;

fn described(series: &Series) -> String {
    let ends = series.values.first().zip(series.values.last());
    let ends = ends.map(|((_, _, first), (_, _, last))| format!("from {} to {}", first.spoken(), last.spoken()));
    format!("{}: {}.", capitalised(series.measure.spoken()), ends.unwrap_or_default())
}

fn panel(series: &Series, at: &impl Fn(f64) -> f64) -> Panel {
    let values = &series.values;
    let mut curves =
        vec![Curve { name: "runs".to_owned(), points: values.iter().map(|(_, day, value)| (at(*day), value.value)).collect(), main: true }];
    if let (Trend::Stated(stated), Some((_, first, _)), Some((_, last, _))) = (&series.trend, values.first(), values.last())
        && series.matters()
    {
        curves.push(Curve { name: "trend".to_owned(), points: [*first, *last].map(|day| (at(day), stated.at(day))).to_vec(), main: false });
    }
    let marks = values.iter().map(|(_, day, value)| Mark {
        name: String::new(),
        kind: MarkKind::Moment,
        at_s: at(*day),
        interval_s: [at(*day); 2],
        value: Some(value.value),
        value_interval: Some(value.interval_95),
    });
    let unit = values.last().map_or("", |(_, _, value)| value.unit.spoken()).trim().to_owned();
    Panel { label: series.measure.spoken().to_owned(), unit, weight: 1.0, curves, bands: Vec::new(), marks: marks.collect() }
}
