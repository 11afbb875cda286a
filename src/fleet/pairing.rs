//! Which vehicle file and which level notes go with a log, by where they lie.
//!
//! **Vehicle file**, the first that is there:
//! 1. `NAME.toml` beside the log `NAME.csv`;
//! 2. in the log's folder `vehicle.toml`, else the folder's only vehicle file that does not bear the name of another log;
//! 3. the same in the folder above, and so on up to the folder that was given.
//!
//! **Level notes**, the first that is there:
//! 1. `NAME.levels.csv` beside the log;
//! 2. where the log is the only one in its folder: `levels.csv`, else the folder's only notes.
//!
//! Where several could be meant, none is taken and the log's row says so. Notes belong to one drive, so they are never taken from
//! another folder; a vehicle drives often, so its file holds for every log below it.

use super::kind::{Kind, NOTES, VEHICLE};
use std::collections::BTreeMap;

/// A file of the fleet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Its path inside the folder, parts joined by `/`.
    pub name: String,
    /// What it is.
    pub kind: Kind,
}

/// A log with what goes with it, each by its place among the listed files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// The log.
    pub log: usize,
    /// Its vehicle file.
    pub vehicle: Option<usize>,
    /// Its level notes.
    pub levels: Option<usize>,
    /// What could be meant and was not taken, in words; empty for nothing.
    pub remark: String,
}

/// One of several, or none.
enum Choice {
    One(usize),
    None,
    Several(Vec<usize>),
}

/// Files of one folder.
#[derive(Default)]
struct Folder {
    logs: Vec<usize>,
    vehicles: Vec<usize>,
    notes: Vec<usize>,
}

/// Pairs every log, in the order of the list.
pub fn pair(files: &[Listed]) -> Vec<Job> {
    let mut folders: BTreeMap<&str, Folder> = BTreeMap::new();
    for (place, file) in files.iter().enumerate() {
        let folder = folders.entry(split(&file.name).0).or_default();
        match file.kind {
            Kind::Log => folder.logs.push(place),
            Kind::Vehicle => folder.vehicles.push(place),
            Kind::Notes => folder.notes.push(place),
            Kind::Other => {}
        }
    }
    let logs = files.iter().enumerate().filter(|(_, file)| file.kind == Kind::Log);
    logs.map(|(log, _)| {
        let mut remarks = Vec::new();
        let mut taken = |choice: Choice, what: &str, name_it: &str| match choice {
            Choice::One(place) => Some(place),
            Choice::None => None,
            Choice::Several(places) => {
                let names: Vec<&str> = places.iter().filter_map(|&place| files.get(place)).map(|file| split(&file.name).1).collect();
                remarks.push(format!("{what} could be meant ({}), so none was taken; {name_it}", names.join(", ")));
                None
            }
        };
        let vehicle = taken(vehicle_of(files, &folders, log), "several vehicle files", "name the right one vehicle.toml");
        let levels = taken(notes_of(files, &folders, log), "level notes of another log", "name them as the log, ending .levels.csv");
        Job { log, vehicle, levels, remark: remarks.join("; ") }
    })
    .collect()
}

fn vehicle_of(files: &[Listed], folders: &BTreeMap<&str, Folder>, log: usize) -> Choice {
    let name = |place: usize| files.get(place).map_or("", |file| file.name.as_str());
    let (own, file) = split(name(log));
    let mut folder = own;
    loop {
        if let Some(here) = folders.get(folder) {
            let called = |wanted: &str| here.vehicles.iter().copied().find(|&place| split(name(place)).1.eq_ignore_ascii_case(wanted));
            let beside = (folder == own).then(|| called(&format!("{}.toml", stem(file)))).flatten();
            if let Some(place) = beside.or_else(|| called(VEHICLE)) {
                return Choice::One(place);
            }
            let of_a_log = |place: &usize| {
                let vehicle = stem(split(name(*place)).1);
                here.logs.iter().any(|&log| stem(split(name(log)).1).eq_ignore_ascii_case(vehicle))
            };
            let free: Vec<usize> = here.vehicles.iter().copied().filter(|place| !of_a_log(place)).collect();
            match free.as_slice() {
                [] => {}
                [one] => return Choice::One(*one),
                _ => return Choice::Several(free),
            }
        }
        if folder.is_empty() {
            return Choice::None;
        }
        folder = split(folder).0;
    }
}

fn notes_of(files: &[Listed], folders: &BTreeMap<&str, Folder>, log: usize) -> Choice {
    let name = |place: usize| files.get(place).map_or("", |file| file.name.as_str());
    let (own, file) = split(name(log));
    let Some(here) = folders.get(own) else { return Choice::None };
    let called = |wanted: &str| here.notes.iter().copied().find(|&place| split(name(place)).1.eq_ignore_ascii_case(wanted));
    if let Some(place) = called(&format!("{}.{NOTES}", stem(file))) {
        return Choice::One(place);
    }
    let of_a_log = |place: &usize| {
        let notes = split(name(*place)).1.to_lowercase();
        here.logs.iter().any(|&log| notes == format!("{}.{NOTES}", stem(split(name(log)).1)).to_lowercase())
    };
    let free: Vec<usize> = here.notes.iter().copied().filter(|place| !of_a_log(place)).collect();
    match (here.logs.len(), called(NOTES), free.as_slice()) {
        (_, _, []) => Choice::None,
        (1, Some(one), _) => Choice::One(one),
        (1, None, [one]) => Choice::One(*one),
        _ => Choice::Several(free),
    }
}

/// Folder and last part of a name; the folder is empty at the top.
fn split(name: &str) -> (&str, &str) {
    name.rsplit_once('/').unwrap_or(("", name))
}

/// A file's name without `.gz` and without its ending.
fn stem(file: &str) -> &str {
    let cut = file.len().saturating_sub(3);
    let unpacked = match file.get(cut..) {
        Some(end) if end.eq_ignore_ascii_case(".gz") => file.get(..cut).unwrap_or(file),
        _ => file,
    };
    unpacked.rsplit_once('.').map_or(unpacked, |(stem, _)| stem)
}
