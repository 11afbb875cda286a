//! The cleaned readings of a run as Parquet, and the coolant's back from it.

use crate::channel::Channel;
use crate::run::{Run, Trace};
use crate::table;
use polars::error::PolarsResult;
use polars::prelude::DataFrame;
use polars_io::prelude::{ParquetReader, ParquetWriter, SerReader};
use std::io::Cursor;

/// The readings, every channel on the coolant's clock ([`table::aligned`]).
///
/// # Errors
///
/// Only what the dataframe library reports.
pub fn parquet(run: &Run) -> PolarsResult<Vec<u8>> {
    let mut frame = table::aligned(run)?;
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes).finish(&mut frame)?;
    Ok(bytes)
}

/// The coolant's readings. The table stands on the coolant's own clock, so that none of them was moved or left out.
///
/// # Errors
///
/// What is wrong with the table, in words.
pub fn coolant(parquet: &[u8]) -> Result<Trace, String> {
    let words = |error: polars::error::PolarsError| format!("the table of readings cannot be read: {error}");
    let columns = ["time_s", Channel::CoolantTemperature.name()].map(str::to_owned).to_vec();
    let frame: DataFrame = ParquetReader::new(Cursor::new(parquet)).with_columns(Some(columns)).finish().map_err(words)?;
    let column = |name: &str| -> Result<Vec<f64>, String> {
        let column = frame.column(name).map_err(words)?.f64().map_err(words)?;
        Ok(column.into_no_null_iter().collect())
    };
    Ok(Trace { time: column("time_s")?, value: column(Channel::CoolantTemperature.name())?, step: 0.0 })
}
