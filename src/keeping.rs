//! Keeping: a checked run into the archive, earlier drives out of it, and later readings added to what is kept.
//!
//! ```text
//! Run, Document ─ Judging ─▶ archive        archive ─ earlier ─▶ Earlier ─▶ check        archive ─ again ─▶ check ─▶ archive
//! ```
//!
//! The command line and the page keep and read runs through this, so that both do the same.

pub mod again;
pub mod earlier;

use crate::archive::{Archive, ArchiveError, Entry, Judged, twin};
use crate::channel::Channel;
use crate::report::document::Document;
use crate::report::{json, text, words};
use crate::run::Run;

/// Width of a kept report, in columns.
const WIDTH: usize = 80;

/// A judging that is to be kept.
#[derive(Clone, Debug)]
pub struct Judging<'a> {
    /// The run.
    pub run: &'a Run,
    /// The vehicle file's text.
    pub vehicle_toml: Option<String>,
    /// Chance of trapped air before the drive.
    pub air_prior: f64,
    /// Whether the drive was made before the work.
    pub before_work: bool,
    /// The report, in SI.
    pub document: &'a Document,
}

impl Judging<'_> {
    /// Puts it into its form and hands it on.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Form`] if the report cannot be written as JSON, and what `then` reports.
    pub fn formed<T>(&self, then: impl FnOnce(&Judged) -> Result<T, ArchiveError>) -> Result<T, ArchiveError> {
        let findings = json::render(self.document).map_err(|error| ArchiveError::Form(error.to_string()))?;
        let report = text::render(self.document, text::Style { color: false, width: WIDTH });
        then(&Judged {
            run: self.run,
            vehicle_toml: self.vehicle_toml.as_deref(),
            air_prior: self.air_prior,
            before_work: self.before_work,
            verdict: self.document.verdict.spoken(),
            headline: &self.document.headline,
            findings: &findings,
            report: &report,
        })
    }
}

/// Other kept runs whose coolant trace is this one's, in words. What cannot be read is no reason not to keep a run.
pub fn twins(archive: &Archive, id: &str, run: &Run) -> Vec<String> {
    let (Some(coolant), Ok(listing)) = (run.trace(Channel::CoolantTemperature), archive.listing()) else { return Vec::new() };
    let Some(own) = listing.entries.iter().find(|entry| entry.id == id) else { return Vec::new() };
    let alike = listing.entries.iter().filter(|entry| entry.id != id && own.coolant.alike(&entry.coolant));
    alike.filter_map(|entry| Some(remark(entry, &twin::of(coolant, &archive.coolant(&entry.id).ok()?)?))).collect()
}

fn remark(entry: &Entry, twin: &twin::Twin) -> String {
    format!(
        "note: the coolant temperature is that of {} ({}, kept {}), {}: {} readings agree. Two drives never do; one of the two logs is a copy",
        entry.id,
        words::plain(entry.vehicle.as_deref().unwrap_or(&entry.source)),
        entry.kept.format("%Y-%m-%d"),
        twin.spoken(),
        twin.readings
    )
}
