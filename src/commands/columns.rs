//! `columns`: how a log was understood.

use super::check::say;
use super::failure::Failure;
use super::input;
use crate::cli::{ColumnsArgs, Format};
use crate::ingest::Ingested;
use crate::ingest::understanding::{ColumnUnderstanding, Layout, UnitSource};
use crate::report::words;
use std::fmt::Write;
use std::process::ExitCode;

/// Prints how a log was understood.
///
/// # Errors
///
/// [`Failure`] if the log cannot be read or understood.
pub fn run(args: &ColumnsArgs) -> Result<ExitCode, Failure> {
    let read = input::log(&args.log, &args.reading)?;
    let text = match args.format {
        Format::Json => serde_json::to_string_pretty(&read.understanding).map_err(|error| Failure::new(error, ""))? + "\n",
        Format::Csv => as_csv(&read)?,
        Format::Text => as_text(&read),
    };
    say(&text)?;
    Ok(ExitCode::SUCCESS)
}

fn as_text(read: &Ingested) -> String {
    let understood = &read.understanding;
    let mut text = format!("{}\n\n", words::plain(&read.run.source));
    for (name, value) in facts(read) {
        let _ = writeln!(text, "{name:11}{}", words::plain(&value));
    }
    let _ = writeln!(text, "\nColumns");
    for column in &understood.columns {
        let _ = writeln!(text, "  {}\n      {}", words::plain(&column.heading), words::plain(&column_words(column)));
    }
    if !read.run.defects.is_empty() {
        let _ = writeln!(text, "\nWhat was wrong with it");
        for defect in &read.run.defects {
            let _ = writeln!(text, "  {}", words::plain(&words::defect(defect)));
        }
    }
    text
}

/// The file as a whole, as name and value.
fn facts(read: &Ingested) -> Vec<(&'static str, String)> {
    let understood = &read.understanding;
    let layout = match understood.layout {
        Layout::Wide => "a column a channel",
        Layout::SparseWide => "a column a channel, filled only when a value arrived",
        Layout::Long => "a row a value: time, signal, value",
        Layout::Frames => "a row a frame: time, identifier, bytes",
    };
    let decimal = if understood.decimal_comma { "decimal comma" } else { "decimal point" };
    let packed = if understood.compressed { ", compressed" } else { "" };
    let gaps = match understood.gaps.len() {
        0 => "none".to_owned(),
        count => format!(
            "{count}, the first of {:.0} s at {}",
            understood.gaps[0][1] - understood.gaps[0][0],
            words::clock(understood.gaps[0][0])
        ),
    };
    vec![
        ("text", format!("{}{packed}, cells parted by a {}, {decimal}", understood.encoding, understood.delimiter_name())),
        ("heading", format!("line {}, {} lines of text above it", understood.heading_line, understood.preamble_lines)),
        ("layout", layout.to_owned()),
        ("clock", understood.clock.clone()),
        ("rows", format!("{} over {}", understood.rows, words::clock(understood.duration_s))),
        ("gaps", gaps),
    ]
}

/// One column: what it was taken for, its unit, its range, and why.
fn column_words(column: &ColumnUnderstanding) -> String {
    let unit = column.unit.as_deref().unwrap_or("no unit");
    let told = match column.unit_source {
        UnitSource::Stated => "",
        UnitSource::Inferred => " (inferred)",
        UnitSource::None => "",
    };
    let range = column.range.map_or(String::new(), |[low, high]| format!(", {low} to {high}"));
    match column.channel {
        Some(channel) => format!("{}: {unit}{told}{range}, {} readings; {}", channel.spoken(), column.readings, column.why),
        None => format!("not used: {}", column.why),
    }
}

fn as_csv(read: &Ingested) -> Result<String, Failure> {
    let mut rows = csv::Writer::from_writer(Vec::new());
    let failed = |error: csv::Error| Failure::new(error, "");
    rows.write_record(["heading", "channel", "unit", "readings", "low", "high"]).map_err(failed)?;
    for column in &read.understanding.columns {
        let [low, high] = column.range.map_or([String::new(), String::new()], |range| range.map(|end| end.to_string()));
        let channel = column.channel.map_or("", |channel| channel.name());
        let unit = column.unit.as_deref().unwrap_or_default();
        rows.write_record([&column.heading, channel, unit, &column.readings.to_string(), &low, &high]).map_err(failed)?;
    }
    let bytes = rows.into_inner().map_err(|error| Failure::new(error.error(), ""))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
