//! Formats of what is kept, and the way from an older one to this one.
//!
//! Each JSON file that is kept states the format it was written in. Reading brings an older one up to date step by step, in memory;
//! the file stays as it was sealed. A new member that may be missing needs no new format. One that is renamed, removed or means
//! something else needs one: its kind gets a step from the last format to the new one, and the stores kept under
//! `tests/reference` one more that must open.

use super::error::ArchiveError;
use super::waiting;
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use serde_json::Value;
use std::fs;
use std::io;
use std::path::Path;

/// Brings a JSON file from one format to the next; the member `format` is set by the caller.
pub type Step = fn(Value) -> Value;

/// Format of the store's layout. A program that knows only older ones touches nothing in it.
pub const STORE: u32 = 1;

const STORE_FILE: &str = "store.json";

/// The format that a file of a kind with these steps is written in.
pub const fn current(steps: &[Step]) -> u32 {
    // A kind has a handful of formats.
    steps.len() as u32 + 1
}

/// Reads a kept JSON file of whatever format up to the current one.
///
/// # Errors
///
/// [`ArchiveError::Newer`] if it is of a newer format, [`ArchiveError::Damaged`] if it is none of the known ones.
pub fn parse<T: DeserializeOwned>(bytes: &[u8], steps: &[Step], path: &Path) -> Result<T, ArchiveError> {
    let damaged = |why: String| ArchiveError::damaged(path, why);
    let value: Value = serde_json::from_slice(bytes).map_err(|error| damaged(format!("it is no JSON: {error}")))?;
    let found = value.get("format").and_then(Value::as_u64).and_then(|format| u32::try_from(format).ok());
    let found = found.filter(|&format| format > 0).ok_or_else(|| damaged("it does not say its format".to_owned()))?;
    if found > current(steps) {
        return Err(ArchiveError::Newer { path: path.to_owned(), found, known: current(steps) });
    }
    let value = steps.iter().skip(found as usize - 1).fold(value, |value, step| step(value));
    serde_json::from_value(value).map_err(|error| damaged(error.to_string()))
}

/// The store's own file.
#[derive(Serialize, Deserialize)]
struct Store {
    format: u32,
    about: String,
}

/// Refuses a store whose layout is newer. One that does not say its format is read: each run says its own.
///
/// # Errors
///
/// [`ArchiveError::Newer`].
pub fn check_store(folder: &Path) -> Result<(), ArchiveError> {
    let path = folder.join(STORE_FILE);
    let store: Option<Store> = fs::read(&path).ok().and_then(|bytes| serde_json::from_slice(&bytes).ok());
    match store {
        Some(store) if store.format > STORE => Err(ArchiveError::Newer { path, found: store.format, known: STORE }),
        _ => Ok(()),
    }
}

/// Writes the store's own file where there is none that can be read.
///
/// # Errors
///
/// What the system says.
pub fn mark_store(folder: &Path) -> io::Result<()> {
    let path = folder.join(STORE_FILE);
    let there = fs::read(&path).ok().is_some_and(|bytes| serde_json::from_slice::<Store>(&bytes).is_ok());
    if there {
        return Ok(());
    }
    let about = "Kept runs of wellbled. Copy this folder whole; docs/store.md says what is in it.".to_owned();
    let text = serde_json::to_string_pretty(&Store { format: STORE, about }).map_err(io::Error::other)?;
    waiting::replace(folder, &path, format!("{text}\n").as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[derive(Deserialize, PartialEq, Debug)]
    struct Third {
        driven: String,
        kelvin: f64,
    }

    /// A kind with three formats: a member was renamed, then another changed its unit.
    const STEPS: &[Step] = &[
        |mut value| {
            value["driven"] = value["date"].take();
            value
        },
        |mut value| {
            value["kelvin"] = json!(value["celsius"].as_f64().unwrap_or(f64::NAN) + 273.15);
            value
        },
    ];

    fn read(value: &Value) -> Result<Third, ArchiveError> {
        parse(value.to_string().as_bytes(), STEPS, Path::new("record.json"))
    }

    #[test]
    fn every_older_format_becomes_the_current_one() {
        for value in [
            json!({"format": 1, "date": "2026-03-02", "celsius": 0.0}),
            json!({"format": 2, "driven": "2026-03-02", "celsius": 0.0}),
            json!({"format": 3, "driven": "2026-03-02", "kelvin": 273.15, "a later member": true}),
        ] {
            assert_eq!(read(&value).expect("it is a known format"), Third { driven: "2026-03-02".to_owned(), kelvin: 273.15 }, "{value}");
        }
    }

    #[test]
    fn a_newer_format_and_no_format_are_refused() {
        assert!(matches!(read(&json!({"format": 4})), Err(ArchiveError::Newer { found: 4, known: 3, .. })));
        for value in [json!({"format": 0}), json!({"format": -1}), json!({"format": "3"}), json!({}), json!(3), json!({"format": 1e30})] {
            assert!(matches!(read(&value), Err(ArchiveError::Damaged { .. })), "{value}");
        }
    }
}
