//! What goes into the archive as a run, and what comes back.

use super::judged::Judging;
use super::record::{How, Record};
use crate::run::Run;
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
    /// The judging that counts: the latest.
    pub fn latest(&self) -> Option<&Judging> {
        self.judgings.last()
    }
}
