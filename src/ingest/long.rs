//! Long tables: a row a value. Each signal becomes what a column is in a wide table.

use super::cell::{self, Cell};
use super::clock::Source;
use super::clock::steps::{Elapsed, Nature, elapse};
use super::columns::{self, Heading};
use super::dialect::Dialect;
use super::error::Problem;
use super::rows::MOST_CELLS;
use super::table::{self, Series, Table};
use super::words;
use std::collections::HashMap;

/// Which columns hold what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LongColumns {
    /// The signal's name.
    pub signal: usize,
    /// Its value.
    pub value: usize,
    /// The value's unit.
    pub unit: Option<usize>,
}

/// Finds the columns of a long table; `None` if the table is wide.
pub fn long_columns(headings: &[Heading], sample: &[Vec<&str>], dialect: &Dialect) -> Option<LongColumns> {
    let notions: Vec<words::Notions> = headings.iter().map(|heading| words::read(&heading.name).notions).collect();
    let find = |wanted: words::Notions, not: words::Notions| notions.iter().position(|found| found & wanted != 0 && found & not == 0);
    let value = find(words::VALUE, !(words::VALUE | words::SENSOR | words::SIGNAL))?;
    let signal = find(words::SIGNAL | words::SENSOR, !(words::SIGNAL | words::SENSOR | words::MODULE)).filter(|&index| index != value)?;
    let unit = find(words::UNIT, !(words::UNIT | words::VALUE)).filter(|&index| index != value && index != signal);
    let share = |index: usize, number: bool| {
        let filled: Vec<&str> = sample.iter().filter_map(|cells| cells.get(index).copied()).filter(|cell| !cell.is_empty()).collect();
        let numbers =
            filled.iter().filter(|cell| matches!(cell::read(cell, dialect.decimals), Cell::Number(_) | Cell::Quantity(..))).count();
        if number { numbers * 2 > filled.len() } else { !filled.is_empty() }
    };
    // Signals come again and again; a column of free text does not.
    let again = {
        let mut names: Vec<&str> = sample.iter().filter_map(|cells| cells.get(signal).copied()).collect();
        names.sort_unstable();
        names.dedup();
        names.len() * 2 <= sample.len().max(2)
    };
    (share(value, true) && share(signal, false) && again).then_some(LongColumns { signal, value, unit })
}

/// A long table, walked: its rows, and each signal's heading and numbers.
pub type Signals<'a> = (Table, Vec<Heading<'a>>, Vec<Series>);

/// The signals of a long table, each with a heading and its numbers.
///
/// # Errors
///
/// [`Problem::TooManyColumns`] if there are more signals than a table may have columns.
pub fn walk<'a>(text: &'a str, dialect: &Dialect<'a>, clock: Source, places: LongColumns) -> Result<Signals<'a>, Problem> {
    let mut index_of: HashMap<&str, usize> = HashMap::new();
    let mut headings: Vec<Heading> = Vec::new();
    let mut series: Vec<Series> = Vec::new();
    let mut too_many = false;
    let table = table::walk(text, dialect, clock, false, |row, cells| {
        let (Some(&signal), Some(&value)) = (cells.get(places.signal), cells.get(places.value)) else { return };
        let unit = places.unit.and_then(|unit| cells.get(unit)).copied().unwrap_or_default();
        if series.len() >= MOST_CELLS && !index_of.contains_key(signal) {
            too_many = true;
            return;
        }
        let index = *index_of.entry(signal).or_insert_with(|| {
            let mut heading = columns::heading(signal, unit);
            // Where the name is a bare parameter number, it stands where wide tables have their identifiers.
            if unit.is_empty() || heading.unit.is_some() {
                heading.below = signal;
            }
            series.push(Series::stated(true, heading.unit.as_ref().map(|(unit, _)| *unit)));
            headings.push(heading);
            series.len() - 1
        });
        if let Some(series) = series.get_mut(index) {
            series.push(u32::try_from(row).unwrap_or(u32::MAX), value, dialect.decimals);
        }
    });
    if too_many {
        return Err(Problem::TooManyColumns { line: dialect.heading_line, most: MOST_CELLS });
    }
    Ok((table, headings, series))
}

/// Elapsed seconds of each series by its own stamps, all from one zero.
///
/// Rows of one moment share a stamp here as a matter of course, so the rule for shared stamps is applied signal by signal.
pub fn elapse_each(stamps: &[f64], of_day: bool, series: &[&Series]) -> Vec<Elapsed> {
    let own =
        |series: &Series| -> Vec<f64> { series.row.iter().map(|&row| stamps.get(row as usize).copied().unwrap_or(f64::NAN)).collect() };
    let zero = stamps.iter().copied().find(|stamp| stamp.is_finite()).unwrap_or(0.0);
    let lowest = stamps.iter().copied().filter(|stamp| stamp.is_finite()).fold(f64::INFINITY, f64::min);
    // A table sorted by signal, not by time, begins with some signal's first value, which need not be the earliest.
    let zero = if of_day { zero } else { lowest.min(zero) };
    series
        .iter()
        .map(|series| {
            let own = own(series);
            let mut elapsed = elapse(&own, Nature { of_day }, |_, _| false);
            let first = own.iter().copied().find(|stamp| stamp.is_finite()).unwrap_or(zero);
            let day = if of_day && first - zero < -43_200.0 { 86_400.0 } else { 0.0 };
            elapsed.seconds.iter_mut().for_each(|second| *second += first - zero + day + elapsed.lead);
            elapsed
        })
        .collect()
}
