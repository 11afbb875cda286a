//! Every log of a fleet checked, several at once, each on its own.
//!
//! A thread holds one log at a time, so that no more logs are in memory than there are threads; of each only its row stays. The rows are put
//! in order when all are there: neither the number of threads nor who was first shows in the answer.

use super::jobs::{Job, Jobs};
use super::journal::{Journal, Key};
use crate::analysis::trapped_air;
use crate::archive;
use crate::check::{Beside, Checked};
use crate::cli::fleet::FleetArgs;
use crate::commands::failure::Failure;
use crate::commands::input;
use crate::commands::keep::Told;
use crate::fleet::row::NotRead;
use crate::fleet::{Answer, Found, Part, Row, Table};
use crate::ingest;
use crate::report::words::plain;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;
use std::io::IsTerminal;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// What is the same for every log.
struct Together<'a> {
    options: ingest::Options,
    air_prior: f64,
    journal: Option<&'a Journal>,
}

/// Checks a folder's or a list's logs.
///
/// # Errors
///
/// [`Failure`] if there are no logs, the journal is none, or no threads can be started.
pub fn all(args: &FleetArgs, logs: &Path, part: Part) -> Result<Table, Failure> {
    let jobs = Jobs::of(logs, part)?;
    let journal = args.resume.as_deref().map(Journal::open).transpose()?;
    let together = Together {
        options: input::options(&args.reading),
        air_prior: args.air_prior.unwrap_or(trapped_air::PRIOR),
        journal: journal.as_ref(),
    };
    let pool = rayon::ThreadPoolBuilder::new().num_threads(args.threads.map_or(0, usize::from)).build();
    let pool = pool.map_err(|error| Failure::new(format_args!("no threads could be started: {error}"), "try fewer: --threads 1"))?;
    let progress = progress(jobs.logs.len());
    let mut rows: Vec<Row> = pool.install(|| {
        let checked = jobs.logs.par_iter().map(|job| {
            let row = one(job, &together);
            progress.inc(1);
            row
        });
        checked.collect()
    });
    progress.finish_and_clear();
    rows.extend(jobs.not_listed.iter().map(|(name, failure)| unlisted(name, failure)));
    jobs.tell();
    if let Some(trouble) = journal.and_then(Journal::trouble) {
        Told::of(format!("note: {trouble}; the table is whole, but a later run starts without what is missing there")).tell();
    }
    Ok(Table::of(rows))
}

/// A bar on a terminal; nothing where standard error goes elsewhere.
fn progress(logs: usize) -> ProgressBar {
    let target = if std::io::stderr().is_terminal() { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
    let bar = ProgressBar::with_draw_target(u64::try_from(logs).ok(), target);
    match ProgressStyle::with_template("{pos} of {len} logs, {eta} left") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

/// A folder that could not be listed.
fn unlisted(name: &str, failure: &Failure) -> Row {
    let job = Job { name: plain(name), path: name.into(), vehicle: None, levels: None, remark: String::new() };
    row(&job, String::new(), not_read(failure, &[]))
}

fn row(job: &Job, sha256: String, answer: Answer) -> Row {
    let named = |file: &Option<(String, std::path::PathBuf)>| file.as_ref().map(|(name, _)| name.clone()).unwrap_or_default();
    Row {
        log: job.name.clone(),
        sha256,
        vehicle_file: named(&job.vehicle),
        levels_file: named(&job.levels),
        remark: job.remark.clone(),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        answer,
    }
}

/// A failure as a row's answer; files are called by their names in the table, so that it reads the same wherever the folder lies.
fn not_read(failure: &Failure, files: &[(&str, &Path)]) -> Answer {
    let called = |text: &str| files.iter().fold(text.to_owned(), |text, (name, path)| text.replace(&path.display().to_string(), name));
    let hint = failure.hint.lines().find(|line| !line.is_empty()).unwrap_or_default();
    Answer::NotRead(NotRead { why: plain(&called(&failure.error)), hint: plain(&called(hint)) })
}

/// Checks one log, unless the journal has it.
fn one(job: &Job, together: &Together) -> Row {
    let mut files = vec![(job.name.as_str(), job.path.as_path())];
    files.extend(job.vehicle.iter().chain(&job.levels).map(|(name, path)| (name.as_str(), path.as_path())));
    let (source, log) = match input::log_bytes(&job.path) {
        Ok(read) => read,
        Err(failure) => return row(job, String::new(), not_read(&failure, &files)),
    };
    let sha256 = archive::sha256(&log);
    let stated = job.vehicle.as_ref().map(|(_, path)| input::vehicle_with_text(path)).transpose();
    let stated = stated.and_then(|vehicle| Ok((vehicle, job.levels.as_ref().map(|(_, path)| input::levels_with_bytes(path)).transpose()?)));
    let (vehicle, levels) = match stated {
        Ok(stated) => stated,
        Err(failure) => return row(job, sha256, not_read(&failure, &files)),
    };
    let (vehicle, vehicle_toml) = vehicle.unzip();
    let (levels, notes) = levels.unzip();
    let key = Key::of(&source, &sha256, vehicle_toml.as_deref(), notes.as_deref(), &together.options, together.air_prior);
    if let Some(answer) = together.journal.and_then(|journal| journal.done(&key)) {
        return row(job, sha256, answer);
    }
    // A fault of the program on one log must not cost the others their answers.
    let answer = catch_unwind(AssertUnwindSafe(|| {
        let mut run = ingest::read(&log, &source, &together.options).map_err(|error| Failure::new(&error, error.hint()))?.run;
        run.vehicle = vehicle.unwrap_or_default();
        run.levels = levels.unwrap_or_default();
        let Checked { document, .. } = Checked::of(&run, &Beside { air_prior: together.air_prior, ..Beside::default() });
        Ok(Answer::Checked(Box::new(Found::of(&run, &document))))
    }));
    let answer = match answer {
        Ok(Ok(answer)) => answer,
        Ok(Err(failure)) => not_read(&failure, &files),
        Err(_) => {
            let failure = Failure::new("this program failed on this log", "please report it with the log; `check` on it shows more");
            return row(job, sha256, not_read(&failure, &files));
        }
    };
    let row = row(job, sha256, answer);
    if let Some(journal) = together.journal {
        journal.note(&key, &row);
    }
    row
}
