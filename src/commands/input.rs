//! Reading what the person names: a log, level notes, a vehicle file.

use super::failure::Failure;
use crate::cli::Reading;
use crate::ingest::{self, IngestError, Ingested, Problem, Understanding, levels, text};
use crate::run::{LevelReading, Occasion};
use crate::vehicle::Vehicle;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// How much of a log is looked at before the rest is loaded, in bytes: a card of zeros, an archive or a picture shows there.
const FIRST_LOOK: u64 = 65_536;

/// Most bytes of a file that a person writes by hand.
const BY_HAND: u64 = 4_000_000;

/// Reads a log and understands it; its bytes come with it, for whoever keeps them.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or is no usable log.
pub fn log(path: &Path, reading: &Reading) -> Result<(Ingested, Vec<u8>), Failure> {
    let (source, bytes) = log_bytes(path)?;
    let read = ingest::read(&bytes, &source, &options(reading)).map_err(|error| Failure::new(&error, error.hint()))?;
    Ok((read, bytes))
}

/// A log as far as it can be understood.
pub enum Understood {
    /// It was read.
    Read(Box<Ingested>),
    /// It has columns, but cannot be checked as it stands: its name, the columns, and why.
    Columns(String, Box<Understanding>, Failure),
}

/// Reads a log and understands it, as far as it can be.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or has no columns of readings at all.
pub fn understood(path: &Path, reading: &Reading) -> Result<Understood, Failure> {
    let (source, bytes) = log_bytes(path)?;
    let options = ingest::Options { every_column: true, ..options(reading) };
    match ingest::read(&bytes, &source, &options) {
        Ok(read) => Ok(Understood::Read(Box::new(read))),
        Err(error) => {
            let failure = Failure::new(&error, error.hint());
            match ingest::understand(&bytes, &source, &options) {
                Ok(seen) => Ok(Understood::Columns(source, Box::new(seen), failure)),
                Err(_) => Err(failure),
            }
        }
    }
}

/// How the person says that a log is to be read.
pub fn options(reading: &Reading) -> ingest::Options {
    ingest::Options {
        columns: reading.columns.clone(),
        period: reading.period,
        day_first: reading.day_first,
        time_column: reading.time_column.clone(),
        every_column: false,
    }
}

/// A log's name and its bytes; what shows at first sight to be none is refused before the rest is loaded.
pub(super) fn log_bytes(path: &Path) -> Result<(String, Vec<u8>), Failure> {
    let source = path.file_name().filter(|_| path != Path::new("-")).map_or_else(|| "standard input".into(), |name| name.to_string_lossy());
    let refused = |problem: Problem| {
        let error = IngestError { file: source.to_string(), problem };
        Failure::new(&error, error.hint())
    };
    let (mut file, length) = open(path)?;
    let mut bytes = Vec::new();
    load(&mut file, FIRST_LOOK, &mut bytes, path)?;
    if let Err(problem @ Problem::NotText { .. }) = text::decode(&bytes) {
        return Err(refused(problem));
    }
    let most = text::LIMIT as u64;
    if length > most {
        return Err(refused(Problem::TooLarge { what: "the file", limit_mb: text::LIMIT / 1_000_000 }));
    }
    // One byte more than is allowed, so that a stream without end is told from one that just fits.
    load(&mut file, most.saturating_sub(bytes.len() as u64) + 1, &mut bytes, path)?;
    Ok((source.into_owned(), bytes))
}

/// Reads a vehicle file.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or an entry is wrong.
pub fn vehicle(path: &Path) -> Result<Vehicle, Failure> {
    vehicle_with_text(path).map(|(vehicle, _)| vehicle)
}

/// Reads a vehicle file; its text comes with it, for whoever keeps it.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or an entry is wrong.
pub fn vehicle_with_text(path: &Path) -> Result<(Vehicle, String), Failure> {
    let text = String::from_utf8(by_hand(path)?)
        .map_err(|_| Failure::new(format_args!("{}: this is not UTF-8 text", path.display()), "save it as plain text in UTF-8"))?;
    let vehicle = Vehicle::from_toml(&text).map_err(|error| Failure::new(format_args!("{}: {error}", path.display()), error.hint()))?;
    Ok((vehicle, text))
}

/// Reads level notes.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or a row is wrong.
pub fn levels(path: &Path) -> Result<Vec<LevelReading>, Failure> {
    levels_with_bytes(path).map(|(levels, _)| levels)
}

/// Reads level notes; their bytes come with them.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or a row is wrong.
pub fn levels_with_bytes(path: &Path) -> Result<(Vec<LevelReading>, Vec<u8>), Failure> {
    let bytes = by_hand(path)?;
    let levels = levels::read(&bytes).map_err(|error| Failure::new(format_args!("{}: {error}", path.display()), error.hint()))?;
    Ok((levels, bytes))
}

/// Reads a level given as a flag.
///
/// # Errors
///
/// [`Failure`] if the text is no level.
pub fn quick_level(flag: &str, occasion: Occasion, text: &str) -> Result<LevelReading, Failure> {
    levels::quick(occasion, text).map_err(|error| Failure::new(format_args!("{flag} {text}: {error}"), error.hint()))
}

/// A file of at most `most` bytes, whole; `what` it should be.
///
/// # Errors
///
/// [`Failure`] if it cannot be read or is larger.
pub fn whole(path: &Path, most: u64, what: &str) -> Result<Vec<u8>, Failure> {
    let (mut file, _) = open(path)?;
    let mut bytes = Vec::new();
    load(&mut file, most.saturating_add(1), &mut bytes, path)?;
    if bytes.len() as u64 > most {
        let what = format!("{}: larger than {} MB, too large for {what}", path.display(), most / 1_000_000);
        return Err(Failure::new(what, "was another file named in its place?"));
    }
    Ok(bytes)
}

/// A small file, whole.
fn by_hand(path: &Path) -> Result<Vec<u8>, Failure> {
    let (mut file, _) = open(path)?;
    let mut bytes = Vec::new();
    load(&mut file, BY_HAND + 1, &mut bytes, path)?;
    if bytes.len() as u64 > BY_HAND {
        let what = format!("{}: larger than {} MB, so nobody wrote it by hand", path.display(), BY_HAND / 1_000_000);
        return Err(Failure::new(what, "was the log named in its place?"));
    }
    Ok(bytes)
}

/// The file, or standard input for `-`, with its length as far as it is known beforehand.
fn open(path: &Path) -> Result<(Box<dyn Read>, u64), Failure> {
    if path == Path::new("-") {
        return Ok((Box::new(std::io::stdin()), 0));
    }
    let file = File::open(path).map_err(|cause| Failure::unread(path, &cause))?;
    let length = file.metadata().map_or(0, |about| about.len());
    Ok((Box::new(file), length))
}

/// Appends at most `most` bytes.
fn load(file: &mut dyn Read, most: u64, bytes: &mut Vec<u8>, path: &Path) -> Result<(), Failure> {
    file.take(most).read_to_end(bytes).map(|_| ()).map_err(|cause| Failure::unread(path, &cause))
}
