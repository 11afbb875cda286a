//! `record.json`: what is known of a kept run for good: its log, how it was read, when it was driven and kept.

use super::error::ArchiveError;
use super::fingerprint::{self, Fingerprint};
use super::format::{self, Step};
use super::sealed::Sealed;
use super::{Evidence, ID_DIGITS, hex};
use crate::channel::Channel;
use crate::ingest::Options;
use chrono::{DateTime, NaiveDateTime, SubsecRound, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::path::Path;

/// The record's file name.
pub const FILE: &str = "record.json";

/// File name of a log as it was given.
pub const PLAIN: &str = "log.csv";

/// File name of a log that was given packed.
pub const PACKED: &str = "log.csv.gz";

/// Steps from each earlier format of the record to the next.
pub const STEPS: &[Step] = &[];

/// The first bytes of a file packed with gzip (RFC 1952, 2.3.1).
const GZIP: [u8; 2] = [0x1f, 0x8b];

/// What the person said about how the log is to be read.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct How {
    /// Channel and column named for it.
    pub columns: Vec<(String, String)>,
    /// The clock's column.
    pub time_column: Option<String>,
    /// Seconds between rows.
    pub period: Option<f64>,
    /// Whether the day stands before the month.
    pub day_first: Option<bool>,
}

impl How {
    /// Of the options that the log was read with.
    pub fn of(options: &Options) -> Self {
        let named = |(channel, column): &(Channel, String)| (channel.name().to_owned(), column.clone());
        Self {
            columns: options.columns.iter().map(named).collect(),
            time_column: options.time_column.clone(),
            period: options.period,
            day_first: options.day_first,
        }
    }

    /// The options to read the log with again; a channel that this program does not know is no longer named.
    pub fn options(&self) -> Options {
        let known = |(channel, column): &(String, String)| Some((Channel::from_name(channel)?, column.clone()));
        Options {
            columns: self.columns.iter().filter_map(known).collect(),
            time_column: self.time_column.clone(),
            period: self.period,
            day_first: self.day_first,
            every_column: false,
        }
    }
}

/// The record of a kept run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// Format of this record.
    pub format: u32,
    /// SHA-256 of the log's bytes.
    pub sha256: String,
    /// Whether the log is packed with gzip.
    pub packed: bool,
    /// The log's file name as it was given.
    pub source: String,
    /// Date and time of the log's first row, by its own clock.
    pub started: Option<NaiveDateTime>,
    /// Seconds from the first row to the last.
    pub duration_s: f64,
    /// When the run was kept.
    pub kept: DateTime<Utc>,
    /// How the log was read.
    pub read: How,
    /// What the coolant's trace is recognised by.
    pub coolant: Fingerprint,
}

impl Record {
    pub(super) fn of(evidence: &Evidence) -> Self {
        let coolant = evidence.run.trace(Channel::CoolantTemperature);
        Self {
            format: format::current(STEPS),
            sha256: hex(&Sha256::digest(evidence.log)),
            packed: evidence.log.starts_with(&GZIP),
            source: evidence.source.to_owned(),
            started: evidence.run.started,
            duration_s: evidence.run.duration,
            kept: Utc::now().trunc_subsecs(3),
            read: evidence.how.clone(),
            coolant: coolant.map(fingerprint::of).unwrap_or_default(),
        }
    }

    /// The run's name.
    pub fn id(&self) -> String {
        self.sha256.chars().take(ID_DIGITS).collect()
    }

    /// The name under which the log's bytes are kept.
    pub fn log_name(&self) -> &'static str {
        if self.packed { PACKED } else { PLAIN }
    }

    pub(super) fn to_bytes(&self) -> Result<Vec<u8>, ArchiveError> {
        serde_json::to_vec_pretty(self).map_err(|error| ArchiveError::Form(error.to_string()))
    }
}

/// Reads the record of a run.
///
/// # Errors
///
/// [`ArchiveError`] if it is damaged or of a newer format.
pub fn read(run: &Path) -> Result<Record, ArchiveError> {
    format::parse(&Sealed::open(run)?.require(FILE)?, STEPS, &run.join(FILE))
}
