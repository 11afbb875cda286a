//! `--from-store`: the kept runs asked.

use super::write_tables;
use crate::archive::{Archive, Entry};
use crate::cli::Format;
use crate::cli::fleet::FleetArgs;
use crate::commands::check::{say, style};
use crate::commands::failure::Failure;
use crate::commands::keep::{archive, failed};
use crate::commands::output;
use crate::fleet::kept::{About, KeptRun};
use crate::fleet::survey::{Survey, html, json, text};
use crate::fleet::{Part, Table};
use crate::report::words::plain;
use rayon::prelude::*;
use std::process::ExitCode;

/// Asks the kept runs and prints what they say; tables that are asked for hold every kept run.
///
/// # Errors
///
/// [`Failure`] if there is no store, or a file cannot be written. A run that cannot be opened is no failure but named.
pub fn run(args: &FleetArgs) -> Result<ExitCode, Failure> {
    let archive = archive(&args.store)?;
    let listing = archive.listing().map_err(failed)?;
    if listing.entries.is_empty() && listing.not_opened.is_empty() {
        return Err(Failure::new(
            format_args!("no run is kept in {}", archive.folder().display()),
            "keep one: check LOG --keep\nto look elsewhere: --store FOLDER",
        ));
    }
    let pool = rayon::ThreadPoolBuilder::new().num_threads(args.threads.map_or(0, usize::from)).build();
    let pool = pool.map_err(|error| Failure::new(format_args!("no threads could be started: {error}"), "try fewer: --threads 1"))?;
    let opened: Vec<Result<KeptRun, (String, String)>> =
        pool.install(|| listing.entries.par_iter().map(|entry| kept(&archive, entry)).collect());
    let mut not_opened: Vec<(String, String)> = listing.not_opened.into_iter().map(|run| (plain(&run.id), plain(&run.why))).collect();
    let mut runs = Vec::with_capacity(opened.len());
    for run in opened {
        match run {
            Ok(run) => runs.push(run),
            Err(closed) => not_opened.push(closed),
        }
    }
    not_opened.sort();
    if args.table.is_some() || args.parquet.is_some() {
        let table = Table::of(runs.iter().map(|run| run.row.clone()).collect());
        write_tables(args, &table, Part::WHOLE)?;
    }
    let survey = Survey::of(&runs, not_opened).map_err(|error| Failure::new(error, ""))?;
    if let Some(path) = &args.report {
        output::write(path, html::render(&survey).as_bytes())?;
    }
    say(&match args.format {
        Format::Text => text::render(&survey, style()),
        Format::Json => json::render(&survey).map_err(|error| Failure::new(error, ""))?,
        Format::Csv => json::csv(&survey).map_err(|error| Failure::new(error, ""))?,
    })?;
    Ok(ExitCode::from(survey.exit_code()))
}

/// One kept run from its findings, or its name and why it cannot be opened.
fn kept(archive: &Archive, entry: &Entry) -> Result<KeptRun, (String, String)> {
    let about = About {
        id: entry.id.clone(),
        source: entry.source.clone(),
        driven: entry.driven(),
        started: entry.started,
        duration_s: entry.duration_s,
        vehicle: entry.vehicle.clone(),
        verdict: entry.verdict.clone(),
        headline: entry.headline.clone(),
    };
    let closed = |why: String| (plain(&entry.id), plain(&why));
    let findings = archive.findings(&entry.id).map_err(|error| closed(error.to_string()))?;
    KeptRun::of(about, &findings).map_err(closed)
}
