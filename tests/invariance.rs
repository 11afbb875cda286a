//! What must not change the answer: where the clock begins, in which order columns stand, what else is logged, which unit the recorder
//! writes. The logs are samples rewritten; findings, reasons and verdict are compared whole.

use serde_json::Value;
use std::fs;
use std::path::Path;
use wellbled::analysis::Analysis;
use wellbled::ingest::{self, Options};
use wellbled::rehearsal::random::Random;
use wellbled::report::build;
use wellbled::vehicle::Vehicle;
use wellbled::verdict::Judgement;

/// Stories whose logs are plain tables with commas, elapsed seconds and degrees Celsius.
const STORIES: [&str; 3] = ["bakery-van", "canal-lorry", "trapped-air"];

fn sample(story: &str, file: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-logs").join(story).join(file);
    fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// A log as heading and rows of cells.
#[derive(Clone)]
struct Table {
    heading: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn of(story: &str) -> Self {
        let text = String::from_utf8(sample(story, "log.csv")).expect("the samples are UTF-8");
        let mut lines = text.lines().map(|line| line.split(',').map(str::to_owned).collect::<Vec<String>>());
        Self { heading: lines.next().expect("it has a heading"), rows: lines.collect() }
    }

    /// Rewrites one column's cells.
    fn map(&mut self, column: usize, new: impl Fn(f64) -> String) {
        for row in &mut self.rows {
            if let Ok(value) = row[column].parse::<f64>() {
                row[column] = new(value);
            }
        }
    }

    fn bytes(&self) -> Vec<u8> {
        let lines = std::iter::once(&self.heading).chain(&self.rows).map(|cells| cells.join(",") + "\n");
        lines.collect::<String>().into_bytes()
    }
}

/// Verdict, reasons and findings of a log with everything that stands beside the story.
fn answer(story: &str, log: &[u8]) -> Value {
    let mut run = ingest::read(log, "log.csv", &Options::default()).unwrap_or_else(|error| panic!("{story}: {error}")).run;
    run.vehicle = Vehicle::from_toml(&String::from_utf8_lossy(&sample(story, "vehicle.toml"))).expect("the sample's vehicle reads");
    run.levels = ingest::levels::read(&sample(story, "levels.csv")).expect("the sample's notes read");
    let analysis = Analysis::of(&run);
    let judgement = Judgement::of(&run, &analysis);
    let document = build::document(&run, &analysis, &judgement);
    let reasons = serde_json::to_value(&document.reasons).expect("reasons are JSON");
    serde_json::json!({"verdict": document.verdict, "reasons": reasons, "findings": document.findings})
}

#[test]
fn the_order_of_the_columns_is_nothing() {
    for story in STORIES {
        let table = Table::of(story);
        let plain = answer(story, &table.bytes());
        for seed in 1..=3 {
            let mut random = Random::new(seed, 1);
            let mut order: Vec<(f64, usize)> = (0..table.heading.len()).map(|column| (random.unit(), column)).collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0));
            let shuffled = |cells: &[String]| order.iter().map(|&(_, column)| cells[column].clone()).collect::<Vec<String>>();
            let other = Table { heading: shuffled(&table.heading), rows: table.rows.iter().map(|row| shuffled(row)).collect() };
            assert_eq!(answer(story, &other.bytes()), plain, "{story}, order {order:?}");
        }
    }
}

#[test]
fn a_clock_that_begins_elsewhere_is_the_same_clock() {
    for story in STORIES {
        let table = Table::of(story);
        let plain = answer(story, &table.bytes());
        // A recorder that was switched on an hour earlier, or one that counts from the epoch of its own.
        for later in [3600.0, 1_000_000.0] {
            let mut other = table.clone();
            other.map(0, |time| format!("{:.3}", time + later));
            assert_eq!(answer(story, &other.bytes()), plain, "{story}, {later} s later");
        }
    }
}

#[test]
fn a_column_that_says_nothing_of_cooling_changes_nothing() {
    for story in STORIES {
        let table = Table::of(story);
        let plain = answer(story, &table.bytes());
        let mut other = table.clone();
        other.heading.insert(3, "Satellites in view".to_owned());
        other.heading.push("Bearing (deg)".to_owned());
        for (index, row) in other.rows.iter_mut().enumerate() {
            row.insert(3, (7 + index % 5).to_string());
            row.push((index % 360).to_string());
        }
        assert_eq!(answer(story, &other.bytes()), plain, "{story}");
    }
}

/// Written in whole tenths of a degree Fahrenheit, a whole degree Celsius comes back as it was; only the reported step is another, and with it
/// what rounding adds to an interval.
#[test]
fn fahrenheit_is_the_same_temperature() {
    for story in STORIES {
        let table = Table::of(story);
        let plain = answer(story, &table.bytes());
        let mut other = table.clone();
        for column in 0..table.heading.len() {
            if table.heading[column].contains("°C") {
                other.heading[column] = table.heading[column].replace("°C", "°F");
                other.map(column, |celsius| format!("{:.1}", celsius * 1.8 + 32.0));
            }
        }
        let found = answer(story, &other.bytes());
        assert_eq!(found["verdict"], plain["verdict"], "{story}");
        for member in ["/findings/opening/temperature/value", "/findings/regulation/high/value", "/findings/trapped_air/probability/value"]
        {
            let [a, b] = [&plain, &found].map(|answer| answer.pointer(member).and_then(Value::as_f64).expect("it is measured"));
            assert!((a - b).abs() < 0.2, "{story}: {member} {a} in Celsius, {b} in Fahrenheit");
        }
    }
}

/// The last row before the drive's end is cut in the middle, as by a pulled plug: what was read stays read.
#[test]
fn a_cut_last_row_costs_that_row() {
    for story in STORIES {
        let table = Table::of(story);
        let bytes = table.bytes();
        let cut = &bytes[..bytes.len() - 12];
        let (plain, found) = (answer(story, &bytes), answer(story, cut));
        assert_eq!(found["verdict"], plain["verdict"], "{story}");
        assert_eq!(found["findings"]["opening"], plain["findings"]["opening"], "{story}");
    }
}
