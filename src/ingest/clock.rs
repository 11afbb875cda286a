//! The log's clock: which column it is, what its cells mean, and elapsed seconds from it.
//!
//! A column named for time comes first, then one whose cells are clock times, then the engine's run time. A number's unit is
//! taken from the heading; else Unix time shows by its size, and milliseconds by rows that would lie minutes apart. What is
//! inferred is said.

use super::cell::{self, Cell, Decimals};
use super::columns::{Fit, Heading};
use super::units::{self, Dimension, Unit};
use super::words;
use crate::channel::Channel;
use chrono::NaiveDateTime;
use stamp::Stamp;

pub mod dates;
pub mod stamp;
pub mod steps;

/// Where the clock comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Source {
    /// Numbers in a column.
    Numbers(usize),
    /// Clock cells in a column, with their date in another one if it is not in the same cell.
    Stamps(usize, Option<usize>),
    /// No clock: seconds between rows, as told.
    Period(f64),
}

/// A number beyond this is no time, in whatever unit: Unix time in nanoseconds has nineteen digits.
const LARGEST_NUMBER: f64 = 1e19;

/// What a sample of rows shows about a column.
#[derive(Clone, Copy, Debug, Default)]
struct Content {
    filled: usize,
    numbers: usize,
    times: usize,
    dates_only: usize,
    changes: usize,
}

fn content(sample: &[Vec<&str>], index: usize, decimals: Decimals) -> Content {
    let mut content = Content::default();
    let mut before = "";
    for text in sample.iter().filter_map(|cells| cells.get(index).copied()).filter(|text| !text.is_empty()) {
        content.filled += 1;
        content.changes += usize::from(text != before);
        before = text;
        if matches!(cell::read(text, decimals), Cell::Number(_) | Cell::Quantity(..)) {
            content.numbers += 1;
        } else if let Some(stamp) = stamp::parse(text) {
            content.times += usize::from(stamp.seconds.is_some());
            content.dates_only += usize::from(stamp.seconds.is_none());
        }
    }
    content
}

/// Finds the clock among the columns; `None` if there is none.
pub fn find(headings: &[Heading], fits: &[Option<Fit>], sample: &[Vec<&str>], decimals: Decimals) -> Option<Source> {
    let contents: Vec<Content> = (0..headings.len()).map(|index| content(sample, index, decimals)).collect();
    let mostly = |part: usize, content: &Content| part * 2 > content.filled && content.filled > 0;
    let score = |index: usize, heading: &Heading| {
        let content = contents.get(index)?;
        let (numbers, times) = (mostly(content.numbers, content), mostly(content.times, content));
        if !(numbers || times) {
            return None;
        }
        let stands = content.changes < 2 && sample.len() > 1;
        let reading = words::read(&heading.bare);
        let other = reading.notions
            & !(words::TIME
                | words::STAMP
                | words::DATE
                | words::SATELLITE
                | words::VALUE
                | words::SYSTEM
                | words::START
                | words::RUN
                | words::MODULE);
        let timed = heading.unit.as_ref().is_some_and(|(unit, _)| unit.dimension == Dimension::Time);
        let run_time = fits.get(index).and_then(Option::as_ref).is_some_and(|fit| fit.channel == Channel::RunTime);
        let slow = i32::from(reading.notions & words::SATELLITE != 0) + 3 * i32::try_from(reading.unknown.min(5)).unwrap_or(5);
        let named = reading.notions & (words::TIME | words::STAMP | words::DATE) != 0 && other == 0;
        let bare_unit =
            units::lookup(&heading.name).is_some_and(|unit| unit.dimension == Dimension::Time) || words::split(&heading.bare) == ["t"];
        Some(match () {
            // A run time stands at 0 until the engine fires, which may be beyond the sample.
            () if run_time => {
                if stands {
                    10
                } else {
                    40
                }
            }
            () if stands => return None,
            () if named => 100 - slow,
            () if bare_unit || (timed && reading.notions == 0) => 80 - slow,
            () if times => 70 - slow,
            () => return None,
        })
    };
    let best = headings
        .iter()
        .enumerate()
        .filter_map(|(index, heading)| Some((score(index, heading)?, contents.get(index)?.changes, index)))
        .max_by(|a, b| a.0.cmp(&b.0).then(a.1.cmp(&b.1)).then(b.2.cmp(&a.2)))?;
    Some(as_source(best.2, headings, sample, decimals))
}

/// The clock in a column that is known to be it.
pub fn as_source(index: usize, headings: &[Heading], sample: &[Vec<&str>], decimals: Decimals) -> Source {
    let found = content(sample, index, decimals);
    if found.times <= found.numbers {
        return Source::Numbers(index);
    }
    let dated = sample.iter().filter_map(|cells| stamp::parse(cells.get(index)?)).any(|stamp| stamp.date.is_some());
    let date = (0..headings.len()).find(|&other| {
        let content = content(sample, other, decimals);
        other != index && !dated && content.dates_only * 2 > content.filled
    });
    Source::Stamps(index, date)
}

/// The clock's cells, one a row.
#[derive(Clone, Debug)]
pub enum Cells {
    /// Numbers; NaN where there was none.
    Numbers(Vec<f64>),
    /// Clock cells; empty ones where there was none.
    Stamps(Vec<Stamp>),
}

impl Cells {
    /// An empty list of the kind that the source has.
    pub fn for_source(source: Source) -> Self {
        match source {
            Source::Stamps(..) => Cells::Stamps(Vec::new()),
            _ => Cells::Numbers(Vec::new()),
        }
    }

    /// Reads the clock of one row; whether it had one.
    pub fn push(&mut self, source: Source, cells: &[&str], decimals: Decimals) -> bool {
        match (self, source) {
            (Cells::Stamps(list), Source::Stamps(index, date)) => {
                let mut stamp = cells.get(index).and_then(|text| stamp::parse(text)).unwrap_or_default();
                if let Some(date) = date {
                    stamp.date = cells.get(date).and_then(|text| stamp::parse(text)).and_then(|stamp| stamp.date);
                    stamp.seconds = stamp.seconds.filter(|_| stamp.date.is_some());
                }
                list.push(stamp);
                stamp.seconds.is_some()
            }
            (Cells::Numbers(list), Source::Numbers(index)) => {
                let value = match cells.get(index).map_or(Cell::Empty, |text| cell::read(text, decimals)) {
                    Cell::Number(value) => value,
                    Cell::Quantity(value, unit) => {
                        units::lookup(unit).filter(|unit| unit.dimension == Dimension::Time).map_or(f64::NAN, |unit| unit.convert(value))
                    }
                    _ => f64::NAN,
                };
                let value = if value.abs() < LARGEST_NUMBER { value } else { f64::NAN };
                list.push(value);
                value.is_finite()
            }
            (Cells::Numbers(list), Source::Period(period)) => {
                list.push(list.len() as f64 * period);
                true
            }
            _ => false,
        }
    }
}

/// What the cells mean, in seconds.
#[derive(Clone, Debug)]
pub struct Meaning {
    /// Seconds, one a row; only differences matter; NaN for none.
    pub seconds: Vec<f64>,
    /// Date and time of the first row, if the clock has a date.
    pub started: Option<NaiveDateTime>,
    /// Times of day without a date.
    pub of_day: bool,
    /// In words.
    pub description: String,
    /// The unit had to be inferred: what was taken, and why.
    pub inferred: Option<String>,
}

/// Reads the cells as seconds.
///
/// # Errors
///
/// [`dates::Ambiguous`] if day and month cannot be told apart and it matters.
pub fn interpret(cells: &Cells, source: Source, heading: Option<&Heading>, day_first: Option<bool>) -> Result<Meaning, dates::Ambiguous> {
    let name = heading.map_or("", |heading| heading.name.trim());
    match cells {
        Cells::Numbers(values) => Ok(match source {
            Source::Period(period) => Meaning {
                seconds: values.clone(),
                started: None,
                of_day: false,
                description: format!("no clock in the log; a row every {period} s, as told"),
                inferred: None,
            },
            _ => numbers(values, heading.and_then(|heading| heading.unit.as_ref()).map(|(unit, _)| *unit), name),
        }),
        Cells::Stamps(stamps) => written(stamps, name, day_first),
    }
}

fn written(stamps: &[Stamp], name: &str, day_first: Option<bool>) -> Result<Meaning, dates::Ambiguous> {
    if stamps.iter().any(|stamp| stamp.date.is_some()) {
        let dated = dates::resolve(stamps, day_first)?;
        let zone = if stamps.iter().any(|stamp| stamp.zone.is_some()) { " with zone" } else { "" };
        let order = if dated.order.is_empty() { String::new() } else { format!(" ({})", dated.order) };
        let description = format!("date and time{zone} in `{name}`{order}");
        return Ok(Meaning { seconds: dated.seconds, started: dated.started, of_day: false, description, inferred: None });
    }
    let mut seconds: Vec<f64> = stamps.iter().map(|stamp| stamp.seconds.unwrap_or(f64::NAN)).collect();
    let short = stamps.iter().filter(|stamp| stamp.seconds.is_some()).all(|stamp| stamp.short);
    let mut inferred = None;
    if short {
        // Two numbers and one colon: minutes and seconds unless many rows share each stamp.
        let shared = seconds.windows(2).filter(|pair| pair.first() == pair.last()).count();
        if shared * 8 > seconds.len() * 7 {
            seconds.iter_mut().for_each(|second| *second *= 60.0);
            inferred = Some("clock taken as hours and minutes, because many rows share each".to_owned());
        } else {
            inferred = Some("clock taken as minutes and seconds, because few rows share each".to_owned());
        }
    }
    Ok(Meaning { seconds, started: None, of_day: true, description: format!("clock times in `{name}`"), inferred })
}

/// Rows farther apart than this are no log of a warm-up: the numbers are milliseconds. In seconds.
const MOST_SPACING: f64 = 20.0;

/// A spreadsheet's day numbers of the years 2000 to 2099, counted from 1899-12-30.
const SERIAL_DAYS: std::ops::Range<f64> = 36_526.0..73_051.0;

fn numbers(values: &[f64], stated: Option<&Unit>, name: &str) -> Meaning {
    let mut steps: Vec<f64> = values.windows(2).filter_map(|pair| Some(pair.get(1)? - pair.first()?)).filter(|step| *step > 0.0).collect();
    steps.sort_unstable_by(f64::total_cmp);
    let step = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    let first = values.iter().copied().find(|value| value.is_finite()).unwrap_or(0.0);
    let unix = [
        (1e8, 1e10, 1.0, "seconds"),
        (1e11, 1e13, 1e-3, "milliseconds"),
        (1e14, 1e16, 1e-6, "microseconds"),
        (1e17, 1e19, 1e-9, "nanoseconds"),
    ]
    .into_iter()
    .find(|(low, high, factor, _)| (low..high).contains(&&first) && stated.is_none_or(|unit| unit.factor == *factor));
    if let Some((_, _, factor, unit)) = unix {
        // Differences are taken before scaling: a float holds microseconds of this century, but not sums with fractions of them.
        let seconds = values.iter().map(|value| (value - first) * factor).collect();
        let started = chrono::DateTime::from_timestamp_micros((first * factor * 1e6) as i64).map(|at| at.naive_utc());
        return Meaning { seconds, started, of_day: false, description: format!("Unix time in {unit} (UTC) in `{name}`"), inferred: None };
    }
    let whole = values.iter().all(|value| value.is_nan() || value.fract() == 0.0);
    let last = values.iter().rev().copied().find(|value| value.is_finite()).unwrap_or(0.0);
    if stated.is_none() && SERIAL_DAYS.contains(&first) && !whole && step < 0.02 {
        let seconds = values.iter().map(|value| (value - first) * 86_400.0).collect();
        let started = chrono::NaiveDate::from_ymd_opt(1899, 12, 30).and_then(|zero| dates::moment(zero, first * 86_400.0));
        let inferred = Some("clock taken as a spreadsheet's days, by its size and its steps".to_owned());
        return Meaning { seconds, started, of_day: false, description: format!("days and fractions in `{name}`"), inferred };
    }
    let (unit, inferred) = match stated.filter(|unit| unit.dimension == Dimension::Time) {
        Some(unit) => (unit, None),
        None if step > MOST_SPACING && whole && (last - first).abs() >= 60_000.0 => {
            (&units::MILLISECOND, Some(format!("clock taken as milliseconds, because rows {step} s apart are too far for a log")))
        }
        None => (&units::SECOND, Some("clock taken as seconds".to_owned())),
    };
    let seconds = values.iter().map(|value| value * unit.factor).collect();
    Meaning { seconds, started: None, of_day: false, description: format!("elapsed time in {} in `{name}`", unit.label), inferred }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_shows_its_unit_by_size_and_step() {
        for (values, described, length) in [
            (vec![0.0, 0.5, 1.0], "elapsed time in s", 1.0),
            (vec![0.0, 500.0, 60_000.0], "elapsed time in ms", 60.0),
            (vec![0.0, 30.0, 60.0, 90.0], "elapsed time in s", 90.0),
            (vec![46_083.5, 46_083.500_005_787], "days and fractions", 0.5),
            (vec![1_772_437_270.0, 1_772_437_271.0], "Unix time in seconds", 1.0),
            (vec![1_772_437_270_000.0, 1_772_437_270_500.0], "Unix time in milliseconds", 0.5),
            (vec![1_772_437_270_000_000.0, 1_772_437_270_250_000.0], "Unix time in microseconds", 0.25),
        ] {
            let meaning = numbers(&values, None, "t");
            assert!(meaning.description.starts_with(described), "{}", meaning.description);
            let got = meaning.seconds.last().copied().unwrap_or(0.0) - meaning.seconds.first().copied().unwrap_or(0.0);
            assert!((got - length).abs() < 1e-4, "{described}: {got}");
        }
        let minutes = numbers(&[0.0, 0.5], Some(&units::MINUTE), "t");
        assert_eq!(minutes.seconds, [0.0, 30.0]);
    }
}
