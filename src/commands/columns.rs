//! `columns`: how a log was understood.

use super::check::say;
use super::failure::Failure;
use super::input::{self, Understood};
use crate::cli::{ColumnsArgs, Format};
use crate::estimate::spoken::number;
use crate::ingest::understanding::{ColumnUnderstanding, Layout, Understanding, UnitSource};
use crate::report::words;
use crate::run::Defect;
use std::fmt::Write;
use std::process::ExitCode;

/// Prints how a log was understood. Of a log that cannot be checked as it stands it prints the columns all the same, so that the
/// right one can be named.
///
/// # Errors
///
/// [`Failure`] if the log cannot be read or understood.
pub fn run(args: &ColumnsArgs) -> Result<ExitCode, Failure> {
    match input::understood(&args.log, &args.reading)? {
        Understood::Read(read) => {
            print(args.format, &read.run.source, &read.understanding, &read.run.defects)?;
            Ok(ExitCode::SUCCESS)
        }
        Understood::Columns(source, understanding, failure) => {
            print(args.format, &source, &understanding, &[])?;
            // What this verb shows has just been shown.
            let hints: Vec<&str> = failure.hint.lines().filter(|hint| !hint.contains("`columns FILE`")).collect();
            Err(Failure::new(failure.error, hints.join("\n")))
        }
    }
}

fn print(format: Format, source: &str, understood: &Understanding, defects: &[Defect]) -> Result<(), Failure> {
    let text = match format {
        Format::Json => serde_json::to_string_pretty(understood).map_err(|error| Failure::new(error, ""))? + "\n",
        Format::Csv => as_csv(understood)?,
        Format::Text => as_text(source, understood, defects),
    };
    say(&text)
}

fn as_text(source: &str, understood: &Understanding, defects: &[Defect]) -> String {
    let mut text = format!("{}\n\n", words::plain(source));
    for (name, value) in facts(understood) {
        let _ = writeln!(text, "{name:11}{}", words::plain(&value));
    }
    let _ = writeln!(text, "\nColumns");
    for column in &understood.columns {
        let _ = writeln!(text, "  {}\n      {}", words::plain(&column.heading), words::plain(&column_words(column)));
    }
    if !defects.is_empty() {
        let _ = writeln!(text, "\nRemarks");
        for defect in defects {
            let _ = writeln!(text, "  {}", words::plain(&words::defect(defect)));
        }
    }
    text
}

/// The file as a whole, as name and value.
fn facts(understood: &Understanding) -> Vec<(&'static str, String)> {
    let layout = match understood.layout {
        Layout::Wide => "a column a channel",
        Layout::SparseWide => "a column a channel, filled only when a value arrived",
        Layout::Long => "a row a value: time, signal, value",
        Layout::Frames => "a row a frame: time, identifier, bytes",
    };
    let decimal = if understood.decimal_comma { "decimal comma" } else { "decimal point" };
    let packed = if understood.compressed { ", compressed" } else { "" };
    let above = match understood.preamble_lines {
        0 => String::new(),
        1 => ", 1 line of text above it".to_owned(),
        lines => format!(", {lines} lines of text above it"),
    };
    let mut facts = vec![
        ("text", format!("{}{packed}, cells parted by a {}, {decimal}", understood.encoding, understood.delimiter_name())),
        ("heading", format!("line {}{above}", understood.heading_line)),
        ("layout", layout.to_owned()),
        ("clock", understood.clock.clone()),
    ];
    // Without a clock that could be used the rows have been counted and no more.
    if understood.problem.is_some() {
        facts.push(("rows", understood.rows.to_string()));
        return facts;
    }
    let gaps = match understood.gaps.as_slice() {
        [] => "none".to_owned(),
        [[from, to]] => format!("1, of {:.0} s at {}", to - from, words::clock(*from)),
        [[from, to], ..] => format!("{}, the first of {:.0} s at {}", understood.gaps.len(), to - from, words::clock(*from)),
    };
    facts.push(("rows", format!("{} over {}", understood.rows, words::clock(understood.duration_s))));
    facts.push(("gaps", gaps));
    facts
}

/// One column: what it was taken for, its unit, its range, and why.
fn column_words(column: &ColumnUnderstanding) -> String {
    let unit = column.unit.as_deref().unwrap_or("no unit");
    let told = match column.unit_source {
        UnitSource::Stated => "",
        UnitSource::Inferred => " (inferred)",
        UnitSource::None => "",
    };
    let range = column.range.map_or(String::new(), |range| format!(", {}", range_words(range)));
    match column.channel {
        Some(channel) => format!("{}: {unit}{told}{range}, {} readings; {}", channel.spoken(), column.readings, column.why),
        None => column.why.clone(),
    }
}

/// Lowest and highest number with no more digits than help anyone: `9 throughout`, `0 to 3285`, `12.3 to 14.3`.
fn range_words([low, high]: [f64; 2]) -> String {
    let decimals = match low.abs().max(high.abs()) {
        large if large >= 100.0 => 0,
        middle if middle >= 10.0 => 1,
        _ => 2,
    };
    let [low, high] = [low, high].map(|end| {
        let text = number(end, decimals);
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    });
    if low == high { format!("{low} throughout") } else { format!("{low} to {high}") }
}

fn as_csv(understood: &Understanding) -> Result<String, Failure> {
    let mut rows = csv::Writer::from_writer(Vec::new());
    let failed = |error: csv::Error| Failure::new(error, "");
    rows.write_record(["heading", "channel", "unit", "readings", "low", "high"]).map_err(failed)?;
    for column in &understood.columns {
        let [low, high] = column.range.map_or([String::new(), String::new()], |range| range.map(|end| end.to_string()));
        let channel = column.channel.map_or("", |channel| channel.name());
        let unit = column.unit.as_deref().unwrap_or_default();
        rows.write_record([&column.heading, channel, unit, &column.readings.to_string(), &low, &high]).map_err(failed)?;
    }
    let bytes = rows.into_inner().map_err(|error| Failure::new(error.error(), ""))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

#[cfg(test)]
mod tests {
    use super::range_words;

    #[test]
    fn a_range_has_the_digits_that_help() {
        for (range, words) in
            [([9.0, 9.0], "9 throughout"), ([0.0, 3285.25], "0 to 3285"), ([12.261, 14.277], "12.3 to 14.3"), ([-14.0, 96.0], "−14 to 96")]
        {
            assert_eq!(range_words(range), words);
        }
    }
}
