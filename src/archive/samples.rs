//! The cleaned readings of a run as Parquet, for other programs.

use crate::run::Run;
use crate::table;
use polars::error::PolarsResult;
use polars_io::prelude::ParquetWriter;

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
