//! The columns of the table, once for CSV, Parquet and whoever reads them back.
//!
//! Numbers are written so that reading them back gives the same bits; an unknown one is an empty cell, never 0.

pub mod read;

use super::number::KEYS;
use super::row::{Answer, Row};
use crate::verdict::decision::Decision;
use crate::verdict::ruling::Topic;
use chrono::NaiveDateTime;

/// What stands in a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A text; empty for none.
    Text(String),
    /// A number.
    Number(Option<f64>),
    /// A date and time, by the log's own clock.
    Time(Option<NaiveDateTime>),
}

/// Columns before the decisions.
const FIRST: [&str; 10] =
    ["log", "verdict", "finding", "reason", "next_step", "vehicle_name", "started", "duration_s", "headline", "not_read"];

/// Columns after the numbers.
const LAST: [&str; 5] = ["vehicle_file", "levels_file", "remark", "log_sha256", "program"];

/// How a date and time is written.
const STAMP: &str = "%Y-%m-%dT%H:%M:%S%.f";

/// Names of the columns, in order.
pub fn headings() -> Vec<String> {
    let mut names: Vec<String> = FIRST.map(str::to_owned).to_vec();
    names.extend(Topic::ALL.map(|topic| format!("{}_decision", topic.finding())));
    names.extend(KEYS.iter().flat_map(|key| ["", "_low", "_high"].map(|end| format!("{}{end}", key.column))));
    names.extend(LAST.map(str::to_owned));
    names
}

/// The cells of a row, in the order of [`headings`].
pub fn cells(row: &Row) -> Vec<Cell> {
    let text = |text: &str| Cell::Text(text.to_owned());
    let found = row.found();
    let (reason, not_read) = match &row.answer {
        Answer::Checked(found) => (found.main.reason.as_str(), ""),
        Answer::NotRead(not_read) => ("", not_read.why.as_str()),
    };
    let mut cells = vec![
        text(&row.log),
        text(row.word()),
        text(found.and_then(|found| found.main.topic).map_or("", Topic::finding)),
        text(reason),
        text(row.next_step()),
        text(found.and_then(|found| found.vehicle.as_deref()).unwrap_or_default()),
        Cell::Time(found.and_then(|found| found.started)),
        Cell::Number(found.map(|found| found.duration_s)),
        text(found.map_or("", |found| found.headline.as_str())),
        text(not_read),
    ];
    let decisions = found.map_or([None; Topic::ALL.len()], |found| found.decisions);
    cells.extend(decisions.map(|decision| text(decision.map_or("", Decision::spoken))));
    let numbers = found.map_or([None; KEYS.len()], |found| found.numbers);
    cells.extend(numbers.iter().flat_map(|number| {
        [number.map(|number| number.value), number.map(|number| number.low), number.map(|number| number.high)].map(Cell::Number)
    }));
    cells.extend([&row.vehicle_file, &row.levels_file, &row.remark, &row.sha256, &row.program].map(|part| text(part)));
    cells
}

/// A row as texts.
pub fn record(row: &Row) -> Vec<String> {
    let written = |cell: Cell| match cell {
        Cell::Text(text) => text,
        Cell::Number(number) => number.map(|number| number.to_string()).unwrap_or_default(),
        Cell::Time(time) => time.map(|time| time.format(STAMP).to_string()).unwrap_or_default(),
    };
    cells(row).into_iter().map(written).collect()
}

/// The table as CSV; lines end with a line feed.
///
/// # Errors
///
/// None is known: the table is written to memory. The writer's own error is handed on rather than hidden.
pub fn csv<'a>(rows: impl Iterator<Item = &'a Row>) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(headings())?;
    for row in rows {
        writer.write_record(record(row))?;
    }
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
