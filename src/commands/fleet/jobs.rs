//! What is to be checked: a folder's logs, paired by the rule, or the rows of a list.

use super::walk;
use crate::commands::failure::Failure;
use crate::commands::keep::Told;
use crate::fleet::kind::{Kind, Look};
use crate::fleet::pairing::{self, Listed};
use crate::fleet::{Part, list};
use crate::report::words::plain;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// One log with what goes with it: names for the table, paths for reading.
#[derive(Clone, Debug)]
pub struct Job {
    /// The log's name in the table.
    pub name: String,
    /// Where it lies.
    pub path: PathBuf,
    /// Its vehicle file.
    pub vehicle: Option<(String, PathBuf)>,
    /// Its level notes.
    pub levels: Option<(String, PathBuf)>,
    /// What is to be said about the pairing.
    pub remark: String,
}

/// What is to be checked.
pub struct Jobs {
    /// The logs of this part.
    pub logs: Vec<Job>,
    /// What could not be listed: name, why and the way out.
    pub not_listed: Vec<(String, Failure)>,
    /// What is to be said besides.
    pub told: Vec<String>,
}

impl Jobs {
    /// Of a folder or a list.
    ///
    /// # Errors
    ///
    /// [`Failure`] if it cannot be listed or read, or has no log at all.
    pub fn of(logs: &Path, part: Part) -> Result<Self, Failure> {
        let mut jobs = if logs.is_dir() { of_folder(logs)? } else { of_list(logs)? };
        if jobs.logs.is_empty() && jobs.not_listed.is_empty() {
            return Err(Failure::new(
                format_args!("{}: there is no log in it", logs.display()),
                "logs are CSV files, also gzipped (docs/log-format.md); hidden ones are passed over\nkept runs are asked with --from-store",
            ));
        }
        jobs.logs.retain(|job| part.holds(&job.name));
        jobs.not_listed.retain(|(name, _)| part.holds(name));
        Ok(jobs)
    }

    /// Says on standard error what is to be said.
    pub fn tell(&self) {
        self.told.iter().for_each(|line| Told::of(line.clone()).tell());
    }
}

fn of_folder(folder: &Path) -> Result<Jobs, Failure> {
    let found = walk::below(folder)?;
    let kinds =
        found.files.iter().map(|(name, path)| Listed { name: name.clone(), kind: Kind::of(name, &beginning(path, Look::at(name))) });
    let listed: Vec<Listed> = kinds.collect();
    let named = |place: Option<usize>| place.and_then(|place| found.files.get(place)).map(|(name, path)| (plain(name), path.clone()));
    let logs = pairing::pair(&listed).into_iter().filter_map(|job| {
        let (name, path) = named(Some(job.log))?;
        Some(Job { name, path, vehicle: named(job.vehicle), levels: named(job.levels), remark: plain(&job.remark) })
    });
    let passed: Vec<&str> = listed.iter().filter(|file| file.kind == Kind::Other).map(|file| file.name.as_str()).collect();
    Ok(Jobs { logs: logs.collect(), not_listed: found.not_listed, told: told(&passed, &found.stores) })
}

/// What was passed over, in words.
fn told(passed: &[&str], stores: &[String]) -> Vec<String> {
    const SHOWN: usize = 3;
    let mut told = Vec::new();
    if !passed.is_empty() {
        let files = if passed.len() == 1 { "file that is no log" } else { "files that are no logs" };
        let shown: Vec<String> = passed.iter().take(SHOWN).map(|name| plain(name)).collect();
        let more = if passed.len() > SHOWN { ", …" } else { "" };
        told.push(format!("note: {} {files} passed over ({}{more})", passed.len(), shown.join(", ")));
    }
    told.extend(stores.iter().map(|store| format!("note: {} holds kept runs and was passed over; --from-store asks them", plain(store))));
    told
}

/// The beginning of a file; what cannot be read shows when the log is.
fn beginning(path: &Path, look: Look) -> Vec<u8> {
    let mut bytes = Vec::new();
    if look.bytes() > 0
        && let Ok(file) = File::open(path)
    {
        let _ = file.take(look.bytes()).read_to_end(&mut bytes);
    }
    bytes
}

fn of_list(path: &Path) -> Result<Jobs, Failure> {
    let bytes = super::super::input::whole(path, LONGEST_LIST, "a list of logs")?;
    let named = list::read(&bytes).map_err(|error| Failure::new(format_args!("{}: {error}", path.display()), error.hint()))?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let at = |name: String| (plain(&name), folder.join(name));
    let logs = named.into_iter().map(|row| {
        let (name, path) = at(row.log);
        Job { name, path, vehicle: row.vehicle.map(at), levels: row.levels.map(at), remark: String::new() }
    });
    Ok(Jobs { logs: logs.collect(), not_listed: Vec::new(), told: Vec::new() })
}

/// Most bytes of a list: some million logs.
const LONGEST_LIST: u64 = 256_000_000;
