//! What is wrong with a log, and exactly what the person is told: errors first, then defects that can be worked around.

use std::fmt::Write as _;
use std::io::Write as _;
use wellbled::channel::Channel;
use wellbled::ingest::{Ingested, Options, read, understand};
use wellbled::run::DefectKind;

fn options() -> Options {
    Options::default()
}

/// Rows below a heading: a warm-up from 20 °C, one row a second for `rows` seconds, the cells after the time made by `cells`.
fn log(heading: &str, rows: usize, cells: impl Fn(usize) -> String) -> String {
    let mut text = format!("{heading}\n");
    for row in 0..rows {
        writeln!(text, "{row},{}", cells(row)).unwrap();
    }
    text
}

fn warm(row: usize) -> String {
    (20 + row / 10).min(88).to_string()
}

fn dated(first: &str, second: &str) -> String {
    let mut text = String::from("Timestamp,Coolant temperature (°C)\n");
    for row in 0..120 {
        writeln!(text, "{} 07:{:02}:{:02},{}", if row < 60 { first } else { second }, row / 60, row % 60, warm(row)).unwrap();
    }
    text
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap()
}

#[test]
fn every_error_says_where_what_and_the_way_out() {
    let coolant = "time (s),coolant temperature (°C)";
    let named = |name: &str| Options { columns: vec![(Channel::CoolantTemperature, name.into())], ..options() };
    let cases: Vec<(&str, Vec<u8>, Options, &str, &str)> = vec![
        (
            "an empty file",
            Vec::new(),
            options(),
            "monday.csv: the file is empty",
            "was the recorder stopped before its file was closed? Copy it from the recorder again",
        ),
        (
            "blank lines only",
            b"\r\n \r\n".to_vec(),
            options(),
            "monday.csv: the file is empty",
            "was the recorder stopped before its file was closed? Copy it from the recorder again",
        ),
        (
            "a spreadsheet",
            b"PK\x03\x04\x14\x00\x06\x00".to_vec(),
            options(),
            "monday.csv: this is a spreadsheet or ZIP archive, not a text table",
            "in the spreadsheet, save the sheet as CSV; from an archive, take the log out first",
        ),
        (
            "a printed report",
            b"%PDF-1.7\n".to_vec(),
            options(),
            "monday.csv: this is a PDF, not a text table",
            "a printed report holds no readings: export the log as CSV",
        ),
        (
            "a screenshot",
            b"\x89PNG\r\n\x1a\n".to_vec(),
            options(),
            "monday.csv: this is a picture, not a text table",
            "a screenshot holds no readings: export the log as CSV",
        ),
        (
            "zeros",
            vec![0; 100_000],
            options(),
            "monday.csv: this is a file of zeros, not a text table",
            "the recorder's card may be damaged: copy the log again, or record again",
        ),
        (
            "zeros, packed",
            gzip(&vec![0; 3_000_000]),
            options(),
            "monday.csv: this is a file of zeros, not a text table",
            "the recorder's card may be damaged: copy the log again, or record again",
        ),
        (
            "binary",
            (0..4000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8 & 0x1f).collect(),
            options(),
            "monday.csv: this is a binary file, not a text table",
            "export the log as CSV",
        ),
        (
            "a compressed file that is damaged from its start",
            b"\x1f\x8b\x08\x00garbage".to_vec(),
            options(),
            "monday.csv: the compressed file is damaged from its start",
            "unpack it with another program, or copy it from the recorder again",
        ),
        (
            "a letter",
            "Dear customer,\n\nyour van is ready.\n".into(),
            options(),
            "monday.csv: no table found: no line splits into columns at a comma, semicolon, tab or bar (line 1 reads `Dear customer,`)",
            "a log is a text table: a heading, then one row a moment, with commas, semicolons, tabs or bars between the columns",
        ),
        (
            "numbers from the first line on",
            log("0,20", 100, warm).replace("0,20\n0,20", "0,20").into(),
            options(),
            "monday.csv: line 1 holds numbers already: there is no heading that names the columns (`0,20`)",
            "put a line above it that names every column, such as `time (s),coolant temperature (°C)`",
        ),
        (
            "a heading alone",
            "time (s),coolant temperature (°C),engine speed (rpm)\n".into(),
            options(),
            "monday.csv: no row of readings below the heading in line 1",
            "was the engine off, or the adapter not connected? Record again",
        ),
        (
            "a name too few",
            log(coolant, 100, |row| format!("{},800", warm(row))).into(),
            options(),
            "monday.csv: the heading in line 1 names 2 columns, but the rows have 3 cells (line 2)",
            "name every column in the heading: which name is missing cannot be told from the numbers",
        ),
        (
            "no coolant temperature",
            format!("Recorder 7\n\n{}", log("time,speed,temp 1", 100, |row| format!("0,{}", warm(row)))).into(),
            options(),
            "monday.csv: no coolant temperature column (line 3 has 3 columns: time, speed, temp 1)",
            "if `temp 1` is it, say so: --column coolant-temperature=\"temp 1\"\nto see every column with its range and guessed channel: `columns FILE`",
        ),
        (
            "a sensor's voltage for its temperature",
            log("time (s),coolant temperature sensor (V)", 100, |_| "2.1".into()).into(),
            options(),
            "monday.csv: no coolant temperature column (line 1 has 2 columns: time (s), coolant temperature sensor (V))",
            "if `coolant temperature sensor (V)` is it, say so: --column coolant-temperature=\"coolant temperature sensor (V)\"\nto see every column with its range and guessed channel: `columns FILE`",
        ),
        (
            "two columns that fit equally well",
            log("time (s),coolant temperature (°C),ECT (°C)", 100, |row| format!("{},{}", warm(row), row / 10)).into(),
            options(),
            "monday.csv: line 1: two columns could be the coolant temperature: `coolant temperature (°C)` and `ECT (°C)`",
            "say which: --column coolant-temperature=\"coolant temperature (°C)\"",
        ),
        (
            "one name twice",
            log("time (s),coolant temp,coolant temp", 100, |row| format!("{},{}", warm(row), row / 10)).into(),
            options(),
            "monday.csv: line 1: two columns could be the coolant temperature: `#2 coolant temp` and `#3 coolant temp`",
            "say which: --column coolant-temperature=\"#2\"",
        ),
        (
            "a column asked for that is not there",
            log(coolant, 100, warm).into(),
            named("water"),
            "monday.csv: no column is named `water`, asked for as coolant temperature (line 1 has 2 columns: time (s), coolant temperature (°C))",
            "write the heading as it stands in the file, or the column's number as `#2`\nto see every column: `columns FILE`",
        ),
        (
            "a column named for the coolant that is in volts",
            log("time (s),coolant temperature sensor (V)", 100, |_| "2.1".into()).into(),
            named("coolant temperature sensor (V)"),
            "monday.csv: line 1: the column `coolant temperature sensor (V)` was named for the coolant temperature but is in V",
            "name a column that holds the coolant temperature itself\nto see every column: `columns FILE`",
        ),
        (
            "a coolant column of codes",
            log(coolant, 100, |_| "-40".into()).into(),
            options(),
            "monday.csv: the column `coolant temperature (°C)` holds no coolant temperature that can be a reading (100 × a code for \"no reading\"; left out (the first is -40))",
            "look at the sensor and its plug, or name another column: --column coolant-temperature=\"NAME\"\nto see every column with its range: `columns FILE`",
        ),
        (
            "a coolant column of words",
            log("time (s),coolant temperature (°C),engine speed (rpm)", 100, |_| "None,800".into()).into(),
            options(),
            "monday.csv: the column `coolant temperature (°C)` holds no coolant temperature that can be a reading (100 × `None` where a number should be; left out)",
            "look at the sensor and its plug, or name another column: --column coolant-temperature=\"NAME\"\nto see every column with its range: `columns FILE`",
        ),
        (
            "no clock",
            log("row,coolant temperature (°C)", 100, warm).into(),
            options(),
            "monday.csv: no usable clock (line 1 has 2 columns: row, coolant temperature (°C))",
            "name the clock's column: --time-column \"NAME\"\nif the rows are evenly spaced, say how far apart: --period 0.5 (seconds)",
        ),
        (
            "a period that makes no clock",
            log("row,coolant temperature (°C)", 100, warm).into(),
            Options { period: Some(0.0), ..options() },
            "monday.csv: a period of 0 s between rows makes no clock",
            "give the seconds between two rows, such as --period 0.5",
        ),
        (
            "day and month that cannot be told apart where it matters",
            dated("02/03/2026", "04/03/2026").into(),
            options(),
            "monday.csv: line 2: the date `02/03/2026 07:00:00` can be day-month or month-day, and the rows do not tell which",
            "say which: --day-first yes, or --day-first no",
        ),
        (
            "too short",
            log(coolant, 31, warm).into(),
            options(),
            "monday.csv: only 30.0 s of readings in 31 rows: at least 60 s are needed",
            "record from the cold start until the temperature has held for five minutes\nif the clock counts minutes or hours, write that in its heading: `time (min)`",
        ),
    ];
    for (what, bytes, options, message, hint) in cases {
        match read(&bytes, "monday.csv", &options) {
            Ok(_) => panic!("{what}: was read"),
            Err(error) => {
                assert_eq!(error.to_string(), message, "{what}");
                assert_eq!(error.hint(), hint, "{what}");
            }
        }
    }
}

/// A file over the limit is refused before it is looked at in full; a packed one while it is unpacked.
#[test]
fn too_large_is_refused_in_bounded_memory() {
    let mut text = b"time (s),coolant temperature (\xc2\xb0C)\n".to_vec();
    let block = b"0.0,20\n".repeat(1_000_000);
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(&text).unwrap();
    for _ in 0..80 {
        packer.write_all(&block).unwrap();
    }
    let packed = packer.finish().unwrap();
    let error = read(&packed, "big.csv.gz", &options()).unwrap_err();
    assert_eq!(error.to_string(), "big.csv.gz: the unpacked file is larger than 512 MB");
    assert_eq!(error.hint(), "cut out the drive after the refill and pass that part alone");
    text.extend_from_slice(&b"0,20\n1,20\n".repeat(2_000_001));
    assert_eq!(read(&text, "big.csv", &options()).unwrap_err().to_string(), "big.csv: there are more than 4000000 rows");
}

/// A log that cannot be checked can still be looked at: the hint says so, and it has to be true.
#[test]
fn the_columns_of_a_log_that_cannot_be_read_are_shown() {
    let text = log("row,speed,temp 1", 100, |row| format!("0,{}", warm(row)));
    let seen = understand(text.as_bytes(), "monday.csv", &options()).unwrap();
    assert_eq!(
        seen.problem.as_deref(),
        Some("monday.csv: no coolant temperature column (line 1 has 3 columns: row, speed, temp 1)").map(|text| &text[12..])
    );
    let columns: Vec<_> =
        seen.columns.iter().map(|column| (column.heading.as_str(), column.channel, column.readings, column.range)).collect();
    assert_eq!(
        columns,
        [
            ("row", None, 100, Some([0.0, 99.0])),
            ("speed", Some(Channel::VehicleSpeed), 100, Some([0.0, 0.0])),
            ("temp 1", None, 100, Some([20.0, 29.0])),
        ]
    );
    assert_eq!(seen.clock, "none found");
    assert!(understand(b"", "monday.csv", &options()).is_err());
}

fn ingest(text: &str) -> Ingested {
    read(text.as_bytes(), "monday.csv", &options()).unwrap_or_else(|error| panic!("{error}"))
}

/// The defects of a kind: count, second, line and effect of each.
fn defects(got: &Ingested, kind: DefectKind) -> Vec<(usize, Option<f64>, Option<u64>, String)> {
    got.run
        .defects
        .iter()
        .filter(|defect| defect.kind == kind)
        .map(|defect| (defect.count, defect.at_s, defect.line, defect.effect.clone()))
        .collect()
}

const HEADING: &str = "time (s),coolant temperature (°C),engine speed (rpm)";

fn ordinary(row: usize) -> String {
    format!("{},{}", warm(row), 800 + row % 7)
}

/// The one defect of a kind that a log must show.
#[track_caller]
fn shows(got: &Ingested, kind: DefectKind, count: usize, at: Option<f64>, line: Option<u64>, effect: &str) {
    assert_eq!(defects(got, kind), [(count, at, line, effect.to_owned())]);
}

#[test]
fn a_clean_log_has_no_defect() {
    assert_eq!(ingest(&log(HEADING, 600, ordinary)).run.defects, []);
}

#[test]
fn codes_and_words_never_become_a_temperature() {
    let with = |odd: &'static str| move |row: usize| if (300..303).contains(&row) { format!("{odd},800") } else { ordinary(row) };
    let coolant = |got: &Ingested| got.run.trace(Channel::CoolantTemperature).unwrap().value.clone();
    for (odd, kind, effect) in [
        ("-40", DefectKind::Sentinel, "a code for \"no reading\"; left out (the first is -40)"),
        ("215", DefectKind::Sentinel, "a code for \"no reading\"; left out (the first is 215)"),
        ("255", DefectKind::Sentinel, "a code for \"no reading\"; left out (the first is 255)"),
        ("1e9", DefectKind::OutOfRange, "outside what the channel can hold; left out (the first is 1000000000)"),
        ("5", DefectKind::Jump, "far from the readings on both sides; left out (the first is 5)"),
        ("None", DefectKind::NotANumber, "`None` where a number should be; left out"),
        ("0x5A", DefectKind::NotANumber, "`0x5A` where a number should be; left out"),
    ] {
        // The odd rows stand where the coolant is at 50 °C, so that 5 °C is a leap.
        let odd_row = with(odd);
        let got = ingest(&log(HEADING, 600, odd_row));
        shows(&got, kind, 3, Some(300.0), Some(302), effect);
        assert!(coolant(&got).iter().all(|value| (20.0..=88.0).contains(value)), "{odd}");
        assert_eq!(coolant(&got).len(), 597, "{odd}");
    }
    // 77 41 05 77: two units answer 79 °C, and a recorder writes both answers as one number.
    let glued = f64::from(0x7741_0577_u32);
    let got = ingest(&log(HEADING, 700, |row| if row == 595 { format!("{glued},800") } else { ordinary(row) }));
    shows(
        &got,
        DefectKind::GluedValue,
        1,
        Some(595.0),
        Some(597),
        "two control units' answers in one number; they agree, and the first was taken",
    );
    assert_eq!(got.run.trace(Channel::CoolantTemperature).unwrap().at(595.0), Some(79.0));
}

#[test]
fn a_morning_at_minus_forty_is_real() {
    let got = ingest(&log(HEADING, 600, |row| format!("{},800", -40 + (row / 10) as i32)));
    assert_eq!(defects(&got, DefectKind::Sentinel), []);
    assert_eq!(got.run.trace(Channel::CoolantTemperature).unwrap().at(0.0), Some(-40.0));
}

#[test]
fn rows_that_are_damaged_are_left_out_whole() {
    let text = log(HEADING, 600, ordinary);
    let ragged = text.replace("\n200,40,804\n", "\n200,40\n");
    shows(&ingest(&ragged), DefectKind::RaggedRow, 1, Some(201.0), Some(202), "not as many cells as the heading has names; left out");
    let cut = text.trim_end().strip_suffix(",804").map(str::to_owned).unwrap_or_default();
    let got = ingest(&cut);
    shows(&got, DefectKind::CutOffRow, 1, None, Some(601), "the last row was cut off; what is doubtful in it was left out");
    assert_eq!(got.run.samples, 599);
    // Digits can be lost too: 8 instead of 804 is no engine speed.
    let half = ingest(text.trim_end().strip_suffix("04").unwrap_or_default());
    shows(&half, DefectKind::CutOffRow, 1, None, Some(601), "the last row was cut off; what is doubtful in it was left out");
    assert_eq!(half.run.trace(Channel::EngineSpeed).unwrap().len(), 599);
    let zeros = format!("{text}{}", "\0".repeat(500));
    shows(&ingest(&zeros), DefectKind::CutOffRow, 1, None, Some(601), "the file ends early; what came before was read");
    let twice = text.replace("\n200,40,804\n", "\n200,40,804\n200,40,804\n");
    let got = ingest(&twice);
    shows(&got, DefectKind::Duplicate, 1, Some(200.0), Some(203), "the same row twice; the second left out");
    assert_eq!(got.run.samples, 600);
}

#[test]
fn the_clock_is_put_right_and_said() {
    let shifted = |from: usize, by: i64| {
        let mut text = format!("{HEADING}\n");
        for row in 0..600 {
            let stamp = i64::try_from(row).unwrap() + if row >= from { by } else { 0 };
            writeln!(text, "{stamp},{}", ordinary(row)).unwrap();
        }
        text
    };
    let gap = ingest(&shifted(300, 14));
    shows(&gap, DefectKind::Gap, 1, Some(299.0), None, "no rows for 15.0 s; nothing was filled in");
    assert_eq!(gap.run.gaps, [[299.0, 314.0]]);
    let back = ingest(&shifted(300, -120));
    shows(&back, DefectKind::ClockBack, 1, Some(300.0), Some(302), "the clock was set back by 119.0 s; the rest of the log was moved on");
    assert_eq!(back.run.duration, 599.0);
    let ahead = ingest(&shifted(300, 3600));
    shows(
        &ahead,
        DefectKind::ClockAhead,
        1,
        Some(300.0),
        Some(302),
        "the clock was set ahead by 3601 s; the rest of the log was moved back",
    );
    assert_eq!(ahead.run.duration, 599.0);
    let restarted = format!("{}{}", log(HEADING, 300, ordinary), log(HEADING, 300, |row| ordinary(row + 300)));
    let got = ingest(&restarted);
    shows(
        &got,
        DefectKind::Restart,
        1,
        Some(300.0),
        Some(302),
        "the recorder was restarted and its clock with it; the rows were joined, so the length of the break is unknown",
    );
    assert_eq!(defects(&got, DefectKind::ClockBack), []);
    let whole = "time,coolant temperature (°C),engine speed (rpm)\n".to_owned()
        + &(0..1200).map(|row| format!("07:{:02}:{:02},{}\n", row / 120, row / 2 % 60, ordinary(row / 2))).collect::<String>();
    let got = ingest(&whole);
    shows(
        &got,
        DefectKind::CoarseClock,
        600,
        Some(0.0),
        Some(2),
        "kept; rows share a stamp; the clock between was rebuilt, a row about every 0.50 s",
    );
    assert_eq!(got.run.samples, 1200, "rows that share a stamp are no duplicates");
}

#[test]
fn what_the_engine_and_the_recorder_did_is_said() {
    let key_on = ingest(&log(HEADING, 600, |row| if row < 12 { "20,0".into() } else { ordinary(row) }));
    shows(&key_on, DefectKind::BeforeStart, 12, Some(0.0), None, "kept; the engine fires 12.0 s after the first row");
    let stops = ingest(&log(HEADING, 600, |row| if row < 400 { ordinary(row) } else { format!("{},", warm(row)) }));
    shows(&stops, DefectKind::TraceStops, 1, Some(399.0), None, "no reading in the last 200 s of the log; nothing was filled in");
    let stale = ingest(&log(HEADING, 600, |row| ordinary(row / 4 * 4)));
    shows(
        &stale,
        DefectKind::StaleRepeat,
        450,
        Some(1.0),
        None,
        "kept; each value is written again until its channel is polled, about every 4.0 s",
    );
}

#[test]
fn units_that_are_not_stated_are_inferred_and_said() {
    let got = ingest(&log("time (s),coolant temperature,engine speed", 900, ordinary));
    assert_eq!(
        defects(&got, DefectKind::UnitInferred).into_iter().map(|defect| defect.3).collect::<Vec<_>>(),
        [
            "no unit stated; taken as °C: it rises and then holds as a regulated engine does, in °F it would start below freezing",
            "no unit stated; taken: engine speed as rpm"
        ]
    );
}

/// One cell with another unit behind it is turned into the unit of its column; it does not turn the column.
#[test]
fn an_odd_unit_in_one_cell_leaves_the_others_alone() {
    let odd = |row: usize| if row == 300 { "122 °F,800".to_owned() } else { ordinary(row) };
    let got = ingest(&log(HEADING, 600, odd));
    let coolant = got.run.trace(Channel::CoolantTemperature).unwrap();
    assert_eq!((coolant.len(), coolant.at(0.0)), (600, Some(20.0)));
    assert!(coolant.at(300.0).is_some_and(|celsius| (celsius - 50.0).abs() < 1e-9));
}

/// Damage of every kind to an ordinary log: whatever comes back is an error or a run in order, never a panic.
#[test]
fn no_damage_makes_it_panic() {
    let stamp = |row: usize| format!("2026-03-02T07:{:02}:{:02}.5+01:00", row / 60, row % 60);
    let long = "timestamp,signal,value,unit\n".to_owned()
        + &(0..200).map(|row| format!("{0},ECT,{1},°C\n{0},RPM,{2},rpm\n", stamp(row), warm(row), 800 + row)).collect::<String>();
    let comma = "Zeit;Datum;Kühlmitteltemperatur (°C)\n".to_owned()
        + &(0..200).map(|row| format!("23:59:{:02};01/02/2026;{},5\n", row % 60, warm(row))).collect::<String>();
    let logs = [log(HEADING, 200, ordinary).into_bytes(), long.into_bytes(), comma.into_bytes()];
    let mut state = 1_u64;
    let mut random = move |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below.max(1)
    };
    for round in 0..3000 {
        let clean = &logs[round % 3];
        let mut bytes = clean.clone();
        for _ in 0..=random(8) {
            let at = random(bytes.len());
            match random(6) {
                0 => bytes.truncate(at),
                1 => bytes[at] = random(256) as u8,
                2 => bytes.insert(at, b"\",;\t|\n\r\0:-/.eE\xc2\xb0"[random(16)]),
                3 => {
                    let end = (at + random(40)).min(bytes.len());
                    bytes.drain(at..end);
                }
                4 => bytes.extend_from_slice(&clean[at.min(clean.len() - 1)..]),
                _ => bytes.splice(at..at, b"2026-03-02T07:41:10 99999999999999999999 -1e308".iter().copied()).for_each(drop),
            }
            if bytes.is_empty() {
                break;
            }
        }
        if let Ok(got) = read(&bytes, "damaged.csv", &options()) {
            for trace in got.run.traces.values() {
                assert!(trace.time.windows(2).all(|pair| pair[0] < pair[1]));
                assert!(trace.value.iter().chain(&trace.time).all(|value| value.is_finite()));
                assert_eq!(trace.time.len(), trace.value.len());
            }
        }
    }
}
