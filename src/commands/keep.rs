//! `--keep`, and what every verb that keeps or reads runs has in common: where they are kept, and what is said about it.

use super::failure::Failure;
use super::input;
use crate::archive::{Archive, ArchiveError, Evidence, How, Kept, place};
use crate::cli::CheckArgs;
use crate::cli::history::StoreArg;
use crate::keeping::{Judging, twins};
use std::io::Write;

/// What there is to say after a run was kept.
pub struct Told(Vec<String>);

impl Told {
    /// One sentence.
    pub fn of(line: String) -> Self {
        Self(vec![line])
    }

    /// Says it on standard error: standard output holds the report and nothing else.
    pub fn tell(&self) {
        let mut err = std::io::stderr().lock();
        // Nobody may be left to read it.
        self.0.iter().for_each(|line| drop(writeln!(err, "{line}")));
    }
}

/// The archive that is meant.
///
/// # Errors
///
/// [`Failure`] if nobody says where it is.
pub fn archive(store: &StoreArg) -> Result<Archive, Failure> {
    let folder = store.folder.clone().filter(|folder| !folder.as_os_str().is_empty()).or_else(place::default);
    folder.map(Archive::at).ok_or_else(|| {
        Failure::new("this system does not say where data is kept", "say where: --store FOLDER, or set WELLBLED_STORE to a folder")
    })
}

/// An archive's error as the person reads it.
pub fn failed(error: ArchiveError) -> Failure {
    Failure::new(&error, error.hint())
}

/// Keeps a run that was checked.
///
/// # Errors
///
/// [`Failure`] if it cannot be kept; nothing is kept then.
pub fn keep(args: &CheckArgs, log: &[u8], judging: &Judging) -> Result<Told, Failure> {
    let archive = archive(&args.store)?;
    let how = How::of(&input::options(&args.reading));
    let evidence = Evidence { log, source: &judging.run.source, how: &how, run: judging.run };
    let kept = judging.formed(|judged| archive.keep(&evidence, judged)).map_err(failed)?;
    let mut told = match &kept {
        Kept::Now(id) => vec![format!("kept as {id} in {}", archive.folder().display())],
        Kept::Already(id) => already(&archive, id),
    };
    let (Kept::Now(id) | Kept::Already(id)) = &kept;
    told.extend(twins(&archive, id, judging.run));
    Ok(Told(told))
}

/// That the same log is kept, since when, and how something is added to it.
fn already(archive: &Archive, id: &str) -> Vec<String> {
    let since = archive.find(id).map(|entry| format!(" since {}", entry.kept.format("%Y-%m-%d"))).unwrap_or_default();
    vec![
        format!("this log is kept{since} as {id}; nothing was changed"),
        format!("to add notes or a vehicle file to it: history add {id} --levels FILE.csv"),
    ]
}
