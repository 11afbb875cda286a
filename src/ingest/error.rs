//! Why a log could not be read: where, what was there, and the way out.

use crate::channel::Channel;
use crate::excerpt::shorten;

/// Why a log could not be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{file}: {problem}")]
pub struct IngestError {
    /// The name the caller gave the log.
    pub file: String,
    /// What was wrong.
    pub problem: Problem,
}

impl IngestError {
    /// The way out, one sentence a line.
    pub fn hint(&self) -> String {
        self.problem.hint()
    }
}

/// What was wrong with the log.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Problem {
    /// Nothing in it.
    #[error("the file is empty")]
    Empty,
    /// Larger than the program reads.
    #[error("{what} is larger than {limit_mb} MB")]
    TooLarge {
        /// "the file" or "the unpacked file".
        what: &'static str,
        /// Most that is read, in MB (10⁶ bytes).
        limit_mb: usize,
    },
    /// More rows than the program reads.
    #[error("there are more than {most} rows")]
    TooManyRows {
        /// Most that is read.
        most: usize,
    },
    /// More columns, or signals of a long table, than the program reads.
    #[error("line {line}: the table has more than {most} columns or signals")]
    TooManyColumns {
        /// Line of the heading, counted from 1.
        line: u64,
        /// Most that is read.
        most: usize,
    },
    /// Some other kind of file.
    #[error("this is {what}, not a text table")]
    NotText {
        /// What it looks like.
        what: &'static str,
        /// The way out for that kind of file.
        way_out: &'static str,
    },
    /// A compressed file that does not unpack.
    #[error("the compressed file is damaged from its start")]
    DamagedArchive,
    /// No two rows that split into the same columns.
    #[error("no table found: no line splits into columns at a comma, semicolon, tab or bar (line {line} reads `{text}`)")]
    NoTable {
        /// First line with text, counted from 1.
        line: u64,
        /// How it begins.
        text: String,
    },
    /// Numbers from the first line on.
    #[error("line {line} holds numbers already: there is no heading that names the columns (`{text}`)")]
    NoHeading {
        /// Line of the first row, counted from 1.
        line: u64,
        /// How it begins.
        text: String,
    },
    /// A heading and nothing below.
    #[error("no row of readings below the heading in line {line}")]
    NoRows {
        /// Line of the heading, counted from 1.
        line: u64,
    },
    /// Rows that do not fit the heading.
    #[error("the heading in line {line} names {names} columns, but the rows have {cells} cells (line {row})")]
    WidthMismatch {
        /// Line of the heading, counted from 1.
        line: u64,
        /// Names in it.
        names: usize,
        /// Cells in an ordinary row.
        cells: usize,
        /// Line of the first row that does not fit.
        row: u64,
    },
    /// No column that could be the coolant's temperature.
    #[error("no {} column (line {line} has {})", .channel.spoken(), columns(.headings))]
    NoColumn {
        /// The channel that is needed.
        channel: Channel,
        /// Line of the heading, counted from 1.
        line: u64,
        /// What the heading names.
        headings: Vec<String>,
    },
    /// Two columns that fit a channel equally well.
    #[error("line {line}: two columns could be the {}: {}", .channel.spoken(), quoted(.candidates, " and "))]
    TwoColumns {
        /// The channel they both fit.
        channel: Channel,
        /// Line of the heading, counted from 1.
        line: u64,
        /// Their headings, with `#n` where two read alike.
        candidates: Vec<String>,
    },
    /// A column asked for by name that is not there.
    #[error("no column is named `{name}`, asked for as {wanted} (line {line} has {})", columns(.headings))]
    UnknownColumn {
        /// The name asked for.
        name: String,
        /// What it was to be.
        wanted: String,
        /// Line of the heading, counted from 1.
        line: u64,
        /// What the heading names.
        headings: Vec<String>,
    },
    /// A column named for a channel states a unit that does not measure it.
    #[error("line {line}: the column `{heading}` was named for the {} but is in {unit}", .channel.spoken())]
    WrongUnit {
        /// What it was named for.
        channel: Channel,
        /// Its heading.
        heading: String,
        /// The unit it states.
        unit: String,
        /// Line of the heading, counted from 1.
        line: u64,
    },
    /// The coolant column holds nothing usable.
    #[error("the column `{heading}` holds no {} that can be a reading ({found})", .channel.spoken())]
    NoReadings {
        /// The channel that is needed.
        channel: Channel,
        /// Its heading.
        heading: String,
        /// What was found in it instead.
        found: String,
    },
    /// No raw answer with a coolant temperature.
    #[error("line {line}: none of the raw answers holds the coolant temperature ({found})")]
    NoAnswer {
        /// Line of the first frame that could not be used, counted from 1.
        line: u64,
        /// What they hold, or what is wrong with them.
        found: String,
    },
    /// No column that could be a clock.
    #[error("no usable clock (line {line} has {}){tried}", columns(.headings))]
    NoClock {
        /// Line of the heading, counted from 1.
        line: u64,
        /// What the heading names.
        headings: Vec<String>,
        /// What was tried, beginning with "; ", or empty.
        tried: String,
    },
    /// Dates that can be read two ways, with different results.
    #[error("line {line}: the date `{text}` can be day-month or month-day, and the rows do not tell which")]
    AmbiguousDate {
        /// Line of the first such date.
        line: u64,
        /// The clock's cell.
        text: String,
    },
    /// Less than a minute of data.
    #[error("only {seconds:.1} s of readings in {rows} {}: at least {least:.0} s are needed", if *.rows == 1 { "row" } else { "rows" })]
    TooShort {
        /// Seconds from the first row to the last.
        seconds: f64,
        /// Rows read.
        rows: usize,
        /// Least that is read.
        least: f64,
    },
    /// A clock that spans more than any drive.
    #[error("the rows span {days:.0} days by their clock: at most {most:.0} are read")]
    TooLong {
        /// Days from the first row to the last.
        days: f64,
        /// Most that is read, in days.
        most: f64,
    },
    /// A time between rows that is no time.
    #[error("a period of {period} s between rows makes no clock")]
    BadPeriod {
        /// What was asked for.
        period: f64,
    },
}

impl Problem {
    /// The way out, one sentence a line.
    pub fn hint(&self) -> String {
        match self {
            Problem::Empty => "was the recorder stopped before its file was closed? Copy it from the recorder again".into(),
            Problem::TooLarge { .. } | Problem::TooManyRows { .. } => "cut out the drive after the refill and pass that part alone".into(),
            Problem::TooManyColumns { .. } => {
                "write out the coolant temperature and what goes with it (engine speed, road speed, load, air), not every parameter".into()
            }
            Problem::NotText { way_out, .. } => (*way_out).into(),
            Problem::DamagedArchive => "unpack it with another program, or copy it from the recorder again".into(),
            Problem::NoTable { .. } => {
                "a log is a text table: a heading, then one row a moment, with commas, semicolons, tabs or bars between the columns".into()
            }
            Problem::NoHeading { .. } => {
                "put a line above it that names every column, such as `time (s),coolant temperature (°C)`".into()
            }
            Problem::NoRows { .. } => "was the engine off, or the adapter not connected? Record again".into(),
            Problem::WidthMismatch { .. } => "name every column in the heading: which name is missing cannot be told from the numbers".into(),
            Problem::NoColumn { channel, headings, .. } => {
                let likely = headings.iter().position(|heading| heading.to_lowercase().contains("temp")).unwrap_or(1);
                let name = headings.get(likely).map_or("NAME", String::as_str);
                format!(
                    "if `{}` is it, say so: --column {}=\"{}\"\nto see every column with its range and guessed channel: `columns FILE`",
                    shorten(name, 60),
                    option_name(*channel),
                    as_typed(name, likely)
                )
            }
            Problem::TwoColumns { channel, candidates, .. } => {
                let first = candidates.first().map_or("NAME", String::as_str);
                let name = if first.starts_with('#') { first.split(' ').next().unwrap_or(first) } else { first };
                format!("say which: --column {}=\"{name}\"", option_name(*channel))
            }
            Problem::WrongUnit { channel, .. } => format!("name a column that holds the {} itself\nto see every column: `columns FILE`", channel.spoken()),
            Problem::UnknownColumn { .. } => {
                "write the heading as it stands in the file, or the column's number as `#2`\nto see every column: `columns FILE`".into()
            }
            Problem::NoReadings { channel, .. } => format!(
                "look at the sensor and its plug, or name another column: --column {}=\"NAME\"\nto see every column with its range: `columns FILE`",
                option_name(*channel)
            ),
            Problem::NoAnswer { .. } => {
                "ask the engine's control unit for parameter 05 or 67 of service 01 too, and record the answers (7E8 to 7EF)\nidentifiers and bytes are hexadecimal text, such as 7E8 and 03 41 05 7B: a table that a spreadsheet has saved may have lost them".into()
            }
            Problem::NoClock { .. } => {
                "name the clock's column: --time-column \"NAME\"\nif the rows are evenly spaced, say how far apart: --period 0.5 (seconds)".into()
            }
            Problem::AmbiguousDate { .. } => "say which: --day-first yes, or --day-first no".into(),
            Problem::TooShort { .. } => {
                "record from the cold start until the temperature has held for five minutes\nif the clock counts minutes or hours, write that in its heading: `time (min)`".into()
            }
            Problem::TooLong { .. } => {
                "was the clock set in between? Cut out the drive after the refill and pass that part alone\nif the clock counts milliseconds or microseconds, write that in its heading: `time (ms)`".into()
            }
            Problem::BadPeriod { .. } => "give the seconds between two rows, such as --period 0.5".into(),
        }
    }
}

/// The channel's name as the command line spells it.
fn option_name(channel: Channel) -> String {
    channel.name().replace('_', "-")
}

/// A heading as it can be typed between double quotes in any shell; else the number of its column.
pub(super) fn as_typed(heading: &str, index: usize) -> String {
    let plain = heading.chars().count() <= 60 && !heading.contains(['"', '`', '$', '\\', '!']) && !heading.contains(char::is_control);
    if plain && !heading.is_empty() { heading.to_owned() } else { format!("#{}", index + 1) }
}

/// "3 columns: time, speed, temp 1", cut short after a dozen.
fn columns(headings: &[String]) -> String {
    const MOST: usize = 12;
    let shown = headings.iter().take(MOST).map(|heading| shorten(heading, 40)).collect::<Vec<_>>().join(", ");
    let more = if headings.len() > MOST { format!(" … and {} more", headings.len() - MOST) } else { String::new() };
    let noun = if headings.len() == 1 { "column" } else { "columns" };
    format!("{} {noun}: {shown}{more}", headings.len())
}

fn quoted(names: &[String], between: &str) -> String {
    names.iter().map(|name| format!("`{}`", shorten(name, 60))).collect::<Vec<_>>().join(between)
}
