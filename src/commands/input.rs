//! Reading what the person names: a log, level notes, a vehicle file.

use super::failure::Failure;
use crate::cli::Reading;
use crate::ingest::{self, Ingested, levels};
use crate::run::{LevelReading, Occasion};
use crate::vehicle::Vehicle;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Most bytes read of any file, a little above what a log may hold: the rest of a larger one is never loaded.
const MOST_BYTES: u64 = 600_000_000;

/// Reads a log and understands it.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or is no usable log.
pub fn log(path: &Path, reading: &Reading) -> Result<Ingested, Failure> {
    let bytes = bytes(path)?;
    let source = path.file_name().filter(|_| path != Path::new("-")).map_or_else(|| "standard input".into(), |name| name.to_string_lossy());
    let options = ingest::Options {
        columns: reading.columns.clone(),
        period: reading.period,
        day_first: reading.day_first,
        time_column: reading.time_column.clone(),
    };
    ingest::read(&bytes, &source, &options).map_err(|error| Failure::new(&error, error.hint()))
}

/// Reads a vehicle file.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or an entry is wrong.
pub fn vehicle(path: &Path) -> Result<Vehicle, Failure> {
    Vehicle::from_toml(&text(path)?).map_err(|error| Failure::new(format_args!("{}: {error}", path.display()), error.hint()))
}

/// Reads level notes.
///
/// # Errors
///
/// [`Failure`] if the file cannot be read or a row is wrong.
pub fn levels(path: &Path) -> Result<Vec<LevelReading>, Failure> {
    levels::read(&bytes(path)?).map_err(|error| Failure::new(format_args!("{}: {error}", path.display()), error.hint()))
}

/// Reads a level given as a flag.
///
/// # Errors
///
/// [`Failure`] if the text is no level.
pub fn quick_level(flag: &str, occasion: Occasion, text: &str) -> Result<LevelReading, Failure> {
    levels::quick(occasion, text).map_err(|error| Failure::new(format_args!("{flag} {text}: {error}"), error.hint()))
}

fn text(path: &Path) -> Result<String, Failure> {
    String::from_utf8(bytes(path)?)
        .map_err(|_| Failure::new(format_args!("{}: this is not UTF-8 text", path.display()), "save it as plain text in UTF-8"))
}

fn bytes(path: &Path) -> Result<Vec<u8>, Failure> {
    let failed = |cause: std::io::Error| Failure::file("read", path, &cause);
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin().lock().take(MOST_BYTES).read_to_end(&mut bytes).map_err(failed)?;
    } else {
        File::open(path).and_then(|file| file.take(MOST_BYTES).read_to_end(&mut bytes)).map_err(failed)?;
    }
    Ok(bytes)
}
