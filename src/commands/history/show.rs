//! `history show`: a kept run with its report.

use super::opened;
use crate::archive::judged::Summary;
use crate::archive::{Archive, Judging, KeptRun, Record};
use crate::cli::history::{HistoryFormat, ShowArgs};
use crate::commands::check::say;
use crate::commands::failure::Failure;
use crate::report::words;
use serde::Serialize;
use serde_json::Value;
use std::fmt::Write;
use std::process::ExitCode;

/// A kept run as JSON.
#[derive(Serialize)]
struct Shown<'a> {
    id: &'a str,
    folder: String,
    record: &'a Record,
    judgings: Vec<&'a Summary>,
    shown: u32,
    report: Value,
}

/// Prints a kept run.
///
/// # Errors
///
/// [`Failure`] if it is not there, damaged, or has no such judging.
pub fn run(archive: &Archive, args: &ShowArgs) -> Result<ExitCode, Failure> {
    let kept = opened(archive, &args.id)?;
    let shown = chosen(&kept, args.judging)?;
    say(&match args.format {
        HistoryFormat::Text => as_text(&kept, shown),
        HistoryFormat::Json => as_json(&kept, shown).map_err(|error| Failure::new(error, ""))?,
    })?;
    Ok(ExitCode::SUCCESS)
}

fn chosen(kept: &KeptRun, number: Option<u32>) -> Result<&Judging, Failure> {
    let found = match number {
        None => kept.latest(),
        Some(number) => kept.judgings.iter().find(|judging| judging.summary.number == number),
    };
    found.ok_or_else(|| {
        let asked = number.map(|number| format!(" number {number}")).unwrap_or_default();
        Failure::new(format_args!("{} has no judging{asked}", kept.id), format!("its judgings are numbered 1 to {}", kept.judgings.len()))
    })
}

fn as_text(kept: &KeptRun, shown: &Judging) -> String {
    let record = &kept.record;
    let mut text = format!("{}  {}\n", kept.id, words::plain(&record.source));
    if let Some(started) = record.started {
        let _ = writeln!(text, "driven  {}", started.format("%Y-%m-%d %H:%M"));
    }
    let _ = writeln!(text, "kept    {} UTC in {}", record.kept.format("%Y-%m-%d %H:%M"), kept.folder.display());
    for judging in &kept.judgings {
        let Summary { number, at, program, verdict, .. } = &judging.summary;
        let notes = match judging.levels.len() {
            0 => "no level notes".to_owned(),
            1 => "1 level note".to_owned(),
            many => format!("{many} level notes"),
        };
        let mark = if *number == shown.summary.number { ", shown below" } else { "" };
        let at = at.format("%Y-%m-%d %H:%M");
        let _ = writeln!(text, "judged  {number}: {at} UTC, {}, {notes}, version {}{mark}", words::plain(verdict), words::plain(program));
    }
    // The store may come from elsewhere: what it holds is not passed on to a terminal as it is.
    let report: Vec<String> = shown.report.lines().map(words::plain).collect();
    format!("{text}\n{}\n", report.join("\n"))
}

fn as_json(kept: &KeptRun, shown: &Judging) -> Result<String, serde_json::Error> {
    let shown = Shown {
        id: &kept.id,
        folder: kept.folder.display().to_string(),
        record: &kept.record,
        judgings: kept.judgings.iter().map(|judging| &judging.summary).collect(),
        shown: shown.summary.number,
        report: serde_json::from_str(&shown.findings)?,
    };
    Ok(serde_json::to_string_pretty(&shown)? + "\n")
}
