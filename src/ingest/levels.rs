//! Level notes: the table of reservoir readings, volumes and pressures that the person keeps beside the drive.
//!
//! A table with one row a reading. Columns may stand in any order and all but `occasion` and `reading` may be missing; the
//! delimiter is a comma, a semicolon or a tab. Every reading carries its unit, in its own column or in its text. Nothing is
//! guessed and nothing is passed over: a heading that is not known, a cell under no heading or a line that does not parse is
//! an error, because a mistyped row would otherwise be a lost reading. Rows keep their order, also where two of them
//! contradict each other: which one holds is for the account of levels to say.
//!
//! `docs/level-notes.md` is the reference for whoever writes a file.
//!
//! Limits: one line a row (a cell cannot hold a line break, so that a quotation mark left open cannot swallow the next
//! reading); at most [`LARGEST_FILE`] bytes.
//!
//! # References
//!
//! - RFC 4180 for the table; a semicolon with a decimal comma, a byte-order mark, `sep=` and Windows-1252 are what
//!   spreadsheets write (common practice, no source).

mod cells;
mod error;

pub use error::{LevelsError, Place};

use crate::excerpt::shorten;
use crate::run::{LevelReading, NoteTime, Occasion};
use cells::{Decimal, Trouble};
use csv::{ReaderBuilder, StringRecord, Terminator};
use encoding_rs::{Encoding, WINDOWS_1252};
use serde::Deserialize;

/// Longest text of a cell that is looked at, and shown in an error, in characters; a note may be longer.
const LONGEST_CELL: usize = 60;

/// Largest file of level notes that is read, in bytes: a note a minute for a year fits.
pub const LARGEST_FILE: usize = 16 * 1024 * 1024;

/// Most cells of a line: the columns, and as many empty ones as a spreadsheet may leave beside them.
const MOST_CELLS: usize = 64;

/// The columns of the table, in the order in which [`write()`] writes them.
pub const COLUMNS: [&str; 8] = ["time", "occasion", "reading", "unit", "ambient", "cap", "method", "note"];

/// One row as written; a missing column or cell is empty.
#[derive(Deserialize, Default)]
#[serde(default)]
struct Row<'a> {
    time: &'a str,
    occasion: &'a str,
    reading: &'a str,
    unit: &'a str,
    ambient: &'a str,
    cap: &'a str,
    method: &'a str,
    note: &'a str,
}

/// Reads a file of level notes. A file with a heading and no rows holds no readings and is no error.
///
/// # Errors
///
/// [`LevelsError`] names the line, the column, what was there, and the way out.
pub fn read(bytes: &[u8]) -> Result<Vec<LevelReading>, LevelsError> {
    let text = text(bytes)?;
    let delimiter = delimiter(&text);
    let decimal = if delimiter == b';' { Decimal::Comma } else { Decimal::Point };
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .terminator(Terminator::Any(b'\n'))
        .from_reader(text.as_bytes());
    let mut headings: Option<StringRecord> = None;
    let mut levels = Vec::new();
    let mut record = StringRecord::new();
    while reader
        .read_record(&mut record)
        .map_err(|cause| LevelsError::Table { line: reader.position().line(), cause: cause.to_string() })?
    {
        // Every line ends with a line feed, so that after a record the reader stands at the start of the next line.
        let last = reader.position().line().saturating_sub(1);
        // Not so where a quotation mark stays open to the end of the file.
        let open = text.len() as u64 == reader.position().byte() && record.iter().next_back().is_some_and(|cell| cell.ends_with('\n'));
        let line = last + u64::from(open && !text.trim_end().ends_with('"'));
        if let Some(broken) = record.iter().find(|cell| cell.contains('\n')) {
            let line = line.saturating_sub(broken.matches('\n').count() as u64);
            return Err(LevelsError::LineBreak { line, text: shorten(broken.lines().next().unwrap_or_default(), LONGEST_CELL) });
        }
        if record.len() > MOST_CELLS {
            return Err(LevelsError::TooManyCells { line, cells: record.len(), most: MOST_CELLS });
        }
        record.trim();
        let before_heading = headings.is_none() && (record.iter().all(is_blank) || is_delimiter_line(record.get(0).unwrap_or_default()));
        if before_heading || record.iter().all(str::is_empty) {
            continue;
        }
        match &headings {
            None => headings = Some(heading(&record, line)?),
            Some(headings) => {
                // A row may end early; what is missing is empty.
                (record.len()..headings.len()).for_each(|_| record.push_field(""));
                levels.push(row(&record, headings, line, decimal)?);
            }
        }
    }
    if headings.is_none() { Err(LevelsError::Empty) } else { Ok(levels) }
}

/// Reads one reading as it is given on the command line, such as `42mm` or `150 mL`.
///
/// # Errors
///
/// [`LevelsError`] says what was there and the way out.
pub fn quick(occasion: Occasion, text: &str) -> Result<LevelReading, LevelsError> {
    let place = Place::Stated(occasion_name(occasion));
    let text = shorten(text, LONGEST_CELL);
    let (reading, unit) = cells::reading(text.trim(), "", Decimal::Point)
        .and_then(|reading| cells::fits(reading, occasion))
        .map_err(|trouble| LevelsError::cell(place, "reading", &text, trouble))?;
    Ok(LevelReading { time: NoteTime::Order, occasion, reading, unit, ambient: None, cap_opened: None, method: None, note: String::new() })
}

/// Writes level notes as a table that [`read`] reads back to the same readings; line breaks and other control characters in a
/// note become spaces, and spaces around it are lost.
pub fn write(levels: &[LevelReading]) -> String {
    let mut lines = vec![COLUMNS.join(",")];
    lines.extend(levels.iter().map(|level| {
        let cells = [
            cells::time_text(level.time),
            occasion_name(level.occasion).to_owned(),
            level.reading.to_string(),
            cells::unit_name(level.unit).to_owned(),
            level.ambient.map(|celsius| format!("{celsius} degC")).unwrap_or_default(),
            level.cap_opened.map(|opened| if opened { "opened" } else { "closed" }).unwrap_or_default().to_owned(),
            level.method.clone().unwrap_or_default(),
            level.note.clone(),
        ];
        cells.map(|cell| quoted(&cell)).join(",")
    }));
    lines.join("\n") + "\n"
}

/// An occasion as the table spells it: `hot after drive`.
pub fn occasion_name(occasion: Occasion) -> &'static str {
    match occasion {
        Occasion::ColdBefore => "cold before",
        Occasion::HotAfterDrive => "hot after drive",
        Occasion::ColdAfter => "cold after",
        Occasion::ToppedUp => "topped up",
        Occasion::Drained => "drained",
        Occasion::Filled => "filled",
        Occasion::PressureTestStart => "pressure test start",
        Occasion::PressureTestEnd => "pressure test end",
    }
}

/// Checks the headings and spells them as the row expects them; an empty heading stays empty.
fn heading(record: &StringRecord, line: u64) -> Result<StringRecord, LevelsError> {
    let mut seen: Vec<&'static str> = Vec::new();
    let mut headings = StringRecord::new();
    for cell in record {
        if cell.is_empty() {
            headings.push_field("");
            continue;
        }
        let known = known_column(cell).ok_or_else(|| LevelsError::UnknownColumn { line, found: shorten(cell, LONGEST_CELL) })?;
        if seen.contains(&known) {
            return Err(LevelsError::RepeatedColumn { line, column: known });
        }
        seen.push(known);
        headings.push_field(known);
    }
    for column in ["occasion", "reading"] {
        if !seen.contains(&column) {
            return Err(LevelsError::MissingColumn { line, column, found: shorten(&record.iter().collect::<Vec<_>>().join(", "), 200) });
        }
    }
    Ok(headings)
}

fn known_column(heading: &str) -> Option<&'static str> {
    COLUMNS.into_iter().find(|column| column.eq_ignore_ascii_case(heading.trim()))
}

fn row(record: &StringRecord, headings: &StringRecord, line: u64, decimal: Decimal) -> Result<LevelReading, LevelsError> {
    let stray = record.iter().enumerate().find(|(index, cell)| !cell.is_empty() && headings.get(*index).unwrap_or_default().is_empty());
    if let Some((_, cell)) = stray {
        return Err(LevelsError::NoHeading { line, fields: record.len(), columns: headings.len(), text: shorten(cell, LONGEST_CELL) });
    }
    let row: Row = record.deserialize(Some(headings)).map_err(|cause| LevelsError::Table { line, cause: cause.to_string() })?;
    let place = Place::Line(line);
    // What is longer than this is none of the things that a cell can be; as much of it as fits says so.
    let [time, occasion, reading, unit, ambient, cap, method] =
        [row.time, row.occasion, row.reading, row.unit, row.ambient, row.cap, row.method].map(|text| shorten(text, LONGEST_CELL));
    let cell = |column: &'static str, text: &str| {
        let text = text.to_owned();
        move |trouble: Trouble| LevelsError::cell(place, column, &text, trouble)
    };
    let occasion = cells::occasion(&occasion).map_err(cell("occasion", &occasion))?;
    let (reading, unit) =
        cells::reading(&reading, &unit, decimal).and_then(|reading| cells::fits(reading, occasion)).map_err(cell("reading", &reading))?;
    Ok(LevelReading {
        time: cells::time(&time).map_err(cell("time", &time))?,
        occasion,
        reading,
        unit,
        ambient: cells::ambient(&ambient, decimal).map_err(cell("ambient", &ambient))?,
        cap_opened: cells::cap(&cap).map_err(cell("cap", &cap))?,
        method: cells::method(&method).map_err(cell("method", &method))?,
        note: row.note.to_owned(),
    })
}

/// Bytes to text with a line feed after every line: by their byte-order mark, else UTF-8, else Windows-1252 (it holds ° and ’).
fn text(bytes: &[u8]) -> Result<String, LevelsError> {
    if bytes.len() > LARGEST_FILE {
        return Err(LevelsError::TooLarge { bytes: bytes.len() });
    }
    let decoded = match Encoding::for_bom(bytes) {
        Some((encoding, length)) => encoding.decode_without_bom_handling(bytes.get(length..).unwrap_or_default()).0,
        None => match std::str::from_utf8(bytes) {
            Ok(text) => text.into(),
            Err(_) => WINDOWS_1252.decode_without_bom_handling(bytes).0,
        },
    };
    let mut text = decoded.replace("\r\n", "\n").replace('\r', "\n");
    text.push('\n');
    let control = |line: &&str| line.chars().any(|c| c.is_control() && c != '\t');
    match text.lines().position(|line| control(&line)) {
        Some(index) => Err(LevelsError::NotText { line: index as u64 + 1 }),
        None => Ok(text),
    }
}

/// The delimiter under which the heading line has the most known columns; a comma if none has more.
fn delimiter(text: &str) -> u8 {
    let is_heading = |line: &&str| !is_blank(line) && !line.starts_with('#') && !is_delimiter_line(line.trim_matches(['"', ' ']));
    let heading = text.lines().find(is_heading).unwrap_or_default();
    let known = |delimiter: char| heading.split(delimiter).filter(|cell| known_column(cell.trim().trim_matches('"')).is_some()).count();
    // Of equals the last one is the greatest.
    ['\t', ';', ','].into_iter().max_by_key(|&delimiter| known(delimiter)).map_or(b',', |delimiter| delimiter as u8)
}

/// Whether a line or cell before the heading holds nothing but delimiters, of whichever kind.
fn is_blank(text: &str) -> bool {
    text.trim_matches([',', ';', '\t', ' ', '"']).is_empty()
}

/// Whether a first line only tells a spreadsheet its delimiter.
fn is_delimiter_line(text: &str) -> bool {
    text.get(..4).is_some_and(|start| start.eq_ignore_ascii_case("sep="))
}

/// A cell as the table needs it: in quotation marks where it holds a delimiter, a quotation mark or could be taken for a comment.
fn quoted(cell: &str) -> String {
    let cell = cell.replace(char::is_control, " ");
    if cell.contains([',', '"', ';', '\t', '#']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell }
}
