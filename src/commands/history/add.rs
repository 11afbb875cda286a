//! `history add`: notes and later readings to a kept run, which is judged again from its log's bytes.

use crate::archive::Archive;
use crate::cli::history::{AddArgs, HistoryFormat};
use crate::commands::check::{say, style};
use crate::commands::failure::Failure;
use crate::commands::keep::{Told, failed};
use crate::commands::stated;
use crate::keeping::again::{self, Addition};
use crate::report::{json, text};
use std::process::ExitCode;

/// Adds what was stated, judges again, keeps that beside the earlier judgings, and prints the new report.
///
/// # Errors
///
/// [`Failure`] if the run cannot be opened, what is added cannot be read, or the judging cannot be kept.
pub fn run(archive: &Archive, args: &AddArgs) -> Result<ExitCode, Failure> {
    let given = &args.stated;
    let stated = stated::read(given)?;
    let addition = Addition {
        vehicle: stated.vehicle,
        noted: stated.noted,
        flagged: stated.flagged,
        air_prior: given.air_prior,
        before_work: given.before_work,
    };
    if addition.is_empty() {
        return Err(Failure::new(
            "nothing to add was given",
            "add level notes: --levels FILE.csv, or a single reading: --cold-after 39mm\nor a vehicle file: --vehicle FILE.toml",
        ));
    }
    let id = archive.find(&args.id).map_err(failed)?.id;
    let added = again::add(archive, &id, &addition).map_err(failed)?;
    let document = &added.checked.document;
    added.notes.into_iter().for_each(|note| Told::of(note).tell());
    say(&match args.format {
        HistoryFormat::Text => text::render(document, style()),
        HistoryFormat::Json => json::render(document).map_err(|error| Failure::new(error, ""))?,
    })?;
    Told::of(format!("kept as judging {} of {}; the earlier ones stay", added.number, added.id)).tell();
    Ok(ExitCode::from(added.checked.judgement.verdict.exit_code()))
}
