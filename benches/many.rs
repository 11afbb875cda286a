//! Many logs: how many a second a fleet checks, and how many kept runs a second a list names. Both run the program from its start to its end.

#[path = "../tests/support/long_log.rs"]
mod long_log;
#[path = "../tests/support/made_store.rs"]
#[allow(dead_code, reason = "the tests of the archive ask for more of it")]
mod made_store;
#[path = "../tests/support/program.rs"]
mod program;

use divan::Bencher;
use divan::counter::ItemsCount;
use long_log::{Form, long_log};
use std::fs;
use std::path::Path;
use tempfile::TempDir;
use wellbled::archive::Archive;

fn main() {
    divan::main();
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a temporary folder can be made")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("the folder's name is text")
}

/// Hour-long logs, two rows a second, 27 columns.
#[divan::bench(args = [1, 2], sample_count = 10)]
fn fleet(bencher: Bencher, threads: usize) {
    const LOGS: usize = 40;
    let logs = folder();
    let bytes = long_log(Form::Comma);
    for log in 0..LOGS {
        fs::write(logs.path().join(format!("vehicle-{log:02}.csv")), &bytes).expect("a file can be written");
    }
    let threads = threads.to_string();
    let arguments = ["fleet", text(logs.path()), "--threads", &threads];
    bencher.counter(ItemsCount::new(LOGS)).bench(|| assert!(program::wellbled(&arguments).code.is_some_and(|code| code != 2)));
}

#[divan::bench(args = [100, 1000], sample_count = 10)]
fn store_list(bencher: Bencher, runs: u64) {
    let folder = folder();
    let archive = Archive::at(folder.path().join("store"));
    made_store::many(&archive, runs);
    let arguments = ["history", "--store", text(archive.folder())];
    bencher.counter(ItemsCount::new(runs)).bench(|| assert_eq!(program::wellbled(&arguments).code, Some(0)));
}
