//! The table as a dataframe, and as bytes of Parquet.

use super::columns::{self, Cell};
use super::row::Row;
use polars::error::PolarsResult;
use polars::prelude::{Column, DataFrame, Int64Chunked, IntoSeries, NamedFrom, NewChunkedArray, Series, TimeUnit};
use polars_io::prelude::ParquetWriter;

/// Rows as a dataframe with the columns of [`columns::headings`]: texts, numbers, and `started` as a date and time. What is empty or unknown is
/// null.
///
/// # Errors
///
/// Only what the dataframe library reports; columns are made to equal length here.
pub fn of(rows: &[&Row]) -> PolarsResult<DataFrame> {
    let mut cells: Vec<Vec<Cell>> = rows.iter().map(|row| columns::cells(row)).collect();
    let mut columns: Vec<Column> = Vec::new();
    // From the last column to the first, so that each cell is moved out of its row's end.
    for name in columns::headings().iter().rev() {
        let down: Vec<Cell> = cells.iter_mut().filter_map(Vec::pop).collect();
        columns.push(column(name, &down).into());
    }
    columns.reverse();
    DataFrame::new(rows.len(), columns)
}

/// One column; its kind is that of its cells.
fn column(name: &str, cells: &[Cell]) -> Series {
    let named = name.into();
    match cells.first().cloned().unwrap_or(Cell::Text(String::new())) {
        Cell::Text(_) => {
            let texts = cells.iter().map(|cell| match cell {
                Cell::Text(text) if !text.is_empty() => Some(text.as_str()),
                _ => None,
            });
            Series::new(named, texts.collect::<Vec<_>>())
        }
        Cell::Number(_) => {
            let numbers = cells.iter().map(|cell| match cell {
                Cell::Number(number) => *number,
                _ => None,
            });
            Series::new(named, numbers.collect::<Vec<_>>())
        }
        Cell::Time(_) => {
            let times = cells.iter().map(|cell| match cell {
                Cell::Time(time) => time.map(|time| time.and_utc().timestamp_micros()),
                _ => None,
            });
            Int64Chunked::from_iter_options(named, times).into_datetime(TimeUnit::Microseconds, None).into_series()
        }
    }
}

/// Rows as one Parquet file.
///
/// # Errors
///
/// Only what the dataframe library reports.
pub fn parquet(rows: &[&Row]) -> PolarsResult<Vec<u8>> {
    let mut frame = of(rows)?;
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes).finish(&mut frame)?;
    Ok(bytes)
}
