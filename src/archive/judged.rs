//! One judging of a kept run: what was stated, the readings and findings that it rests on, and the verdict.
//!
//! A judging is never changed. Notes that are added make a new one beside it; the latest counts, the earlier ones can be shown.

use super::error::ArchiveError;
use super::format::{self, Step};
use super::samples;
use super::sealed::Sealed;
use crate::ingest::levels;
use crate::run::{LevelReading, Run};
use chrono::{DateTime, SubsecRound, Utc};
use serde::{Deserialize, Serialize};
use std::fs;
use std::path::{Path, PathBuf};

/// Steps from each earlier format of `judged.json` to the next.
pub const STEPS: &[Step] = &[];

/// File name of the table of readings.
pub const SAMPLES: &str = "samples.parquet";
const FILE: &str = "judged.json";
const VEHICLE: &str = "vehicle.toml";
const LEVELS: &str = "levels.csv";
/// File name of the report as JSON.
pub const FINDINGS: &str = "findings.json";
const REPORT: &str = "report.txt";

/// What a judging is kept of.
#[derive(Clone, Copy, Debug)]
pub struct Judged<'a> {
    /// The run: readings, level notes, vehicle.
    pub run: &'a Run,
    /// The vehicle file as it was written; `None` if there was none.
    pub vehicle_toml: Option<&'a str>,
    /// Chance of trapped air that was stated before this drive.
    pub air_prior: f64,
    /// Whether the drive was made before the work, as this vehicle's own baseline.
    pub before_work: bool,
    /// The verdict's word.
    pub verdict: &'a str,
    /// The answer as a sentence.
    pub headline: &'a str,
    /// The report as the JSON contract has it.
    pub findings: &'a str,
    /// The report as text.
    pub report: &'a str,
}

/// `judged.json`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    /// Format of this file.
    pub format: u32,
    /// Which judging of the run it is, from 1.
    pub number: u32,
    /// When it was made.
    pub at: DateTime<Utc>,
    /// Version of the program that judged.
    pub program: String,
    /// Chance of trapped air that was stated before this drive.
    pub air_prior: f64,
    /// Whether the drive was made before the work.
    #[serde(default)]
    pub before_work: bool,
    /// The vehicle's name.
    pub vehicle: Option<String>,
    /// The verdict's word.
    pub verdict: String,
    /// The answer as a sentence.
    pub headline: String,
}

/// A judging, read back.
#[derive(Clone, Debug)]
pub struct Judging {
    /// What is known of it at a glance.
    pub summary: Summary,
    /// The vehicle file.
    pub vehicle_toml: Option<String>,
    /// The level notes.
    pub levels: Vec<LevelReading>,
    /// The report as the JSON contract has it.
    pub findings: String,
    /// The report as text.
    pub report: String,
    /// Every file of it with its name.
    pub files: Vec<(&'static str, Vec<u8>)>,
}

impl Judged<'_> {
    /// The files of the judging with this number.
    pub(super) fn files(&self, number: u32) -> Result<Vec<(&'static str, Vec<u8>)>, ArchiveError> {
        let form = |error: String| ArchiveError::Form(error);
        let summary = Summary {
            format: format::current(STEPS),
            number,
            at: Utc::now().trunc_subsecs(0),
            program: env!("CARGO_PKG_VERSION").to_owned(),
            air_prior: self.air_prior,
            before_work: self.before_work,
            vehicle: self.run.vehicle.name.clone(),
            verdict: self.verdict.to_owned(),
            headline: self.headline.to_owned(),
        };
        let mut files = vec![
            (FILE, serde_json::to_vec_pretty(&summary).map_err(|error| form(error.to_string()))?),
            (SAMPLES, samples::parquet(self.run).map_err(|error| form(error.to_string()))?),
            (FINDINGS, self.findings.as_bytes().to_vec()),
            (REPORT, self.report.as_bytes().to_vec()),
        ];
        files.extend(self.vehicle_toml.map(|toml| (VEHICLE, toml.as_bytes().to_vec())));
        if !self.run.levels.is_empty() {
            files.push((LEVELS, levels::write(&self.run.levels).into_bytes()));
        }
        Ok(files)
    }
}

/// The folder of the judging with this number, inside its run's.
pub fn folder_name(number: u32) -> String {
    format!("judged-{number}")
}

/// Reads every judging of a run, earliest first, all bytes compared with their seals.
pub(super) fn all(run: &Path) -> Result<Vec<Judging>, ArchiveError> {
    (1..=count(run)?).map(|number| read(&run.join(folder_name(number)), number)).collect()
}

/// At a glance: the latest judging's summary. Other files of all judgings are looked at for their lengths only.
pub(super) fn glance(run: &Path) -> Result<Summary, ArchiveError> {
    let last = count(run)?;
    for number in 1..last {
        Sealed::open(&run.join(folder_name(number)))?.lengths()?;
    }
    let folder = run.join(folder_name(last));
    let sealed = Sealed::open(&folder)?;
    sealed.lengths()?;
    summary(&sealed, &folder, last)
}

/// Folder of the latest judging.
pub(super) fn latest_folder(run: &Path) -> Result<PathBuf, ArchiveError> {
    Ok(run.join(folder_name(count(run)?)))
}

/// How many judgings a run has. They are numbered without a gap; a missing one is damage.
fn count(run: &Path) -> Result<u32, ArchiveError> {
    let unread = |cause| ArchiveError::unread(run, cause);
    let mut numbers = Vec::new();
    for entry in fs::read_dir(run).map_err(unread)? {
        let name = entry.map_err(unread)?.file_name();
        numbers.extend(name.to_str().and_then(|name| name.strip_prefix("judged-")).and_then(|number| number.parse::<u32>().ok()));
    }
    numbers.sort_unstable();
    match numbers.last() {
        Some(&last) if numbers.iter().copied().eq(1..=last) => Ok(last),
        Some(_) => Err(ArchiveError::damaged(run, "a judging between others is not there")),
        None => Err(ArchiveError::damaged(run, "no judging is there")),
    }
}

fn summary(sealed: &Sealed, folder: &Path, number: u32) -> Result<Summary, ArchiveError> {
    let summary: Summary = format::parse(&sealed.require(FILE)?, STEPS, &folder.join(FILE))?;
    if summary.number == number { Ok(summary) } else { Err(ArchiveError::damaged(folder, "it is the folder of another judging")) }
}

fn read(folder: &Path, number: u32) -> Result<Judging, ArchiveError> {
    let sealed = Sealed::open(folder)?;
    let mut files = Vec::new();
    for name in [FILE, VEHICLE, LEVELS, SAMPLES, FINDINGS, REPORT] {
        files.extend(sealed.read(name)?.map(|bytes| (name, bytes)));
    }
    let text = |wanted: &str| -> Result<Option<String>, ArchiveError> {
        let Some((name, bytes)) = files.iter().find(|(name, _)| *name == wanted) else { return Ok(None) };
        let text = String::from_utf8(bytes.clone()).map_err(|_| ArchiveError::damaged(&folder.join(name), "it is no text"))?;
        Ok(Some(text))
    };
    let missing = |name: &str| ArchiveError::damaged(&folder.join(name), "the seal does not name it");
    let notes = text(LEVELS)?.map(|notes| levels::read(notes.as_bytes())).transpose();
    Ok(Judging {
        summary: summary(&sealed, folder, number)?,
        vehicle_toml: text(VEHICLE)?,
        levels: notes.map_err(|error| ArchiveError::damaged(&folder.join(LEVELS), error.to_string()))?.unwrap_or_default(),
        findings: text(FINDINGS)?.ok_or_else(|| missing(FINDINGS))?,
        report: text(REPORT)?.ok_or_else(|| missing(REPORT))?,
        files,
    })
}
