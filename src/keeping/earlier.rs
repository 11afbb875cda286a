//! The earlier drive of a vehicle out of the archive: a run by its name, the last one, or the drive before the work.

use crate::archive::earlier::Sought;
use crate::archive::{Archive, ArchiveError, KeptRun};
use crate::check::Earlier;
use crate::run::Run;

/// A drive for which an earlier one is sought.
#[derive(Clone, Copy, Debug)]
pub struct Now<'a> {
    /// It.
    pub run: &'a Run,
    /// Its name in the archive, or the one that it would have.
    pub id: &'a str,
}

impl Now<'_> {
    fn sought(&self) -> Sought<'_> {
        Sought { vehicle: self.run.vehicle.name.as_deref(), driven: self.run.started, own: self.id }
    }
}

/// A kept run, measured again.
///
/// # Errors
///
/// [`ArchiveError`] if it is not there, damaged, or can no longer be read.
pub fn kept(archive: &Archive, id: &str) -> Result<Earlier, ArchiveError> {
    measured(&archive.open(id)?)
}

/// An opened run, measured again.
///
/// # Errors
///
/// [`ArchiveError::NotRead`] if it can no longer be read.
pub fn measured(kept: &KeptRun) -> Result<Earlier, ArchiveError> {
    kept.run().map(|run| Earlier::of(kept.called(), run))
}

/// The latest kept drive of the same vehicle before this one; `None` if there is none or the vehicle has no name.
///
/// # Errors
///
/// [`ArchiveError`] if the archive cannot be listed or the run not be read.
pub fn last(archive: &Archive, now: &Now) -> Result<Option<Earlier>, ArchiveError> {
    if now.run.vehicle.name.is_none() {
        return Ok(None);
    }
    let (listing, sought) = (archive.listing()?, now.sought());
    listing.last_before(&sought).map(|entry| kept(archive, &entry.id)).transpose()
}

/// The kept drive from before the work of this vehicle; `None` if there is none or the vehicle has no name.
///
/// # Errors
///
/// [`ArchiveError`] if the archive cannot be listed or the run not be read.
pub fn before_work(archive: &Archive, now: &Now) -> Result<Option<Earlier>, ArchiveError> {
    if now.run.vehicle.name.is_none() {
        return Ok(None);
    }
    let (listing, sought) = (archive.listing()?, now.sought());
    listing.before_work(&sought).map(|entry| kept(archive, &entry.id)).transpose()
}

/// That the drive before the work could not be weighed in, in words.
pub fn left_out(error: &ArchiveError) -> String {
    format!("note: the drive before the work was left out of account: {error}")
}
