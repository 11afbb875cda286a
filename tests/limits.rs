//! What an input can ask for: inputs made to run away in time, in memory or in words, each refused or bounded. `docs/limits.md` lists
//! the limits; every figure there is held here.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use wellbled::analysis::Analysis;
use wellbled::analysis::opening::{self, State};
use wellbled::channel::Channel;
use wellbled::ingest::{self, IngestError, Ingested, Options, levels};
use wellbled::run::{DefectKind, Occasion};
use wellbled::vehicle::Vehicle;

fn read(text: &str) -> Result<Ingested, IngestError> {
    ingest::read(text.as_bytes(), "log.csv", &Options::default())
}

/// Message and hint of a log that must be refused.
#[track_caller]
fn refused(text: &str) -> (String, String) {
    match read(text) {
        Ok(_) => panic!("it was read"),
        Err(error) => (error.problem.to_string(), error.hint()),
    }
}

const HEADING: &str = "time (s),coolant temperature (°C)\n";

#[test]
fn a_line_of_delimiters_is_no_table_of_a_million_columns() {
    let rows = format!("{}\n{}\n{}\n", "ECT,".repeat(1_000_000), "1,".repeat(1_000_000), "2,".repeat(1_000_000));
    let (message, hint) = refused(&rows);
    assert_eq!(message, "line 1: the table has more than 2000 columns or signals");
    assert!(hint.starts_with("write out the coolant temperature"), "{hint}");
    // As many as are allowed are read, one of them the coolant's.
    let names = |last: &str| format!("time (s),{}{last}\n", "parameter,".repeat(1998));
    let row = |at: usize| format!("{at},{}{}\n", "7,".repeat(1998), 20 + at / 10);
    let text = names("coolant temperature (°C)") + &(0..70).map(row).collect::<String>();
    let got = read(&text).expect("two thousand columns are read");
    assert_eq!(got.run.trace(Channel::CoolantTemperature).map(|trace| trace.len()), Some(70));
}

#[test]
fn a_long_table_has_no_more_signals_than_a_wide_one_columns() {
    let mut text = "time,signal,value\n".to_owned();
    (0..300).for_each(|row| writeln!(text, "{row},ECT,{}", 20 + row / 10).expect("memory can be written"));
    (0..2100).for_each(|row| writeln!(text, "{},signal {row},1", 300 + row).expect("memory can be written"));
    let (message, _) = refused(&text);
    assert_eq!(message, "line 1: the table has more than 2000 columns or signals");
}

/// A log of nothing but restarts: told once, and found in one walk, not in a walk for each of them.
#[test]
fn many_restarts_are_told_as_one() {
    let mut text = String::new();
    for piece in 0..20_000 {
        text += HEADING;
        for row in 0..3 {
            writeln!(text, "{row},{}", 20 + (piece / 400).min(60)).expect("memory can be written");
        }
    }
    let got = read(&text).expect("it is a log");
    let told: Vec<(usize, Option<u64>)> =
        got.run.defects.iter().filter(|defect| defect.kind == DefectKind::Restart).map(|defect| (defect.count, defect.line)).collect();
    assert_eq!(told, [(19_999, Some(5))]);
    assert!(got.run.defects.len() < 20, "{} defects", got.run.defects.len());
}

/// A clock that is set anew all the time, each time by another step.
#[test]
fn many_settings_of_the_clock_are_told_as_one() {
    let mut text = HEADING.to_owned();
    for row in 0..20_000_u32 {
        // Four rows on by a second each, then back by ever more, never the same.
        let time = 100_000.0 + f64::from(row % 4) - f64::from(row / 4) * 0.1 - f64::from((row / 4) * (row / 4)) * 1e-4;
        writeln!(text, "{time:.4},{}", 20 + row / 400).expect("memory can be written");
    }
    let got = read(&text).expect("it is a log");
    let told: Vec<&str> =
        got.run.defects.iter().filter(|defect| defect.kind == DefectKind::ClockBack).map(|defect| defect.effect.as_str()).collect();
    assert!(told.len() <= 2 && told.iter().all(|effect| effect.starts_with("the clock was put right each time, by 4.1 s")), "{told:?}");
}

#[test]
fn a_clock_that_spans_years_is_no_drive() {
    let rows =
        |step: f64| HEADING.to_owned() + &(0..90).map(|row| format!("{:e},{}\n", f64::from(row) * step, 20 + row / 2)).collect::<String>();
    let (message, hint) = refused(&rows(1e9));
    assert_eq!(message, "the rows span 1030093 days by their clock: at most 21 are read");
    assert!(hint.contains("Cut out the drive"), "{hint}");
    let (message, _) = refused(&rows(1e300));
    assert_eq!(message, "only 0.0 s of readings in 90 rows: at least 60 s are needed");
}

/// What a file says is quoted, never in full.
#[test]
fn a_message_is_no_longer_than_a_screen() {
    let long = "x".repeat(100_000);
    let notes = |text: &str| levels::read(text.as_bytes()).map_err(|error| (error.to_string(), error.hint())).expect_err("it is refused");
    let vehicle = |text: &str| Vehicle::from_toml(text).map_err(|error| (error.to_string(), error.hint())).expect_err("it is refused");
    let quick = |text: &str| levels::quick(Occasion::ColdBefore, text).map_err(|error| (error.to_string(), error.hint()));
    for (message, hint) in [
        refused(&format!("time,{long} temp\n1,2\n2,3\n3,4\n")),
        refused(&format!("{long}\n{long}\n")),
        refused(&format!("time (s),coolant temp {long},coolant temp {long}\n1,2,3\n2,3,5\n3,4,6\n")),
        notes(&format!("occasion,{long}\n")),
        notes(&format!("occasion,reading\n{long},42 mm\n")),
        notes(&format!("occasion,reading\ncold before,42 {long}\n")),
        notes(&format!("occasion,reading\ncold before,42 mm,{long}\n")),
        notes(&format!("occasion,reading\ncold before,\"{long}\n\n\"\n")),
        notes(&format!("occasion,cap\n{long}\n")),
        quick(&format!("42 {long}")).expect_err("it is refused"),
        vehicle(&format!("{long} = 1")),
        vehicle(&format!("capacity = \"{long}\"")),
        vehicle(&format!("capacity = \"7 {long}\"")),
        vehicle(&format!("fuel = \"{long}\"")),
        vehicle(&format!("[reservoir]\nkind = \"{long}\"")),
        vehicle(&format!("name = \"{long}\"")),
    ] {
        for words in [message, hint] {
            assert!(!words.is_empty() && words.chars().count() < 700, "{} characters: {words:.200}", words.chars().count());
        }
    }
}

/// A heading that cannot be typed between quotation marks is named by its number.
#[test]
fn a_hint_can_be_typed_as_it_stands() {
    for name in ["temp \"1\"", "temp `1`", "temp $1"] {
        let (_, hint) = refused(&format!("time (s),{name}\n{}", (0..90).map(|row| format!("{row},{}\n", 20 + row)).collect::<String>()));
        assert!(hint.contains("--column coolant-temperature=\"#2\""), "{hint}");
    }
}

#[test]
fn level_notes_of_empty_columns_are_refused() {
    let error = levels::read(format!("occasion,reading{}\n", ",".repeat(100_000)).as_bytes()).expect_err("it is refused");
    assert_eq!(error.to_string(), "level notes, line 1: 100002 cells, more than the 64 that are read");
    assert!(error.hint().contains("remove empty columns"));
    assert_eq!(levels::read(format!("occasion,reading{}\ncold before,42 mm\n", ",".repeat(62)).as_bytes()).map(|notes| notes.len()), Ok(1));
}

#[test]
fn a_name_fits_on_a_report() {
    let error = Vehicle::from_toml(&format!("name = \"{}\"", "ü".repeat(101))).expect_err("it is refused");
    assert_eq!(error.to_string(), "vehicle file, `name`: it has 101 characters, and at most 100 fit on a report");
    assert!(Vehicle::from_toml(&format!("name = \"{}\"", "ü".repeat(100))).is_ok());
}

/// A log that rises for days: the search for an opening ends after six hours of it, and the report does not say that the valve stayed shut.
#[test]
fn a_rise_that_never_ends_is_searched_for_six_hours() {
    // From 30 °C by 1.5 K an hour for a day and a half, a reading every ten seconds, while the engine idles.
    let rows = (0..12_960).map(|row| format!("{},{:.1},800\n", row * 10, 30.0 + f64::from(row) / 240.0));
    let run =
        read(&format!("time (s),coolant temperature (°C),engine speed (rpm)\n{}", rows.collect::<String>())).expect("it is a log").run;
    let opening = Analysis::of(&run).opening;
    assert_eq!(opening::LONGEST_RISE_S, 6.0 * 3600.0);
    assert_eq!(opening.state, State::NotObservable, "{opening:?}");
    assert_eq!(opening.because, Some("no opening shows in the first six hours, and the reading rises further after them"));
}

/// Words that mean nothing are compared with every word that is known: a heading of them must not take long. A thousand headings of
/// twenty-eight such words each are read here without waiting.
#[test]
fn headings_of_nonsense_are_read() {
    let heading =
        |column: usize| (0..28).map(|word| format!("qz{}vk", char::from(b'a' + (column + word) as u8 % 26))).collect::<Vec<_>>().join("-");
    let names = (0..998).map(heading).collect::<Vec<_>>().join(",");
    let row = |at: usize| format!("{at},{},{}\n", 20 + at / 10, vec!["1"; 998].join(","));
    let text = format!("time (s),ECT,{names}\n{}", (0..70).map(row).collect::<String>());
    assert!(read(&text).is_ok());
}

/// The page that lists the limits names each of them.
#[test]
fn the_page_of_limits_names_them() {
    let page = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/limits.md")).expect("the page is there");
    for figure in ["6 h", "512 MB", "4,000,000", "2,000", "21 days", "60 s", "16 MB", "4 MB", "64", "100 characters"] {
        assert!(page.contains(figure), "docs/limits.md does not say {figure}");
    }
    assert_eq!((ingest::text::LIMIT, ingest::table::MOST_ROWS, ingest::rows::MOST_CELLS), (512_000_000, 4_000_000, 2000));
    assert_eq!((ingest::MOST_DURATION, ingest::LEAST_DURATION, levels::LARGEST_FILE), (21.0 * 86_400.0, 60.0, 16 * 1024 * 1024));
}
