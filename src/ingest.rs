//! A log's bytes to a [`Run`], with everything that was wrong with it counted, placed and said.
//!
//! ```text
//! bytes ─ text ─▶ dialect ─▶ clock, columns ─▶ table | long | frames ─▶ elapsed time, units ─▶ readings ─▶ Run
//! ```
//!
//! Nothing is filled in or smoothed. What is no reading is left out; what can be read two ways is an error or, where the log
//! tells enough, an inference that the report states. The text is walked once, in memory that grows with it and no faster.
//!
//! Limits: [`text::LIMIT`] bytes of text, [`table::MOST_ROWS`] rows, [`rows::MOST_CELLS`] columns or signals, one vehicle a log, from
//! [`LEAST_DURATION`] to [`MOST_DURATION`] of readings. Memory grows with the text and no faster: a number kept takes 12 bytes.

use crate::channel::Channel;
use crate::excerpt::shorten;
use crate::run::{Defect, DefectKind, Run, Trace};
use columns::{Fit, Heading};
use dialect::Dialect;
use std::collections::BTreeMap;
use table::{Series, Table};
use understanding::{ColumnUnderstanding, UnitSource};

pub mod assign;
pub mod build;
pub mod cell;
pub mod clock;
pub mod columns;
pub mod dialect;
pub mod error;
pub mod finish;
pub mod frames;
pub mod infer;
pub mod levels;
pub mod long;
mod look;
pub mod raw;
pub mod readings;
pub mod rows;
pub mod survey;
pub mod table;
pub mod text;
pub mod timing;
pub mod understanding;
pub mod units;
pub mod words;

pub use error::{IngestError, Problem};
pub use understanding::{Layout, Understanding};

/// Least of readings that is read, in seconds: below a minute no question of this program can be answered.
pub const LEAST_DURATION: f64 = 60.0;

/// Most that a log may span, in seconds: three weeks, as many as its rows may ([`table::MOST_ROWS`]). A clock that leaps over years is a
/// clock that was set, and what lies on its two sides is not one drive.
pub const MOST_DURATION: f64 = 21.0 * 86_400.0;

/// What the person says about the log that it does not say itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// Columns named for channels: the heading as it stands, or `#2` for the second column.
    pub columns: Vec<(Channel, String)>,
    /// The clock's column, likewise.
    pub time_column: Option<String>,
    /// Seconds between rows, for a log without a clock; it outranks the log's own clock.
    pub period: Option<f64>,
    /// Whether the day stands before the month.
    pub day_first: Option<bool>,
    /// Whether columns of no channel are read too, so that the understanding tells what they hold; a check needs none of it.
    pub every_column: bool,
}

/// A log, read.
#[derive(Clone, Debug)]
pub struct Ingested {
    /// The run; its vehicle is not stated and its level readings are empty.
    pub run: Run,
    /// How the log was understood.
    pub understanding: Understanding,
}

/// Reads a log. `source` is the name that errors and the run carry.
///
/// # Errors
///
/// [`IngestError`] if there is no coolant temperature, no usable clock, too little data, or no table at all.
pub fn read(bytes: &[u8], source: &str, options: &Options) -> Result<Ingested, IngestError> {
    read_named(bytes, source, options).map_err(|problem| IngestError { file: source.to_owned(), problem })
}

/// How a log is understood, also where it cannot be read as it stands: then [`Understanding::problem`] says why.
///
/// # Errors
///
/// [`IngestError`] if there is no table of readings in it at all.
pub fn understand(bytes: &[u8], source: &str, options: &Options) -> Result<Understanding, IngestError> {
    match read(bytes, source, &Options { every_column: true, ..options.clone() }) {
        Ok(ingested) => Ok(ingested.understanding),
        Err(error) => look::at(bytes, options, &error.problem).ok_or(error),
    }
}

/// A log on its way: the table as it was walked, with what is known of it.
pub(crate) struct Walked<'a> {
    pub table: Table,
    pub headings: Vec<Heading<'a>>,
    pub series: Vec<Series>,
    pub layout: Layout,
}

fn read_named(bytes: &[u8], source: &str, options: &Options) -> Result<Ingested, Problem> {
    let text = text::decode(bytes)?;
    let dialect = dialect::find(&text.text)?;
    let line = dialect.heading_line;
    let headings = columns::headings(&dialect);
    let (sample, shorts_kept) = table::sample(&text.text, &dialect);
    let names: Vec<String> = headings.iter().map(|heading| heading.name.trim().to_owned()).collect();
    if let Some(places) = frames::frame_columns(&names) {
        return raw::read(&text, &dialect, &headings, &sample, places, source, options);
    }
    let long = long::long_columns(&headings, &sample, &dialect);
    let mut fits: Vec<Option<Fit>> = headings.iter().map(columns::fit).collect();
    // Errors that the heading alone settles come before the walk.
    let mut told = told(&headings, options, line, long.is_some())?;
    if long.is_none() && !told.contains_key(&Channel::CoolantTemperature) && !fits.iter().flatten().any(|fit| is_coolant(fit.channel)) {
        return Err(Problem::NoColumn { channel: Channel::CoolantTemperature, line, headings: names });
    }
    let clock = clock_source(&headings, &fits, &sample, &dialect, options)?;
    let walked = match long {
        Some(places) => {
            let (table, signals, series) = long::walk(&text.text, &dialect, clock, places)?;
            fits = signals.iter().map(columns::fit).collect();
            told = self::told(&signals, options, line, false)?;
            Walked { table, headings: signals, series, layout: Layout::Long }
        }
        None => {
            let taken = |column: usize| fits.get(column).is_some_and(Option::is_some) || told.values().any(|&told| told == column);
            walk_wide(&text.text, &dialect, clock, shorts_kept, headings.clone(), options.every_column, taken)
        }
    };
    timing::refuse_empty(&walked.table, &dialect)?;
    let chosen = assign::assign(&walked.headings, &fits, &walked.series, &told, line)?;
    let clock_heading = match clock {
        clock::Source::Numbers(index) | clock::Source::Stamps(index, _) => headings.get(index),
        clock::Source::Period(_) => None,
    };
    let timed = timing::time(&walked, &chosen, clock, clock_heading, options, &text.text, &dialect)?;
    let taken = infer::units_of(&chosen, &walked.headings, &walked.series);
    let line_of = |row: u32| walked.table.lines.get(row as usize).map(|&line| u64::from(line));
    let mut defects = timed.defects;
    if text.cut_off {
        defects.push(timing::cut_off(
            walked.table.lines.last().map(|&line| u64::from(line)),
            "the file ends early; what came before was read",
        ));
    }
    defects.extend(build::unit_defects(&taken));
    defects.extend(build::word_defects(
        &chosen,
        &walked.series,
        |row| timed.rows.get(row as usize).copied().filter(|time| time.is_finite()),
        line_of,
    ));
    let mut traces: BTreeMap<Channel, Trace> = BTreeMap::new();
    for (place, (&channel, chosen)) in chosen.iter().enumerate() {
        let (Some(series), Some(unit)) = (walked.series.get(chosen.column), taken.get(&channel)) else { continue };
        let own = timed.each.as_ref().and_then(|each| each.get(place));
        let time_of = |index: usize| match own {
            Some(own) => own.get(index).copied().unwrap_or(f64::NAN),
            None => series.row.get(index).and_then(|&row| timed.rows.get(row as usize)).copied().unwrap_or(f64::NAN),
        };
        let readings = build::readings_of(channel, series, unit.unit, time_of);
        let trace = build::trace_of(channel, readings, unit.unit.convert(0.0), line_of, &mut defects);
        if !trace.is_empty() {
            traces.insert(channel, trace);
        }
    }
    refuse_without_coolant(&traces, &chosen, &walked, &defects)?;
    let columns = describe(&walked, &chosen, &taken, &fits, clock, options.every_column);
    let layout = if walked.layout == Layout::Wide && is_sparse(&walked, &chosen) { Layout::SparseWide } else { walked.layout };
    finish::finish(finish::Parts {
        source,
        text: &text,
        dialect: &dialect,
        rows: walked.table.lines.len(),
        layout,
        times: timed.order,
        spacing: timed.spacing,
        coarse: timed.coarse,
        started: timed.started,
        clock: timed.description,
        traces,
        defects,
        columns,
    })
}

fn is_coolant(channel: Channel) -> bool {
    matches!(channel, Channel::CoolantTemperature | Channel::CoolantTemperature2)
}

/// The columns that the person named. In a long table they are signals, which only the walk shows: `later` skips them.
fn told(headings: &[Heading], options: &Options, line: u64, later: bool) -> Result<BTreeMap<Channel, usize>, Problem> {
    if later {
        return Ok(BTreeMap::new());
    }
    options.columns.iter().map(|(channel, name)| Ok((*channel, columns::named(headings, name, channel.spoken(), line)?))).collect()
}

/// Where the clock comes from, by the person's word or by what is found.
pub(crate) fn clock_source(
    headings: &[Heading],
    fits: &[Option<Fit>],
    sample: &[Vec<&str>],
    dialect: &Dialect,
    options: &Options,
) -> Result<clock::Source, Problem> {
    if let Some(period) = options.period {
        let usable = period.is_finite() && period > 0.0 && period < 3600.0;
        return if usable { Ok(clock::Source::Period(period)) } else { Err(Problem::BadPeriod { period }) };
    }
    if let Some(name) = &options.time_column {
        let index = columns::named(headings, name, "the clock", dialect.heading_line)?;
        return Ok(clock::as_source(index, headings, sample, dialect.decimals));
    }
    clock::find(headings, fits, sample, dialect.decimals).ok_or_else(|| Problem::NoClock {
        line: dialect.heading_line,
        headings: headings.iter().map(|heading| heading.name.trim().to_owned()).collect(),
        tried: String::new(),
    })
}

fn walk_wide<'a>(
    text: &'a str,
    dialect: &Dialect<'a>,
    clock: clock::Source,
    shorts_kept: bool,
    headings: Vec<Heading<'a>>,
    every_column: bool,
    may_be_taken: impl Fn(usize) -> bool,
) -> Walked<'a> {
    let of_heading =
        |(column, heading): (usize, &Heading)| Series::stated(may_be_taken(column), heading.unit.as_ref().map(|(unit, _)| *unit));
    let mut series: Vec<Series> = headings.iter().enumerate().map(of_heading).collect();
    let table = table::walk(text, dialect, clock, shorts_kept, |row, cells| {
        let row = u32::try_from(row).unwrap_or(u32::MAX);
        for (series, cell) in series.iter_mut().zip(cells) {
            if every_column || series.keep {
                series.push(row, cell, dialect.decimals);
            }
        }
    });
    Walked { table, headings, series, layout: Layout::Wide }
}

/// Whether most cells of the channels' columns are empty or hold a word.
fn is_sparse(walked: &Walked, chosen: &BTreeMap<Channel, assign::Chosen>) -> bool {
    let readings: usize = chosen.values().filter_map(|chosen| walked.series.get(chosen.column)).map(|series| series.count).sum();
    readings * 10 < walked.table.lines.len() * chosen.len() * 6
}

fn refuse_without_coolant(
    traces: &BTreeMap<Channel, Trace>,
    chosen: &BTreeMap<Channel, assign::Chosen>,
    walked: &Walked,
    defects: &[Defect],
) -> Result<(), Problem> {
    let channel = Channel::CoolantTemperature;
    if traces.contains_key(&channel) {
        return Ok(());
    }
    let heading = chosen.get(&channel).and_then(|chosen| walked.headings.get(chosen.column)).map_or("", |heading| heading.name.trim());
    let found: Vec<String> = defects
        .iter()
        .filter(|defect| defect.channel == Some(channel) && defect.kind != DefectKind::UnitInferred)
        .map(|defect| format!("{} × {}", defect.count, defect.effect))
        .collect();
    let found = if found.is_empty() { "every cell is empty".to_owned() } else { found.join("; ") };
    Err(Problem::NoReadings { channel, heading: shorten(heading, 60), found })
}

/// What is said of each column that was read.
fn describe(
    walked: &Walked,
    chosen: &BTreeMap<Channel, assign::Chosen>,
    taken: &BTreeMap<Channel, infer::Taken>,
    fits: &[Option<Fit>],
    clock: clock::Source,
    every_column: bool,
) -> Vec<ColumnUnderstanding> {
    let clocks: Vec<usize> = match clock {
        clock::Source::Numbers(index) => vec![index],
        clock::Source::Stamps(index, date) => std::iter::once(index).chain(date).collect(),
        clock::Source::Period(_) => Vec::new(),
    };
    let long = walked.layout == Layout::Long;
    let column = |index: usize, heading: &Heading| {
        let series = walked.series.get(index);
        let channel = chosen.iter().find(|(_, chosen)| chosen.column == index);
        let unit = channel.and_then(|(channel, _)| taken.get(channel));
        let is_clock = !long && clocks.contains(&index);
        let stated = heading.unit.as_ref().map(|(unit, _)| unit.label.to_owned()).or(heading.foreign.clone());
        let why = match (channel, is_clock) {
            (Some((_, chosen)), true) => format!("{}; also the clock", chosen.why),
            (Some((_, chosen)), false) => chosen.why.clone(),
            (None, true) => "the clock".to_owned(),
            (None, false) if fits.get(index).is_some_and(Option::is_some) => "another column fits its channel better".to_owned(),
            (None, false) => "no channel is known by this name".to_owned(),
        };
        ColumnUnderstanding {
            heading: shorten(heading.name.trim(), 120),
            channel: channel.map(|(channel, _)| *channel),
            unit: unit.map(|taken| taken.unit.label.to_owned()).or(stated.clone()),
            unit_source: match (unit, stated) {
                (Some(taken), _) if !taken.stated => UnitSource::Inferred,
                (Some(_), _) | (None, Some(_)) => UnitSource::Stated,
                (None, None) => UnitSource::None,
            },
            readings: series.map_or(0, |series| series.count),
            range: series.and_then(|series| series.range),
            why: match unit.filter(|taken| !taken.stated) {
                Some(taken) => format!("{why}; unit: {}", taken.why),
                None => why,
            },
        }
    };
    let was_read = |index: usize| every_column || long || walked.series.get(index).is_some_and(|series| series.keep);
    walked.headings.iter().enumerate().filter(|(index, _)| was_read(*index)).map(|(index, heading)| column(index, heading)).collect()
}
