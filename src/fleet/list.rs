//! A list of logs: a table with the columns `log`, `vehicle`, `levels`, found by their names.
//!
//! Only `log` must be there. Paths are relative to the list's own folder, `/` or `\` between their parts. What the list does not name is
//! not looked for: a list says everything.

use crate::ingest::text;

/// One row of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// The log.
    pub log: String,
    /// Its vehicle file.
    pub vehicle: Option<String>,
    /// Its level notes.
    pub levels: Option<String>,
}

/// Why a list could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ListError {
    /// It is no text.
    #[error("this is no text")]
    NoText,
    /// It has no column of logs.
    #[error("the first line has no column `log` (it has: {0})")]
    NoColumn(String),
    /// A row names no log.
    #[error("line {0}: no log is named")]
    NoLog(u64),
    /// A row cannot be read.
    #[error("line {0}: this is no row of a table")]
    NoRow(u64),
}

impl ListError {
    /// The way out.
    pub fn hint(&self) -> &'static str {
        match self {
            ListError::NoText => "save the list as CSV: log,vehicle,levels",
            ListError::NoColumn(_) => {
                "a list is a CSV file with the columns log,vehicle,levels, of which the last two may be left out\nto check one log: check FILE"
            }
            ListError::NoLog(_) => "write the log's path into the column `log`, or delete the line",
            ListError::NoRow(_) => "close every quotation mark, or save the list anew as CSV",
        }
    }
}

/// Reads a list.
///
/// # Errors
///
/// [`ListError`] if it is no table with a column `log`, or a row names none.
pub fn read(bytes: &[u8]) -> Result<Vec<Named>, ListError> {
    let text = text::decode(bytes).map_err(|_| ListError::NoText)?.text;
    let heading = text.lines().next().unwrap_or_default();
    let delimiter = [b',', b';', b'\t'].into_iter().max_by_key(|one| heading.bytes().filter(|byte| byte == one).count()).unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new().delimiter(delimiter).flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let headings = reader.headers().map_err(|_| ListError::NoRow(1))?.clone();
    let place = |wanted: &str| headings.iter().position(|name| name.eq_ignore_ascii_case(wanted));
    let log = place("log").ok_or_else(|| ListError::NoColumn(headings.iter().take(8).collect::<Vec<_>>().join(", ")))?;
    let (vehicle, levels) = (place("vehicle"), place("levels"));
    let mut named = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|error| ListError::NoRow(error.position().map_or(0, csv::Position::line)))?;
        let line = row.position().map_or(0, csv::Position::line);
        let cell = |place: Option<usize>| place.and_then(|place| row.get(place)).filter(|cell| !cell.is_empty()).map(path);
        named.push(Named { log: cell(Some(log)).ok_or(ListError::NoLog(line))?, vehicle: cell(vehicle), levels: cell(levels) });
    }
    Ok(named)
}

/// A path with `/` between its parts and without `./` before it.
fn path(cell: &str) -> String {
    let path = cell.replace('\\', "/");
    path.strip_prefix("./").unwrap_or(&path).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_found_by_name_and_only_the_log_must_be_there() {
        let read = |text: &str| super::read(text.as_bytes());
        let named = |log: &str, vehicle: Option<&str>| Named { log: log.into(), vehicle: vehicle.map(str::to_owned), levels: None };
        assert_eq!(
            read("vehicle;remark;Log\nvan.toml;x;.\\a\\b.csv\n;;c.csv\n"),
            Ok(vec![named("a/b.csv", Some("van.toml")), named("c.csv", None)])
        );
        assert_eq!(read("log\na.csv\n"), Ok(vec![named("a.csv", None)]));
        assert_eq!(read("log,vehicle\na.csv,\n,van.toml\n"), Err(ListError::NoLog(3)));
        assert_eq!(read("Time,Speed\n1,2\n"), Err(ListError::NoColumn("Time, Speed".into())));
    }
}
