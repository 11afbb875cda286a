//! How a log was understood, for the person who asks: dialect, clock, and the channel, unit and range of each column.

use crate::channel::Channel;
use serde::Serialize;

/// How the rows carry the readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Layout {
    /// A column a channel, a value in nearly every cell.
    Wide,
    /// A column a channel, a cell filled only when a value arrived.
    SparseWide,
    /// A row a value: time, signal, value.
    Long,
    /// A row a CAN frame.
    Frames,
}

/// Where a column's unit comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UnitSource {
    /// The log states it.
    Stated,
    /// It was inferred from the values.
    Inferred,
    /// The column is not used, or needs none.
    None,
}

/// How one column (or signal) was understood.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ColumnUnderstanding {
    /// Its heading as it stands.
    pub heading: String,
    /// The channel taken from it.
    pub channel: Option<Channel>,
    /// The unit of its numbers, as the program writes it; `None` if unknown.
    pub unit: Option<String>,
    /// Where the unit comes from.
    pub unit_source: UnitSource,
    /// How many numbers it holds.
    pub readings: usize,
    /// Lowest and highest number as written, in the log's unit.
    pub range: Option<[f64; 2]>,
    /// Why it was taken for the channel, or why not.
    pub why: String,
}

/// How a log was understood.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Understanding {
    /// Name of the encoding.
    pub encoding: String,
    /// Whether the file was compressed (gzip).
    pub compressed: bool,
    /// What stands between cells.
    pub delimiter: char,
    /// Whether decimals are written with a comma.
    pub decimal_comma: bool,
    /// Lines with text above the heading.
    pub preamble_lines: u64,
    /// Line of the heading, counted from 1.
    pub heading_line: u64,
    /// Line of the second heading row (units or identifiers), if there is one.
    pub second_heading_line: Option<u64>,
    /// How the rows carry the readings.
    pub layout: Layout,
    /// The clock, in words.
    pub clock: String,
    /// Rows read.
    pub rows: usize,
    /// Seconds from the first row to the last.
    pub duration_s: f64,
    /// Every column that was read, in the file's order: all of them with [`super::Options::every_column`], else those that may be a channel's.
    pub columns: Vec<ColumnUnderstanding>,
    /// Stretches without rows, `[from, to]` in seconds.
    pub gaps: Vec<[f64; 2]>,
    /// Why the log cannot be checked as it stands, if it cannot.
    pub problem: Option<String>,
}

impl Understanding {
    /// The delimiter's name.
    pub fn delimiter_name(&self) -> &'static str {
        match self.delimiter {
            ',' => "comma",
            ';' => "semicolon",
            '\t' => "tab",
            _ => "bar",
        }
    }
}
