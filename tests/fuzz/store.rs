//! Kept runs: a store in which one file is what the input says, sealed or not.
//!
//! The first byte says which file, and whether its folder is sealed again, so that what lies behind the seal is reached too. `@SHA256@`
//! stands for that of the kept log. The table of readings, which the program writes and never reads, is patched: three bytes of input are
//! a place in it and a byte to put there.

use super::bounds;
use super::engine::{Seen, Target};
use std::cell::OnceCell;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use wellbled::archive::{Archive, ArchiveError, format, judged, record, twin};
use wellbled::channel::Channel;

#[allow(dead_code, reason = "the other tests of the archive use the rest")]
#[path = "../support/made_store.rs"]
mod made_store;

pub const TARGET: Target = Target {
    name: "store",
    most: 6000,
    words: &[
        "\"format\": 1",
        "\"format\": 2",
        "\"sha256\": \"",
        "\"packed\": true",
        "\"started\": null",
        "\"duration_s\": 1e308",
        "\"kept\": ",
        "\"read\": {}",
        "\"coolant\": []",
        "\"columns\": [[\"coolant_temperature\", \"#2\"]]",
        "\"period\": 0",
        "  seal\n",
        "log.csv",
        "../",
        "# wellbled index 1\n",
        "\"number\": 1",
        "\"air_prior\": -1",
        "\"vehicle\": \"\u{1b}[31m\"",
        "null",
        "PAR1",
        "4294967296",
    ],
    run,
};

/// Files of a store, by the input's first byte.
const FILES: [&str; 10] = [
    "record.json",
    "seal.txt",
    "log.csv",
    "judged-1/judged.json",
    "judged-1/seal.txt",
    "judged-1/vehicle.toml",
    "judged-1/levels.csv",
    "judged-1/samples.parquet",
    "../../index.csv",
    "../../store.json",
];

struct Store {
    folder: TempDir,
    id: String,
    sha256: String,
    whole: Vec<(PathBuf, Vec<u8>)>,
}

thread_local! {
    static STORE: OnceCell<Store> = const { OnceCell::new() };
}

fn store() -> Store {
    let folder = tempfile::tempdir().expect("a folder can be made");
    let archive = Archive::at(folder.path());
    let log = made_store::log_of(&made_store::drive(1));
    let run = made_store::run_of(log.as_bytes());
    let Ok(wellbled::archive::Kept::Now(id)) = made_store::keep(&archive, log.as_bytes(), &run) else { panic!("a run can be kept") };
    let run = folder.path().join("runs").join(&id);
    fs::write(run.join("judged-1/levels.csv"), "occasion,reading\ncold before,42 mm\n").expect("a file can be written");
    made_store::reseal(&run.join("judged-1"));
    archive.listing().expect("it can be listed");
    let files = made_store::paths(folder.path()).into_iter().filter(|path| path.is_file());
    let whole = files.map(|path| (path.clone(), fs::read(path).expect("it can be read"))).collect();
    let sha256 = archive.open(&id).expect("it is whole").record.sha256;
    Store { folder, id, sha256, whole }
}

fn run(input: &[u8]) -> Seen {
    STORE.with(|cell| {
        let store = cell.get_or_init(store);
        let seen = asked(store, input);
        store.whole.iter().filter(|(path, bytes)| fs::read(path).ok().as_ref() != Some(bytes)).for_each(|(path, bytes)| {
            fs::write(path, bytes).expect("a file can be written");
        });
        seen
    })
}

/// The input with the log's own SHA-256 where it is asked for.
fn named(store: &Store, content: &[u8]) -> Vec<u8> {
    let Ok(text) = std::str::from_utf8(content) else { return content.to_vec() };
    text.replace("@SHA256@", &store.sha256).into_bytes()
}

/// The whole file with some bytes changed.
fn patched(store: &Store, path: &Path, patches: &[u8]) -> Vec<u8> {
    let mut bytes = store.whole.iter().find(|(whole, _)| whole == path).map(|(_, bytes)| bytes.clone()).unwrap_or_default();
    for patch in patches.chunks_exact(3) {
        let at = usize::from(u16::from_be_bytes([patch[0], patch[1]])) % bytes.len().max(1);
        bytes[at] = patch[2];
    }
    bytes
}

fn asked(store: &Store, input: &[u8]) -> Seen {
    let (&first, content) = input.split_first().unwrap_or((&0, &[]));
    let name = FILES[usize::from(first & 0x0f) % FILES.len()];
    let run = store.folder.path().join("runs").join(&store.id);
    let path = run.join(name);
    let content = &if name.ends_with(".parquet") { patched(store, &path, content) } else { named(store, content) };
    fs::write(&path, content).expect("a file can be written");
    if first & 0x10 == 0 && !name.ends_with("seal.txt") && !name.starts_with("..") {
        made_store::reseal(path.parent().expect("it lies in a folder"));
    }
    let mut seen = vec![name.to_owned()];
    let mut told = |what: &str, error: &ArchiveError| {
        bounds::says(&error.to_string(), &error.hint());
        seen.push(format!("{what}: {}", bounds::kind(error.to_string().rsplit(": ").next().unwrap_or_default())));
    };
    for parsed in [
        format::parse::<record::Record>(content, record::STEPS, Path::new("record.json")).map(drop),
        format::parse::<judged::Summary>(content, judged::STEPS, Path::new("judged.json")).map(drop),
    ] {
        parsed.unwrap_or_else(|error| told("parse", &error));
    }
    let archive = Archive::at(store.folder.path());
    match archive.listing() {
        Ok(listing) => {
            assert_eq!(listing.entries.len() + listing.not_opened.len(), 1, "one run is there, opened or named");
            let _ = serde_json::to_string(&listing.entries).expect("a listing is JSON");
        }
        Err(error) => told("listing", &error),
    }
    archive.find("last").map(drop).unwrap_or_else(|error| told("find", &error));
    match archive.open(&store.id) {
        Err(error) => told("open", &error),
        Ok(kept) => match kept.run() {
            Ok(run) => bounds::run(&run),
            Err(error) => told("run", &error),
        },
    }
    match archive.coolant(&store.id) {
        Err(error) => told("coolant", &error),
        Ok(coolant) => {
            assert_eq!(coolant.time.len(), coolant.value.len());
            let own = made_store::run_of(made_store::log_of(&made_store::drive(1)).as_bytes());
            let _ = own.trace(Channel::CoolantTemperature).map(|own| twin::of(own, &coolant));
        }
    }
    archive.verify().map(drop).unwrap_or_else(|error| told("verify", &error));
    seen
}
