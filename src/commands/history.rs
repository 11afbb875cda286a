//! `history`: kept runs listed, shown, added to, exported and removed.

mod add;
mod list;
mod show;

use super::check::say;
use super::compare;
use super::failure::Failure;
use super::keep::{archive, failed};
use super::output;
use crate::archive::{Archive, KeptRun, NotOpened};
use crate::cli::history::{ExportArgs, HistoryArgs, HistoryVerb, RemoveArgs, TrendArgs};
use crate::report::words;
use std::io::{BufRead, Write};
use std::process::ExitCode;

/// Does what was asked with the kept runs.
///
/// # Errors
///
/// [`Failure`] if the run is not there or cannot be read, judged or written.
pub fn run(args: &HistoryArgs) -> Result<ExitCode, Failure> {
    let archive = archive(&args.store)?;
    let Some(verb) = &args.verb else { return list::run(&archive, args) };
    if args.vehicle.is_some() || args.format.is_some() {
        return Err(Failure::new(
            "--vehicle and --format before the verb belong to the list",
            "write what belongs to the verb after it: history show ID --format json",
        ));
    }
    match verb {
        HistoryVerb::Show(args) => show::run(&archive, args),
        HistoryVerb::Add(adding) => add::run(&archive, adding),
        HistoryVerb::Export(args) => export(&archive, args),
        HistoryVerb::Remove(args) => remove(&archive, args),
        HistoryVerb::Trend(args) => trend(&archive, args),
        HistoryVerb::Verify => verify(&archive),
    }
}

/// Finds and opens a run.
fn opened(archive: &Archive, asked: &str) -> Result<KeptRun, Failure> {
    let id = archive.find(asked).map_err(failed)?.id;
    archive.open(&id).map_err(failed)
}

fn trend(archive: &Archive, args: &TrendArgs) -> Result<ExitCode, Failure> {
    let plot = compare::picture(&args.out)?;
    let (vehicle, runs) = compare::kept_of(&args.vehicle, archive)?;
    compare::over_time(&vehicle, &runs, &args.out, plot)
}

fn export(archive: &Archive, args: &ExportArgs) -> Result<ExitCode, Failure> {
    let kept = opened(archive, &args.id)?;
    let mut files: Vec<(&str, &[u8])> = vec![(kept.record.log_name(), &kept.log)];
    files.extend(kept.latest().into_iter().flat_map(|judging| &judging.files).map(|(name, bytes)| (*name, bytes.as_slice())));
    std::fs::create_dir_all(&args.out).map_err(|cause| Failure::unwritten(&args.out, &cause))?;
    if let Some((name, _)) = files.iter().find(|(name, _)| args.out.join(name).exists()) {
        let there = args.out.join(name);
        return Err(Failure::new(format_args!("{}: there is such a file already", there.display()), "name a folder that is empty"));
    }
    for (name, bytes) in &files {
        output::write(&args.out.join(name), bytes)?;
    }
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    say(&format!("{}: {}\n", args.out.display(), names.join(", ")))?;
    Ok(ExitCode::SUCCESS)
}

fn remove(archive: &Archive, args: &RemoveArgs) -> Result<ExitCode, Failure> {
    let id = archive.listing().and_then(|listing| listing.name(&args.id, archive.folder())).map_err(failed)?;
    if !args.yes && !agreed(&id)? {
        return Err(Failure::new(format_args!("{id} was not removed"), "answer `yes`, or add --yes"));
    }
    archive.remove(&id).map_err(failed)?;
    say(&format!("{id} is removed\n"))?;
    Ok(ExitCode::SUCCESS)
}

/// Asks on standard error and reads one line.
fn agreed(id: &str) -> Result<bool, Failure> {
    let unread = |error: std::io::Error| Failure::new(format_args!("cannot read the answer: {error}"), "add --yes");
    let mut err = std::io::stderr().lock();
    // Who cannot see the question cannot answer it, and then nothing is removed.
    let _ = write!(err, "Remove {id} with its log, notes and findings? There is no way back. [yes/no] ").and_then(|()| err.flush());
    let mut answer = String::new();
    std::io::stdin().lock().read_line(&mut answer).map_err(unread)?;
    Ok(matches!(answer.trim().to_ascii_lowercase().as_str(), "y" | "yes"))
}

fn verify(archive: &Archive) -> Result<ExitCode, Failure> {
    let (whole, not_opened) = archive.verify().map_err(failed)?;
    let runs = if whole == 1 { "run is" } else { "runs are" };
    say(&format!("{whole} {runs} whole in {}\n{}", archive.folder().display(), named(&not_opened)))?;
    if not_opened.is_empty() {
        return Ok(ExitCode::SUCCESS);
    }
    let runs = if not_opened.len() == 1 { "run" } else { "runs" };
    Err(Failure::new(
        format_args!("{} {runs} cannot be opened", not_opened.len()),
        "put such a run's folder back from a copy, or remove it: history remove ID",
    ))
}

/// Runs that cannot be opened, one a line.
fn named(not_opened: &[NotOpened]) -> String {
    let lines = not_opened.iter().map(|run| format!("  {}  {}\n", words::plain(&run.id), words::plain(&run.why)));
    let lines: String = lines.collect();
    if lines.is_empty() { lines } else { format!("\nCould not be opened, and left as they are\n{lines}") }
}
