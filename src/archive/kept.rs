//! What goes into the archive as a run, and what comes back.

use super::error::ArchiveError;
use super::judged::Judging;
use super::listing;
use super::record::{How, Record};
use crate::ingest;
use crate::run::Run;
use crate::vehicle::Vehicle;
use chrono::NaiveDateTime;
use std::path::PathBuf;

/// What a run is kept of, besides the judging.
#[derive(Clone, Copy, Debug)]
pub struct Evidence<'a> {
    /// The log's bytes as they were read.
    pub log: &'a [u8],
    /// Its file name.
    pub source: &'a str,
    /// How the person said that it is to be read.
    pub how: &'a How,
    /// The run that came of it.
    pub run: &'a Run,
}

/// What came of keeping a run.
#[derive(Clone, Debug, PartialEq)]
pub enum Kept {
    /// It was kept under this name.
    Now(String),
    /// The same bytes are kept already, under this name.
    Already(String),
}

/// A kept run, opened: its seals hold.
#[derive(Clone, Debug)]
pub struct KeptRun {
    /// Its name.
    pub id: String,
    /// Where it lies.
    pub folder: PathBuf,
    /// What was recorded when it was kept.
    pub record: Record,
    /// The log's bytes.
    pub log: Vec<u8>,
    /// Its judgings, earliest first; there is at least one.
    pub judgings: Vec<Judging>,
}

impl KeptRun {
    /// When the vehicle was driven: by the log's clock, else the time of keeping.
    pub fn driven(&self) -> NaiveDateTime {
        listing::driven(self.record.started, self.record.kept)
    }

    /// How a report calls it: its file with the day on which it was driven, else kept.
    pub fn called(&self) -> String {
        match self.record.started {
            Some(started) => format!("{} of {}", self.record.source, started.format("%Y-%m-%d")),
            None => format!("{}, kept {}", self.record.source, self.record.kept.format("%Y-%m-%d")),
        }
    }

    /// The run as the latest judging has it, read anew from the log's bytes: readings, vehicle, level notes.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::NotRead`] if this program no longer reads the log or the vehicle file as it was kept.
    pub fn run(&self) -> Result<Run, ArchiveError> {
        let unread = |why: String, hint: String| ArchiveError::NotRead { id: self.id.clone(), why, hint };
        let read = ingest::read(&self.log, &self.record.source, &self.record.read.options());
        let mut run = read.map_err(|error| unread(error.to_string(), error.hint()))?.run;
        if let Some(latest) = self.latest() {
            if let Some(toml) = &latest.vehicle_toml {
                run.vehicle = Vehicle::from_toml(toml).map_err(|error| unread(error.to_string(), error.hint()))?;
            }
            run.levels = latest.levels.clone();
        }
        Ok(run)
    }

    /// The judging that counts: the latest.
    pub fn latest(&self) -> Option<&Judging> {
        self.judgings.last()
    }
}
