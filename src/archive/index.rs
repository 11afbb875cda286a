//! The list of runs: `index.csv`, one row a run, and what it takes to trust it.
//!
//! The runs' own files are the truth; the index is a copy that saves opening them. Beside each row stands the state of the run's folder:
//! names, lengths and times of all of its files. Listing looks at those (no file is opened) and reads again what does not agree, so a
//! run that was added, damaged, repaired or copied here by hand shows at once. The file ends with its own SHA-256; without it, or
//! damaged, it is built anew. Where it cannot be written, as in a folder that is read-only, listing works and is slower.
//!
//! Limits: a bit that flips on the disk and leaves length and time alone is found when the run is opened, or by reading all of them.

use super::error::ArchiveError;
use super::fingerprint::Fingerprint;
use super::listing::{Entry, Listing, NotOpened};
use super::sealed::Sealed;
use super::{hex, is_id, judged, record, waiting};
use chrono::{DateTime, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

/// The index's file name.
const FILE: &str = "index.csv";

/// Version of the index's columns; another one is built anew.
const VERSION: &str = "# wellbled index 1";

/// A row of the file; every member a text or a number, so that the table can be opened anywhere.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Row {
    id: String,
    state: u64,
    why_not_opened: String,
    source: String,
    started: Option<NaiveDateTime>,
    duration_s: f64,
    kept: Option<DateTime<Utc>>,
    vehicle: Option<String>,
    before_work: bool,
    verdict: String,
    headline: String,
    judgings: u32,
    coolant: String,
}

/// Lists the runs in a folder, and brings the index up to date.
pub(super) fn listing(store: &Path, runs: &Path) -> Result<Listing, ArchiveError> {
    let path = store.join(FILE);
    let kept: HashMap<String, Row> = read(&path).unwrap_or_default().into_iter().map(|row| (row.id.clone(), row)).collect();
    let unread = |cause| ArchiveError::Unread { path: runs.to_owned(), cause };
    let folders = match fs::read_dir(runs) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Listing::default()),
        folders => folders.map_err(unread)?,
    };
    let mut rows = Vec::new();
    let mut read_again = 0usize;
    for entry in folders {
        let entry = entry.map_err(unread)?;
        let id = entry.file_name().to_string_lossy().into_owned();
        if id.starts_with('.') || !entry.file_type().map_err(unread)?.is_dir() {
            continue;
        }
        let folder = entry.path();
        // A folder that goes away between two looks was removed by somebody else.
        let Ok(state) = state(&folder) else {
            if folder.is_dir() {
                rows.push(row(&id, &folder, 0));
            }
            continue;
        };
        match kept.get(&id).filter(|row| row.state == state) {
            Some(row) => rows.push(row.clone()),
            None => {
                read_again += 1;
                rows.push(row(&id, &folder, state));
            }
        }
    }
    rows.sort_by(|first, second| first.id.cmp(&second.id));
    if read_again > 0 || rows.len() != kept.len() {
        // A copy: that it cannot be written costs time, not runs.
        let _ = text(&rows).and_then(|text| waiting::replace(store, &path, text.as_bytes()));
    }
    Ok(sorted(rows))
}

fn sorted(rows: Vec<Row>) -> Listing {
    let mut listing = Listing::default();
    for row in rows {
        match row.kept {
            Some(kept) if row.why_not_opened.is_empty() => listing.entries.push(Entry {
                id: row.id,
                source: row.source,
                started: row.started,
                duration_s: row.duration_s,
                kept,
                vehicle: row.vehicle,
                before_work: row.before_work,
                verdict: row.verdict,
                headline: row.headline,
                judgings: row.judgings,
                coolant: Fingerprint(row.coolant.split(' ').filter_map(|hash| u32::from_str_radix(hash, 16).ok()).collect()),
            }),
            _ => listing.not_opened.push(NotOpened { id: row.id, why: row.why_not_opened }),
        }
    }
    listing.entries.sort_by_cached_key(|entry| (std::cmp::Reverse(entry.driven()), entry.id.clone()));
    listing
}

/// A run's row from its own files: the small ones are read, of the others the lengths are compared.
fn row(id: &str, folder: &Path, state: u64) -> Row {
    match glance(id, folder) {
        Ok((record, summary)) => Row {
            id: id.to_owned(),
            state,
            why_not_opened: String::new(),
            source: record.source,
            started: record.started,
            duration_s: record.duration_s,
            kept: Some(record.kept),
            vehicle: summary.vehicle,
            before_work: summary.before_work,
            verdict: summary.verdict,
            headline: summary.headline,
            judgings: summary.number,
            coolant: record.coolant.0.iter().map(|hash| format!("{hash:08x}")).collect::<Vec<_>>().join(" "),
        },
        Err(error) => Row {
            id: id.to_owned(),
            state,
            why_not_opened: error.to_string(),
            source: String::new(),
            started: None,
            duration_s: 0.0,
            kept: None,
            vehicle: None,
            before_work: false,
            verdict: String::new(),
            headline: String::new(),
            judgings: 0,
            coolant: String::new(),
        },
    }
}

fn glance(id: &str, folder: &Path) -> Result<(record::Record, judged::Summary), ArchiveError> {
    let record = record::read(folder)?;
    if !is_id(id) || record.id() != id {
        return Err(ArchiveError::damaged(folder, "the folder's name is not that of the run in it"));
    }
    Sealed::open(folder)?.lengths()?;
    Ok((record, judged::glance(folder)?))
}

/// A number for names, lengths and times of all files in a folder. Another version of Rust may number otherwise; the index is then
/// built anew.
fn state(folder: &Path) -> io::Result<u64> {
    let mut files = Vec::new();
    collect(folder, folder, &mut files, 2)?;
    files.sort_unstable();
    let mut hasher = DefaultHasher::new();
    files.hash(&mut hasher);
    Ok(hasher.finish())
}

fn collect(run: &Path, folder: &Path, files: &mut Vec<(PathBuf, u64, u128)>, depth: u32) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let about = entry.metadata()?;
        if about.is_dir() {
            if depth > 0 {
                collect(run, &entry.path(), files, depth - 1)?;
            }
            continue;
        }
        let changed = about.modified()?.duration_since(UNIX_EPOCH).map_or(0, |since| since.as_nanos());
        let path = entry.path();
        files.push((path.strip_prefix(run).unwrap_or(&path).to_owned(), about.len(), changed));
    }
    Ok(())
}

/// The rows of the index, if the file is whole.
fn read(path: &Path) -> Option<Vec<Row>> {
    let bytes = fs::read(path).ok()?;
    let text = std::str::from_utf8(&bytes).ok()?;
    let (body, of_body) = text.strip_suffix('\n')?.rsplit_once('\n')?;
    let body = body.strip_prefix(VERSION)?.strip_prefix('\n')?;
    if of_body.strip_prefix("# ")? != hex(&Sha256::digest(body.as_bytes())) {
        return None;
    }
    csv::Reader::from_reader(body.as_bytes()).deserialize().collect::<Result<_, _>>().ok()
}

fn text(rows: &[Row]) -> io::Result<String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    rows.iter().try_for_each(|row| writer.serialize(row)).map_err(io::Error::other)?;
    let body = writer.into_inner().map_err(|error| io::Error::other(error.to_string()))?;
    let body = String::from_utf8(body).map_err(io::Error::other)?;
    let body = body.trim_end_matches('\n');
    Ok(format!("{VERSION}\n{body}\n# {}\n", hex(&Sha256::digest(body.as_bytes()))))
}
