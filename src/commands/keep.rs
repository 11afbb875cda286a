//! `--keep`, and what every verb that keeps or reads runs has in common: where they are kept, and how a judging is put into its form.

use super::failure::Failure;
use super::input;
use crate::archive::{Archive, ArchiveError, Entry, Evidence, How, Judged, Kept, place, twin};
use crate::channel::Channel;
use crate::cli::CheckArgs;
use crate::cli::history::StoreArg;
use crate::report::document::Document;
use crate::report::{json, text, words};
use crate::run::Run;
use std::io::Write;

/// Width of a kept report, in columns.
const WIDTH: usize = 80;

/// A judging that is to be kept.
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
    /// [`Failure`] if the report cannot be written as JSON, and what `then` reports.
    pub fn formed<T>(&self, then: impl FnOnce(&Judged) -> Result<T, ArchiveError>) -> Result<T, Failure> {
        let findings = json::render(self.document).map_err(|error| Failure::new(error, ""))?;
        let report = text::render(self.document, text::Style { color: false, width: WIDTH });
        let judged = Judged {
            run: self.run,
            vehicle_toml: self.vehicle_toml.as_deref(),
            air_prior: self.air_prior,
            before_work: self.before_work,
            verdict: self.document.verdict.spoken(),
            headline: &self.document.headline,
            findings: &findings,
            report: &report,
        };
        then(&judged).map_err(failed)
    }
}

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
    let kept = judging.formed(|judged| archive.keep(&evidence, judged))?;
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

/// Other kept runs whose coolant trace is this one's, in words. What cannot be read is no reason not to keep a run.
fn twins(archive: &Archive, id: &str, run: &Run) -> Vec<String> {
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
