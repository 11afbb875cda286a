//! What is promised of speed, measured side by side in one run: each figure beside what it is held against, in turn, so that a machine that
//! slows down slows both.
//!
//! `cargo bench --bench targets` prints the table (a release build; some minutes); `cargo test --benches` goes through it once, on small
//! logs. Memory is read from the operating system while the program runs, so those rows need Linux.

#[path = "../tests/support/long_log.rs"]
mod long_log;
#[path = "../tests/support/program.rs"]
mod program;

use long_log::{Form, hours, long_log};
use polars_io::SerReader;
use polars_io::csv::read::CsvReader;
use std::fs;
use std::hint::black_box;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use wellbled::check::{Beside, Checked};
use wellbled::ingest::{self, Options};
use wellbled::report::chart;
use wellbled::report::text::{self, Style};

/// How much is measured.
struct Extent {
    /// Rounds of each comparison.
    rounds: usize,
    /// Logs of the fleet.
    fleet: usize,
    /// Logs of rising length: hours, rows a second.
    lengths: &'static [(f64, f64)],
}

/// What the promises speak of.
const WHOLE: Extent = Extent { rounds: 200, fleet: 1000, lengths: &[(1.0, 2.0), (1.0, 10.0), (3.0, 10.0), (8.0, 10.0), (24.0, 10.0)] };

/// Enough to see that it runs.
const SMALL: Extent = Extent { rounds: 1, fleet: 3, lengths: &[(1.0, 2.0)] };

fn main() {
    let extent = if std::env::args().any(|argument| argument == "--bench") { WHOLE } else { SMALL };
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    one_hour(&extent);
    start_up(&extent);
    fleet(&extent, folder.path());
    lengths(&extent, folder.path());
}

/// Least, median and greatest.
fn spread(mut values: Vec<f64>) -> [f64; 3] {
    values.sort_by(f64::total_cmp);
    [values[0], values[values.len() / 2], values[values.len() - 1]]
}

fn told(what: &str, promised: &str, values: Vec<f64>, unit: &str) {
    let [least, median, most] = spread(values);
    println!("{what:<58} {promised:>10}   {median:8.2} {unit:<6} ({least:.2} to {most:.2})");
}

fn timed<T>(work: impl FnOnce() -> T) -> f64 {
    let begun = Instant::now();
    black_box(work());
    begun.elapsed().as_secs_f64()
}

/// A check of an hour's log, without and with its picture, beside the dataframe library's own reading of the same bytes.
fn one_hour(extent: &Extent) {
    let bytes = long_log(Form::Comma);
    let read = || {
        let frame = CsvReader::new(Cursor::new(&bytes)).finish().expect("the made log is a table");
        assert_eq!((frame.height(), frame.width()), (long_log::ROWS, long_log::COLUMNS));
    };
    let check = || {
        let run = ingest::read(black_box(&bytes), "hour.csv", &Options::default()).expect("the made log is read").run;
        let checked = Checked::of(&run, &Beside::default());
        (text::render(&checked.document, Style { color: false, width: 80 }), checked)
    };
    let with_picture = || {
        let (text, checked) = check();
        (text, chart::png(&checked.document.chart, (1200, 800)))
    };
    let rounds: Vec<[f64; 3]> = (0..extent.rounds).map(|_| [timed(read), timed(check), timed(with_picture)]).collect();
    let of = |figure: fn(&[f64; 3]) -> f64| rounds.iter().map(figure).collect();
    println!("one hour, 2 rows a second, 27 columns, {:.2} MB, in the library, {} rounds", bytes.len() as f64 / 1e6, rounds.len());
    told("  polars' own CSV reader", "", of(|[read, ..]| 1e3 * read), "ms");
    told("  whole check", "", of(|[_, check, _]| 1e3 * check), "ms");
    told("  whole check over polars' reader", "≤ 3", of(|[read, check, _]| check / read), "");
    told("  PNG, further", "≤ 60 ms", of(|[_, check, picture]| 1e3 * (picture - check)), "ms");
}

/// The program, quiet.
fn quiet(arguments: &[&str]) -> Command {
    let mut command = program::command(arguments);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// How long the program takes, from its start to its end.
fn ran(arguments: &[&str]) -> f64 {
    timed(|| {
        let status = quiet(arguments).status().expect("the program was built beside this bench");
        assert!(matches!(status.code(), Some(0 | 1 | 3)), "{arguments:?}: {status}");
    })
}

fn start_up(extent: &Extent) {
    println!("the program from its start to its end, {} rounds", extent.rounds);
    told("  --help", "≤ 10 ms", (0..extent.rounds).map(|_| 1e3 * ran(&["--help"])).collect(), "ms");
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-logs/bakery-van/log.csv");
    told("  check of a sample", "", (0..extent.rounds).map(|_| 1e3 * ran(&["check", sample])).collect(), "ms");
}

/// A folder of copies of the hour's log, checked by one thread and by two.
fn fleet(extent: &Extent, folder: &Path) {
    let logs = folder.join("fleet");
    fs::create_dir(&logs).expect("a folder can be made");
    let bytes = long_log(Form::Comma);
    for log in 0..extent.fleet {
        fs::write(logs.join(format!("vehicle-{log:04}.csv")), &bytes).expect("a file can be written");
    }
    let logs = logs.to_str().expect("the folder's name is text");
    let rate = |threads: &str| extent.fleet as f64 / ran(&["fleet", logs, "--threads", threads]);
    let rounds: Vec<[f64; 2]> = (0..extent.rounds.min(3)).map(|_| [rate("1"), rate("2")]).collect();
    println!("{} such logs as a fleet, {} rounds", extent.fleet, rounds.len());
    told("  one thread", "", rounds.iter().map(|[one, _]| *one).collect(), "logs/s");
    told("  two threads", "≥ 40", rounds.iter().map(|[_, two]| *two).collect(), "logs/s");
    told("  two threads over one", "", rounds.iter().map(|[one, two]| two / one).collect(), "");
}

/// Ever longer logs: time for a megabyte, and peak memory.
fn lengths(extent: &Extent, folder: &Path) {
    println!("longer logs, the program from its start to its end");
    let mut points: Vec<(f64, f64)> = Vec::new();
    for &(length, rate) in extent.lengths {
        let log = written(folder, length, rate);
        let megabytes = fs::metadata(&log).expect("it was written").len() as f64 / 1e6;
        let path = log.to_str().expect("the file's name is text");
        let times: Vec<f64> = (0..extent.rounds.min(5)).map(|_| ran(&["check", path])).collect();
        let [_, median, _] = spread(times.clone());
        let what = format!("  {length:.0} h, {rate:.0} rows a second, {megabytes:.1} MB");
        told(&what, "", times, "s");
        told("    a megabyte", "", vec![1e3 * median / megabytes], "ms");
        if let Some(peak) = peak_megabytes(&["check", path]) {
            told("    peak memory over 4 × file + 60 MB", "≤ 1", vec![peak / (4.0 * megabytes + 60.0)], "");
        }
        points.push((megabytes.ln(), median.ln()));
        fs::remove_file(log).expect("it was written");
    }
    if let [.., (x0, y0), (x1, y1)] = points[..] {
        told("  power of the length between the last two (1 is linear)", "≤ 1.1", vec![(y1 - y0) / (x1 - x0)], "");
    }
}

fn written(folder: &Path, length: f64, rate: f64) -> PathBuf {
    let path = folder.join("long.csv");
    fs::write(&path, hours(length, rate)).expect("a file can be written");
    path
}

/// Peak memory of the program in MB; `None` where the operating system does not tell it as Linux does.
fn peak_megabytes(arguments: &[&str]) -> Option<f64> {
    let mut child = quiet(arguments).spawn().expect("the program was built beside this bench");
    let mut peak = None;
    while child.try_wait().expect("it can be waited for").is_none() {
        let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kilobytes = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
        peak = kilobytes.map(|kilobytes| kilobytes * 1024.0 / 1e6).or(peak);
        std::thread::sleep(Duration::from_micros(500));
    }
    peak
}
