//! `--merge`: the tables of parts as one.

use crate::commands::failure::Failure;
use crate::commands::input;
use crate::fleet::columns::read::Reader;
use crate::fleet::{Row, Table};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Most bytes of a table: some million logs.
const LONGEST: u64 = 4_000_000_000;

/// Puts tables together.
///
/// # Errors
///
/// [`Failure`] if a file is no such table, or a log is in two of them.
pub fn all(files: &[PathBuf]) -> Result<Table, Failure> {
    let mut rows: Vec<Row> = Vec::new();
    let mut whose: HashMap<String, &Path> = HashMap::new();
    for path in files {
        let read = table(path)?;
        // A list may name a log twice within one table; parts share none.
        for row in &read {
            if let Some(other) = whose.get(row.log.as_str()) {
                return Err(Failure::new(
                    format_args!("{} is in two tables: {} and {}", row.log, other.display(), path.display()),
                    "name each part once, and parts of one run only",
                ));
            }
        }
        whose.extend(read.iter().map(|row| (row.log.clone(), path.as_path())));
        rows.extend(read);
    }
    Ok(Table::of(rows))
}

/// Reads one table.
fn table(path: &Path) -> Result<Vec<Row>, Failure> {
    let bytes = input::whole(path, LONGEST, "a table")?;
    let no_table =
        |why: String| Failure::new(format_args!("{}: {why}", path.display()), "name what --table or --format csv of `fleet` wrote");
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    let headings = reader.headers().map_err(|error| no_table(error.to_string()))?.clone();
    let columns = Reader::of(headings.iter()).map_err(|missing| no_table(format!("the table has no column `{missing}`")))?;
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| no_table(error.to_string()))?;
        let line = record.position().map_or(0, csv::Position::line);
        let row = columns.row(|place| record.get(place));
        rows.push(row.map_err(|column| no_table(format!("line {line}, column `{column}`: this was not written by `fleet`")))?);
    }
    Ok(rows)
}
