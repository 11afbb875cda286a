//! The journal: which logs are done, and what came of them, one a line.
//!
//! ```text
//! # wellbled fleet journal 1
//! first 16 digits of the SHA-256 of what follows, key, the table's columns
//! ```
//!
//! A line is appended when a log is done. Its key is the SHA-256 of all that its answer depends on: this program's version, the options, the
//! log's file name and bytes, the vehicle file, the notes. What is there under the same key is not computed again; what changed has
//! another key. A line that was cut short, or into which two programs wrote at once, does not agree with its own digits and is passed over.
//!
//! Limits: lines are not waited for on their way to the disk. A kill loses none; a power cut may lose the last seconds, which are then
//! computed again.

use crate::commands::failure::Failure;
use crate::fleet::columns::{self, read::Reader};
use crate::fleet::{Answer, Row};
use crate::ingest::Options;
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// First line of a journal.
const HEAD: &str = "# wellbled fleet journal 1";

/// Digits of a line's own digest.
const DIGITS: usize = 16;

/// What an answer depends on, as one number.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Key(String);

impl Key {
    /// Of a log with what goes with it.
    pub fn of(source: &str, sha256: &str, vehicle: Option<&str>, notes: Option<&[u8]>, options: &Options, air_prior: f64) -> Self {
        let mut digest = Sha256::new();
        let mut add = |part: &[u8]| {
            digest.update((part.len() as u64).to_le_bytes());
            digest.update(part);
        };
        add(env!("CARGO_PKG_VERSION").as_bytes());
        add(format!("{options:?} {air_prior}").as_bytes());
        add(source.as_bytes());
        add(sha256.as_bytes());
        // An empty file is not the same as none.
        add(&[u8::from(vehicle.is_some()), u8::from(notes.is_some())]);
        add(vehicle.unwrap_or_default().as_bytes());
        add(notes.unwrap_or_default());
        Self(crate::archive::hex(&digest.finalize()))
    }
}

/// A journal that is being written.
pub struct Journal {
    path: PathBuf,
    done: HashMap<Key, Answer>,
    file: Mutex<(File, Option<std::io::Error>)>,
}

impl Journal {
    /// Opens a journal, or begins one.
    ///
    /// # Errors
    ///
    /// [`Failure`] if it cannot be read or written, or is another file.
    pub fn open(path: &Path) -> Result<Self, Failure> {
        let unread = |cause: std::io::Error| Failure::unread(path, &cause);
        let unwritten = |cause: std::io::Error| Failure::unwritten(path, &cause);
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(path).map_err(unwritten)?;
        let mut bytes = Vec::new();
        file.seek(SeekFrom::Start(0)).and_then(|_| file.read_to_end(&mut bytes)).map_err(unread)?;
        let text = String::from_utf8_lossy(&bytes);
        if !text.is_empty() && !HEAD.starts_with(text.as_ref()) && !text.starts_with(&format!("{HEAD}\n")) {
            return Err(Failure::new(
                format_args!("{}: this is no journal of a fleet", path.display()),
                "name a new file, or the one that an earlier --resume wrote",
            ));
        }
        // A line that was cut short is closed, so that the next one stands alone.
        let begin = if text.starts_with(HEAD) { String::new() } else { HEAD.get(text.len()..).unwrap_or(HEAD).to_owned() };
        let begin = if begin.is_empty() && text.ends_with('\n') { begin } else { begin + "\n" };
        file.write_all(begin.as_bytes()).map_err(unwritten)?;
        Ok(Self { path: path.to_owned(), done: entries(&text), file: Mutex::new((file, None)) })
    }

    /// What came of a log with this key.
    pub fn done(&self, key: &Key) -> Option<Answer> {
        self.done.get(key).cloned()
    }

    /// Notes what came of a log.
    pub fn note(&self, key: &Key, row: &Row) {
        let line = line(key, row);
        let mut held = self.file.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let (file, trouble) = &mut *held;
        if let Err(cause) = file.write_all(line.as_bytes()) {
            trouble.get_or_insert(cause);
        }
    }

    /// What went wrong while it was written, in words.
    pub fn trouble(self) -> Option<String> {
        let (_, trouble) = self.file.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
        trouble.map(|cause| Failure::unwritten(&self.path, &cause).error)
    }
}

/// One line with its own digest.
fn line(key: &Key, row: &Row) -> String {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::Any(b'\n')).from_writer(Vec::new());
    // Written to memory: neither can fail, and a line without its end is passed over when it is read.
    let _ = writer.write_record(std::iter::once(key.0.clone()).chain(columns::record(row)));
    let body = String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default();
    format!("{},{body}", digits(body.trim_end_matches('\n')))
}

fn digits(body: &str) -> String {
    crate::archive::hex(&Sha256::digest(body.as_bytes())).chars().take(DIGITS).collect()
}

/// What the lines say that agree with their digests.
fn entries(text: &str) -> HashMap<Key, Answer> {
    let headings = columns::headings();
    let Ok(reader) = Reader::of(headings.iter().map(String::as_str)) else { return HashMap::new() };
    let whole = text.lines().filter_map(|line| line.split_once(',')).filter(|(own, body)| digits(body) == *own);
    let entry = |body: &str| {
        let mut record = csv::StringRecord::new();
        csv::ReaderBuilder::new().has_headers(false).from_reader(body.as_bytes()).read_record(&mut record).ok()?;
        let key = Key(record.get(0)?.to_owned());
        // A line of a version with other columns has a key that is never asked for.
        let row = (record.len() == headings.len() + 1).then(|| reader.row(|place| record.get(place + 1)).ok()).flatten()?;
        Some((key, row.answer))
    };
    whole.filter_map(|(_, body)| entry(body)).collect()
}
