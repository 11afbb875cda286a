//! The earlier drive of a vehicle: named by the person, or its kept drive from before the work.

use super::failure::Failure;
use super::input;
use super::keep::{archive, failed};
use crate::archive::{Archive, ArchiveError};
use crate::check::Earlier;
use crate::cli::Reading;
use crate::cli::history::StoreArg;
use crate::keeping::earlier::{self as keeping, Now};
use crate::run::Run;
use std::path::Path;

/// The run that the person named: `last`, a file, or a kept run.
///
/// # Errors
///
/// [`Failure`] if there is none of that name or it cannot be read.
pub fn named(asked: &str, store: &StoreArg, now: &Now) -> Result<Earlier, Failure> {
    if Path::new(asked).is_file() {
        return file(Path::new(asked), now.run);
    }
    let archive = archive(store)?;
    if asked != "last" {
        let entry = archive.find(asked).map_err(|error| not_found(asked, &archive, error))?;
        return keeping::kept(&archive, &entry.id).map_err(failed);
    }
    let Some(name) = now.run.vehicle.name.as_deref() else {
        return Err(Failure::new(
            "`last` is the last kept run of this vehicle, and the vehicle has no name",
            "state it in the vehicle file (name = \"...\") and pass --vehicle FILE.toml\nor name the run itself: history shows them",
        ));
    };
    keeping::last(&archive, now).map_err(failed)?.ok_or_else(|| {
        Failure::new(
            format_args!("no earlier run of `{name}` is kept in {}", archive.folder().display()),
            "keep the drives of a vehicle with --keep, and with the same name in its file\nor name another log: --against FILE",
        )
    })
}

/// What was named is neither a file nor a kept run, or the archive cannot tell.
pub fn not_found(asked: &str, archive: &Archive, error: ArchiveError) -> Failure {
    match error {
        ArchiveError::NoSuchRun { .. } => Failure::new(
            format_args!("`{asked}` is neither a file nor a kept run in {}", archive.folder().display()),
            "to see what is kept: history\nto look elsewhere: --store FOLDER",
        ),
        other => failed(other),
    }
}

/// The kept drive from before the work of this vehicle. What cannot be listed or read is said and is no reason not to check.
pub fn before_work(store: &StoreArg, now: &Now) -> Option<Earlier> {
    let archive = archive(store).ok()?;
    keeping::before_work(&archive, now).unwrap_or_else(|error| {
        super::keep::Told::of(keeping::left_out(&error)).tell();
        None
    })
}

/// Another log of the same vehicle.
fn file(path: &Path, now: &Run) -> Result<Earlier, Failure> {
    let (read, _) = input::log(path, &Reading::default())?;
    let run = Run { vehicle: now.vehicle.clone(), ..read.run };
    Ok(Earlier::of(run.called(), run))
}
