//! What an archive holds, at a glance, and how a run in it is named.

use super::error::ArchiveError;
use super::fingerprint::Fingerprint;
use chrono::{DateTime, Local, NaiveDateTime, Utc};
use serde::Serialize;
use std::path::Path;

/// One kept run at a glance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry {
    /// Its name.
    pub id: String,
    /// The log's file name as it was given.
    pub source: String,
    /// Date and time of the log's first row, by its own clock.
    pub started: Option<NaiveDateTime>,
    /// Seconds from the first row to the last.
    pub duration_s: f64,
    /// When it was kept.
    pub kept: DateTime<Utc>,
    /// The vehicle's name.
    pub vehicle: Option<String>,
    /// Whether the drive was made before the work.
    pub before_work: bool,
    /// The latest verdict's word.
    pub verdict: String,
    /// The latest answer as a sentence.
    pub headline: String,
    /// How many judgings there are.
    pub judgings: u32,
    /// What the coolant's trace is recognised by.
    #[serde(skip)]
    pub coolant: Fingerprint,
}

impl Entry {
    /// When the vehicle was driven: by the log's clock, else the time of keeping.
    pub fn driven(&self) -> NaiveDateTime {
        driven(self.started, self.kept)
    }
}

/// When a run was driven: by its log's clock, else the time of keeping on this machine's clock.
pub(super) fn driven(started: Option<NaiveDateTime>, kept: DateTime<Utc>) -> NaiveDateTime {
    started.unwrap_or_else(|| kept.with_timezone(&Local).naive_local())
}

/// A run that is there and cannot be opened.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotOpened {
    /// The name of its folder.
    pub id: String,
    /// Where and why.
    pub why: String,
}

impl NotOpened {
    pub(super) fn new(id: &str, error: &ArchiveError) -> Self {
        Self { id: id.to_owned(), why: error.to_string() }
    }
}

/// What an archive holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Listing {
    /// Runs, latest drive first.
    pub entries: Vec<Entry>,
    /// What cannot be opened, by name.
    pub not_opened: Vec<NotOpened>,
}

impl Listing {
    /// Finds one run by its name, by the beginning of it, or by `last`: the one kept last.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if none or several are meant, or if the one that is meant cannot be opened.
    pub fn find(self, asked: &str, store: &Path) -> Result<Entry, ArchiveError> {
        let id = self.name(asked, store)?;
        if let Some(run) = self.not_opened.into_iter().find(|run| run.id == id) {
            return Err(ArchiveError::NotWhole(run.why));
        }
        let entry = self.entries.into_iter().find(|entry| entry.id == id);
        entry.ok_or_else(|| ArchiveError::NoSuchRun { asked: asked.to_owned(), folder: store.to_owned() })
    }

    /// The full name of the run that is meant, also of one that cannot be opened.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if none or several are meant.
    pub fn name(&self, asked: &str, store: &Path) -> Result<String, ArchiveError> {
        let beginning = asked.trim().to_ascii_lowercase();
        let all = self.entries.iter().map(|entry| &entry.id).chain(self.not_opened.iter().map(|run| &run.id));
        let mut meant: Vec<String> = match beginning.as_str() {
            "last" => self.entries.iter().max_by_key(|entry| entry.kept).map(|entry| entry.id.clone()).into_iter().collect(),
            "" => Vec::new(),
            beginning => all.filter(|id| id.starts_with(beginning)).cloned().collect(),
        };
        match meant.len() {
            0 if beginning == "last" => Err(ArchiveError::NoneKept { folder: store.to_owned() }),
            0 => Err(ArchiveError::NoSuchRun { asked: asked.to_owned(), folder: store.to_owned() }),
            1 => Ok(meant.swap_remove(0)),
            _ => Err(ArchiveError::SeveralRuns { asked: asked.to_owned(), names: meant.into_iter().take(8).collect() }),
        }
    }
}
