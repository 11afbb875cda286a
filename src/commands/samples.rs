//! `--samples`: the readings as understood, every channel on the coolant's clock, for any dataframe.

use super::failure::Failure;
use super::output;
use crate::run::Run;
use crate::table;
use polars::prelude::DataFrame;
use polars_io::prelude::{CsvWriter, ParquetWriter, SerWriter};
use std::path::Path;

/// Writes the aligned readings as CSV or Parquet, by the ending of the name.
///
/// # Errors
///
/// [`Failure`] if the ending is another one or the file cannot be written.
pub fn write(run: &Run, path: &Path) -> Result<(), Failure> {
    let ending = format(path)?;
    let failed = |error: polars::error::PolarsError| Failure::new(format_args!("{}: {error}", path.display()), "");
    let mut frame: DataFrame = table::aligned(run).map_err(failed)?;
    let mut bytes = Vec::new();
    if ending == "csv" {
        CsvWriter::new(&mut bytes).finish(&mut frame).map_err(failed)?;
    } else {
        ParquetWriter::new(&mut bytes).finish(&mut frame).map_err(failed)?;
    }
    output::write(path, &bytes)
}

/// The format that the ending of the name asks for.
///
/// # Errors
///
/// [`Failure`] if it asks for none.
pub fn format(path: &Path) -> Result<&'static str, Failure> {
    output::ending(path, &["csv", "parquet"], "a table of readings")
}
