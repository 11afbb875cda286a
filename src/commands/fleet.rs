//! `fleet`: many logs checked, each on its own, and put into one table; or the kept runs asked.

mod check;
mod jobs;
mod journal;
mod merge;
mod parquet;
mod store;
mod walk;

use super::check::{say, style};
use super::failure::Failure;
use super::output;
use crate::cli::Format;
use crate::cli::fleet::FleetArgs;
use crate::fleet::{Part, Table, columns, html, json, text};
use std::process::ExitCode;

/// Checks a fleet, or asks the kept runs, and prints the table.
///
/// # Errors
///
/// [`Failure`] if the logs cannot be listed, or a file cannot be read or written. A log that cannot be checked is no failure but a row.
pub fn run(args: &FleetArgs) -> Result<ExitCode, Failure> {
    let part = args.part.unwrap_or(Part::WHOLE);
    ready(args, part)?;
    if args.from_store {
        return store::run(args);
    }
    let table = match &args.logs {
        Some(logs) => check::all(args, logs, part)?,
        None => merge::all(&args.merge)?,
    };
    if let Some(path) = &args.report {
        output::write(path, html::render(&table).as_bytes())?;
    }
    write_tables(args, &table, part)?;
    say(&match args.format {
        Format::Text => text::render(&table, style()),
        Format::Json => json::render(&table).map_err(|error| Failure::new(error, ""))?,
        Format::Csv => columns::csv(table.rows.iter()).map_err(|error| Failure::new(error, ""))?,
    })?;
    Ok(ExitCode::from(table.counts().exit_code()))
}

/// What the names of the files ask for: settled before the first log is read, so that a slip costs no hour.
fn ready(args: &FleetArgs, part: Part) -> Result<(), Failure> {
    args.report.as_deref().map(|path| output::ending(path, &["html", "htm"], "a report")).transpose()?;
    args.table.as_deref().map(|path| output::ending(path, &["csv"], "a table")).transpose()?;
    args.parquet.as_deref().map(|folder| parquet::ready(folder, part)).transpose()?;
    Ok(())
}

/// Writes the table with every key number, as CSV and as Parquet where that was asked for.
fn write_tables(args: &FleetArgs, table: &Table, part: Part) -> Result<(), Failure> {
    if let Some(path) = &args.table {
        let text = columns::csv(table.rows.iter()).map_err(|error| Failure::new(error, ""))?;
        output::write(path, text.as_bytes())?;
    }
    args.parquet.as_deref().map_or(Ok(()), |folder| parquet::write(folder, &table.rows, part))
}
