//! `history add`: notes and later readings to a kept run, which is judged again from its log's bytes.

use super::opened;
use crate::archive::{Archive, ArchiveError, KeptRun};
use crate::check::{Beside, Checked};
use crate::cli::history::{AddArgs, HistoryFormat, StoreArg};
use crate::commands::check::{say, style};
use crate::commands::earlier;
use crate::commands::failure::Failure;
use crate::commands::keep::{Judging, Told, failed};
use crate::commands::stated::{self, Stated};
use crate::report::{json, text};
use crate::run::LevelReading;
use std::process::ExitCode;

/// How often another's addition at the same moment is waited out.
const ATTEMPTS: u32 = 20;

/// Adds what was stated, judges again, keeps that beside the earlier judgings, and prints the new report.
///
/// # Errors
///
/// [`Failure`] if the run cannot be opened, what is added cannot be read, or the judging cannot be kept.
pub fn run(archive: &Archive, store: &StoreArg, args: &AddArgs) -> Result<ExitCode, Failure> {
    let given = &args.stated;
    let stated = stated::read(given)?;
    if stated.vehicle.is_none() && stated.noted.is_empty() && stated.flagged.is_empty() && given.air_prior.is_none() && !given.before_work {
        return Err(Failure::new(
            "nothing to add was given",
            "add level notes: --levels FILE.csv, or a single reading: --cold-after 39mm\nor a vehicle file: --vehicle FILE.toml",
        ));
    }
    let mut attempt = 1;
    loop {
        let kept = opened(archive, &args.id)?;
        match judge(archive, store, args, &stated, &kept)? {
            Added::Overtaken if attempt < ATTEMPTS => attempt += 1,
            Added::Overtaken => {
                let error = ArchiveError::Overtaken { id: kept.id };
                return Err(Failure::new(&error, error.hint()));
            }
            Added::Now(code) => return Ok(code),
        }
    }
}

enum Added {
    Now(ExitCode),
    /// Somebody else added something since the run was opened.
    Overtaken,
}

fn judge(archive: &Archive, store: &StoreArg, args: &AddArgs, stated: &Stated, kept: &KeptRun) -> Result<Added, Failure> {
    let Some(last) = kept.latest() else { return Err(Failure::new(format_args!("{} has no judging", kept.id), "")) };
    let mut run = kept.run().map_err(failed)?;
    if let Some((vehicle, _)) = &stated.vehicle {
        run.vehicle = vehicle.clone();
    }
    let vehicle_toml = stated.vehicle.as_ref().map(|(_, toml)| toml.clone()).or_else(|| last.vehicle_toml.clone());
    run.levels = together(&last.levels, stated);
    let air_prior = args.stated.air_prior.unwrap_or(last.summary.air_prior);
    let before_work = args.stated.before_work || last.summary.before_work;
    let baseline = if before_work { None } else { earlier::before_work(store, &earlier::Now { run: &run, id: &kept.id }) };
    let Checked { judgement, document, .. } = Checked::of(&run, &Beside { air_prior, before_work: baseline.as_ref(), against: None });
    let judging = Judging { run: &run, vehicle_toml, air_prior, before_work, document: &document };
    let added = judging.formed(|judged| match archive.add(kept, judged) {
        Err(ArchiveError::Overtaken { .. }) => Ok(None),
        added => added.map(Some),
    })?;
    let Some(number) = added else { return Ok(Added::Overtaken) };
    say(&match args.format {
        HistoryFormat::Text => text::render(&document, style()),
        HistoryFormat::Json => json::render(&document).map_err(|error| Failure::new(error, ""))?,
    })?;
    Told::of(format!("kept as judging {number} of {}; the earlier ones stay", kept.id)).tell();
    Ok(Added::Now(ExitCode::from(judgement.verdict.exit_code())))
}

/// The kept notes, then those that are new. A file that has grown since it was kept adds what it did not have; a reading given as a
/// flag is always a new one.
fn together(kept: &[LevelReading], stated: &Stated) -> Vec<LevelReading> {
    let mut had: Vec<&LevelReading> = kept.iter().collect();
    let mut levels = kept.to_vec();
    for note in &stated.noted {
        match had.iter().position(|kept| *kept == note) {
            // Each kept row stands for one row of the file.
            Some(index) => drop(had.swap_remove(index)),
            None => levels.push(note.clone()),
        }
    }
    levels.extend(stated.flagged.iter().cloned());
    levels
}
