//! Made drives and stores for the tests of the archive.
//!
//! `reseal` and `many` write the store's files by what `docs/store.md` says of them and not with the program's own writer, so that they
//! hold that page to what the program reads.

use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use wellbled::archive::{Archive, ArchiveError, Evidence, How, Judged, Kept};
use wellbled::run::Run;

/// A drive of ten minutes, °C against s: a warm-up in whole degrees with the chance of a seed in its steps.
pub fn drive(seed: u64) -> Vec<(f64, f64)> {
    // A linear congruential generator (Knuth, TAOCP vol. 2, table 3.3.4-1, line 26).
    let mut state = seed.wrapping_mul(2_654_435_761).wrapping_add(12_345);
    let mut random = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (state >> 40) as f64 / (1_u64 << 24) as f64
    };
    let mut celsius = 20.0;
    (0..600)
        .map(|second| {
            celsius += if celsius < 85.0 { 0.3 * random() } else { random() - 0.55 };
            (f64::from(second), celsius.round())
        })
        .collect()
}

/// A drive as a log.
pub fn log_of(drive: &[(f64, f64)]) -> String {
    let mut log = "time (s),coolant temperature (°C)\n".to_owned();
    for (time, celsius) in drive {
        let _ = writeln!(log, "{time},{celsius}");
    }
    log
}

/// A log, read.
pub fn run_of(log: &[u8]) -> Run {
    wellbled::ingest::read(log, "drive.csv", &wellbled::ingest::Options::default()).expect("it is a log").run
}

/// A judging that says little; what is kept does not depend on what it says.
pub fn judged(run: &Run) -> Judged<'_> {
    Judged {
        run,
        vehicle_toml: Some("name = \"a made vehicle\"\n"),
        air_prior: 0.1,
        before_work: false,
        verdict: "pass",
        headline: "Nothing.",
        findings: "{}\n",
        report: "PASS  drive.csv\n",
    }
}

/// Keeps a log.
pub fn keep(archive: &Archive, log: &[u8], run: &Run) -> Result<Kept, ArchiveError> {
    archive.keep(&Evidence { log, source: "drive.csv", how: &How::default(), run }, &judged(run))
}

/// Names in a folder, sorted; none if it is not there.
pub fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<String> = entries.map(|entry| entry.expect("it can be listed").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// Everything below a folder, parents first.
pub fn paths(folder: &Path) -> Vec<PathBuf> {
    let mut paths = Vec::new();
    for name in names(folder) {
        let path = folder.join(name);
        paths.push(path.clone());
        if path.is_dir() {
            paths.extend(self::paths(&path));
        }
    }
    paths
}

/// Every file below a folder with its bytes.
pub fn tree(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    paths(folder).into_iter().filter(|path| path.is_file()).map(|path| (path.clone(), fs::read(&path).expect("it can be read"))).collect()
}

/// Copies a folder with all that is in it, as `cp -r` does.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder can be made");
    for path in paths(from) {
        let there = to.join(path.strip_prefix(from).expect("it lies in it"));
        if path.is_dir() {
            fs::create_dir_all(there).expect("a folder can be made");
        } else {
            fs::write(there, fs::read(&path).expect("it can be read")).expect("a file can be written");
        }
    }
}

fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Seals a folder: a line a file with its SHA-256, length and name, then the SHA-256 of those lines.
pub fn reseal(folder: &Path) {
    let mut seal = String::new();
    for path in paths(folder).into_iter().filter(|path| path.parent() == Some(folder) && path.is_file()) {
        let name = path.file_name().expect("it has a name").to_string_lossy().into_owned();
        if name != "seal.txt" {
            let bytes = fs::read(&path).expect("it can be read");
            let _ = writeln!(seal, "{}  {} {name}", digest(&bytes), bytes.len());
        }
    }
    let of_seal = digest(seal.as_bytes());
    fs::write(folder.join("seal.txt"), format!("{seal}{of_seal}  seal\n")).expect("a file can be written");
}

/// Many runs, each with its own log, date and vehicle, around one kept run's other files.
pub fn many(archive: &Archive, runs: u64) {
    let log = log_of(&drive(0));
    let Ok(Kept::Now(pattern)) = keep(archive, log.as_bytes(), &run_of(log.as_bytes())) else { panic!("a run can be kept") };
    let at = |id: &str| archive.folder().join("runs").join(id);
    let read = |file: &str| fs::read_to_string(at(&pattern).join(file)).expect("it can be read");
    let (record, summary) = (read("record.json"), read("judged-1/judged.json"));
    let samples = fs::read(at(&pattern).join("judged-1/samples.parquet")).expect("it can be read");
    archive.remove(&pattern).expect("it can be removed");
    let members: serde_json::Value = serde_json::from_str(&record).expect("it is JSON");
    let sha256 = members["sha256"].as_str().expect("it is a text").to_owned();
    for run in 0..runs {
        let log = format!("{log}{},90\n", 600 + run);
        let own = digest(log.as_bytes());
        let folder = at(&own[..12]);
        fs::create_dir_all(folder.join("judged-1")).expect("a folder can be made");
        let date = format!("\"started\": \"20{:02}-{:02}-{:02}T08:00:00\"", run % 26, run / 26 % 12 + 1, run / 312 % 28 + 1);
        let print: Vec<String> = (0..16).map(|hash| (run * 16 + hash).to_string()).collect();
        let mut record: serde_json::Value =
            serde_json::from_str(&record.replace(&sha256, &own).replace("\"started\": null", &date)).expect("it is JSON");
        record["coolant"] = serde_json::from_str(&format!("[{}]", print.join(","))).expect("it is JSON");
        let record = record.to_string();
        let summary = summary.replace("\"vehicle\": null", &format!("\"vehicle\": \"vehicle {run:05}\""));
        let files: [(&str, &[u8]); 6] = [
            ("log.csv", log.as_bytes()),
            ("record.json", record.as_bytes()),
            ("judged-1/judged.json", summary.as_bytes()),
            ("judged-1/samples.parquet", &samples),
            ("judged-1/findings.json", b"{}\n"),
            ("judged-1/report.txt", b"PASS  drive.csv\n"),
        ];
        files.iter().for_each(|(name, bytes)| fs::write(folder.join(name), bytes).expect("a file can be written"));
        reseal(&folder);
        reseal(&folder.join("judged-1"));
    }
}
