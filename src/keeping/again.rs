//! Later readings to a kept run, which is judged again from its log's bytes.

use super::Judging;
use super::earlier::{self, Now};
use crate::archive::{Archive, ArchiveError, KeptRun};
use crate::check::{Beside, Checked};
use crate::run::{LevelReading, Run};
use crate::vehicle::Vehicle;

/// How often another's addition at the same moment is waited out.
const ATTEMPTS: u32 = 20;

/// What is added to a kept run.
#[derive(Clone, Debug, Default)]
pub struct Addition {
    /// A vehicle with its file's text, in place of the kept one.
    pub vehicle: Option<(Vehicle, String)>,
    /// Rows of a file of level notes; those that are kept already are not added twice.
    pub noted: Vec<LevelReading>,
    /// Single readings, each a new one.
    pub flagged: Vec<LevelReading>,
    /// Chance of trapped air before the drive, in place of the kept one.
    pub air_prior: Option<f64>,
    /// That the drive was made before the work.
    pub before_work: bool,
}

impl Addition {
    /// Whether nothing is added.
    pub fn is_empty(&self) -> bool {
        self.vehicle.is_none() && self.noted.is_empty() && self.flagged.is_empty() && self.air_prior.is_none() && !self.before_work
    }
}

/// A run, judged again.
#[derive(Clone, Debug)]
pub struct Added {
    /// The run's name.
    pub id: String,
    /// The number of the new judging.
    pub number: u32,
    /// What came of it.
    pub checked: Checked,
    /// What there is to say beside it.
    pub notes: Vec<String>,
}

/// Judges a kept run again with what is added, and keeps that beside the earlier judgings.
///
/// # Errors
///
/// [`ArchiveError`] if the run cannot be opened or read, or the judging cannot be kept; nothing is added then.
pub fn add(archive: &Archive, id: &str, addition: &Addition) -> Result<Added, ArchiveError> {
    for _ in 1..ATTEMPTS {
        match once(archive, &archive.open(id)?, addition) {
            Err(ArchiveError::Overtaken { .. }) => {}
            done => return done,
        }
    }
    once(archive, &archive.open(id)?, addition)
}

fn once(archive: &Archive, kept: &KeptRun, addition: &Addition) -> Result<Added, ArchiveError> {
    let Again { run, checked, vehicle_toml, air_prior, before_work, notes } = judge(archive, kept, addition)?;
    let judging = Judging { run: &run, vehicle_toml, air_prior, before_work, document: &checked.document };
    let number = judging.formed(|judged| archive.add(kept, judged))?;
    Ok(Added { id: kept.id.clone(), number, checked, notes })
}

/// A kept run, read and judged anew by this program.
#[derive(Clone, Debug)]
pub struct Again {
    /// The run.
    pub run: Run,
    /// What came of it.
    pub checked: Checked,
    /// The vehicle file's text.
    pub vehicle_toml: Option<String>,
    /// Chance of trapped air before the drive.
    pub air_prior: f64,
    /// Whether the drive was made before the work.
    pub before_work: bool,
    /// What there is to say beside it.
    pub notes: Vec<String>,
}

/// Judges a kept run as its latest judging stated it; nothing is kept.
///
/// # Errors
///
/// [`ArchiveError`] if it can no longer be read.
pub fn anew(archive: &Archive, kept: &KeptRun) -> Result<Again, ArchiveError> {
    judge(archive, kept, &Addition::default())
}

fn judge(archive: &Archive, kept: &KeptRun, addition: &Addition) -> Result<Again, ArchiveError> {
    let Some(last) = kept.latest() else { return Err(ArchiveError::damaged(&kept.folder, "no judging is there")) };
    let mut run = kept.run()?;
    if let Some((vehicle, _)) = &addition.vehicle {
        run.vehicle = vehicle.clone();
    }
    let vehicle_toml = addition.vehicle.as_ref().map(|(_, toml)| toml.clone()).or_else(|| last.vehicle_toml.clone());
    run.levels = together(&last.levels, addition);
    let air_prior = addition.air_prior.unwrap_or(last.summary.air_prior);
    let before_work = addition.before_work || last.summary.before_work;
    let mut notes = Vec::new();
    let baseline = if before_work { Ok(None) } else { earlier::before_work(archive, &Now { run: &run, id: &kept.id }) };
    let baseline = baseline.unwrap_or_else(|error| {
        notes.push(earlier::left_out(&error));
        None
    });
    let checked = Checked::of(&run, &Beside { air_prior, before_work: baseline.as_ref(), against: None });
    Ok(Again { run, checked, vehicle_toml, air_prior, before_work, notes })
}

/// The kept notes, then those that are new. A file that has grown since it was kept adds what it did not have; a single reading is
/// always a new one.
fn together(kept: &[LevelReading], addition: &Addition) -> Vec<LevelReading> {
    let mut had: Vec<&LevelReading> = kept.iter().collect();
    let mut levels = kept.to_vec();
    for note in &addition.noted {
        match had.iter().position(|kept| *kept == note) {
            // Each kept row stands for one row of the file.
            Some(index) => drop(had.swap_remove(index)),
            None => levels.push(note.clone()),
        }
    }
    levels.extend(addition.flagged.iter().cloned());
    levels
}
