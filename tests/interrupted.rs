//! Stopped at any moment, by Ctrl-C (SIGINT) or killed outright (SIGKILL): a file that is written is the old one, the new one, or not
//! there, never a part of one.
//!
//! Each command is first run to its end, which gives the whole files and how long it takes; then it is started again and again over old
//! files and stopped at moments spread over that time. Kept runs have tests of their own (`tests/archive.rs`).
#![cfg(unix)]

#[path = "support/program.rs"]
mod program;

use program::{command, sample};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// What stood in a file before.
const OLD: &[u8] = b"what stood here before\n";

/// How a file that is on its way to its place is called; a program that is killed cannot clear it away.
const ON_ITS_WAY: &str = ".wellbled-";

/// Every file in a folder by its name; what is on its way apart.
fn files(folder: &Path) -> (BTreeMap<PathBuf, Vec<u8>>, usize) {
    let (mut files, mut on_their_way) = (BTreeMap::new(), 0);
    for entry in fs::read_dir(folder).expect("it can be listed") {
        let path = entry.expect("it can be listed").path();
        let name = path.file_name().expect("it has a name").to_string_lossy().into_owned();
        if name.starts_with(ON_ITS_WAY) {
            on_their_way += 1;
        } else {
            files.insert(PathBuf::from(name), fs::read(&path).expect("it can be read"));
        }
    }
    (files, on_their_way)
}

/// Runs a command that writes these files to its end, then stops it at `rounds` moments by each signal.
fn stopped(arguments: &[&str], written: &[&str], rounds: u32) {
    let folder = tempfile::tempdir().expect("a folder can be made");
    let started = |folder: &Path| {
        let mut command = command(arguments);
        command.current_dir(folder).stdout(Stdio::null()).stderr(Stdio::null());
        command.spawn().expect("the program starts")
    };
    let begun = Instant::now();
    let status = started(folder.path()).wait().expect("it ends");
    let lasts = begun.elapsed();
    assert_ne!(status.code(), Some(2), "{arguments:?} runs");
    let (whole, _) = files(folder.path());
    assert_eq!(whole.keys().filter_map(|name| name.to_str()).collect::<Vec<_>>(), written, "what {arguments:?} writes");
    let (mut old, mut new, mut on_their_way) = (0, 0, 0);
    for round in 0..2 * rounds {
        let folder = tempfile::tempdir().expect("a folder can be made");
        // Every other time something stands there already.
        let before = if round % 4 < 2 { OLD } else { b"" };
        if !before.is_empty() {
            written.iter().for_each(|name| fs::write(folder.path().join(name), before).expect("it can be written"));
        }
        let mut child = started(folder.path());
        // A little beyond its end, so that the last moments are met too.
        std::thread::sleep(lasts.mul_f64(1.1 * f64::from(round / 2) / f64::from(rounds)));
        if round % 2 == 0 {
            // It may have ended by itself.
            let _ = Command::new("kill").args(["-INT", &child.id().to_string()]).stderr(Stdio::null()).status();
            let begun = Instant::now();
            while child.try_wait().expect("it can be asked").is_none() {
                assert!(begun.elapsed() < Duration::from_secs(20), "{arguments:?} goes on after SIGINT");
                std::thread::sleep(Duration::from_millis(1));
            }
        } else {
            child.kill().expect("it can be killed");
            child.wait().expect("it ends");
        }
        let (there, waiting) = files(folder.path());
        assert!(waiting <= 1, "{waiting} files on their way at once");
        on_their_way += waiting;
        for (name, bytes) in &there {
            if bytes == OLD && !before.is_empty() {
                old += 1;
            } else {
                assert_eq!(Some(bytes), whole.get(name), "{}: neither the old file nor the new one", name.display());
                new += 1;
            }
        }
        assert!(before.is_empty() || there.len() == written.len(), "a file that stood there is gone: {:?}", there.keys());
    }
    println!("{arguments:?}: {} times stopped; {old} old files, {new} new ones, {on_their_way} left on their way", 2 * rounds);
    assert!(old > 0 && new > 0, "the moments did not fall on both sides: {old} old, {new} new");
}

#[test]
fn check_with_everything_that_it_writes() {
    let of = |file: &str| sample(&format!("bakery-van/{file}")).to_string_lossy().into_owned();
    let (log, vehicle, levels) = (of("log.csv"), of("vehicle.toml"), of("levels.csv"));
    let arguments = [
        "check",
        &log,
        "--vehicle",
        &vehicle,
        "--levels",
        &levels,
        "--report",
        "report.html",
        "--plot",
        "plot.png",
        "--samples",
        "samples.parquet",
        "--summary",
        "summary.html",
    ];
    stopped(&arguments, &["plot.png", "report.html", "samples.parquet", "summary.html"], 60);
}

#[test]
fn a_plan_s_job_card() {
    let arguments = ["plan", "--capacity", "6.5L", "--drained", "3.6L", "--ready", "50%", "--card", "card.html"];
    stopped(&arguments, &["card.html"], 60);
}

#[test]
fn a_rehearsal_s_files() {
    let (story, _) = wellbled::rehearsal::STORIES[0];
    stopped(&["rehearse", "--story", story, "--out", "."], &["levels.csv", "log.csv", "truth.json", "vehicle.toml"], 60);
}
