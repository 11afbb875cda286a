//! One small invented log, written in every dialect that recorders use, reads back to the same traces.
//!
//! The log: a shop's van warms up from 20 °C to 88 °C in ten minutes, a row every half second, then holds. Whole degrees,
//! quarter revolutions. Nothing in it is real.

#[path = "support/encodings.rs"]
mod encodings;

use encodings::{ENCODINGS, encoded};
use std::fmt::Write as _;
use std::io::Write as _;
use wellbled::channel::Channel;
use wellbled::ingest::{Ingested, Layout, Options, read};
use wellbled::run::DefectKind;

const ROWS: usize = 1500;
const PERIOD: f64 = 0.5;

fn coolant(row: usize) -> f64 {
    (20.0 + 68.0 * (row as f64 / 1200.0).min(1.0)).floor()
}

fn engine_speed(row: usize) -> f64 {
    850.0 + 0.25 * ((row * 37) % 200) as f64
}

fn vehicle_speed(row: usize) -> f64 {
    if row < 200 { 0.0 } else { ((row / 10) % 60) as f64 }
}

fn intake(row: usize) -> f64 {
    18.0 + (row / 500) as f64
}

/// A wide log: heading rows as given, then `time(row)` and the four channels.
fn wide(heading: &str, delimiter: char, time: impl Fn(usize) -> String) -> String {
    let mut text = format!("{heading}\n");
    for row in 0..ROWS {
        let cells =
            [time(row), coolant(row).to_string(), engine_speed(row).to_string(), vehicle_speed(row).to_string(), intake(row).to_string()];
        writeln!(text, "{}", cells.join(&delimiter.to_string())).unwrap();
    }
    text
}

fn elapsed(row: usize) -> String {
    format!("{:.1}", row as f64 * PERIOD)
}

fn clock_time(row: usize, start: f64) -> String {
    let second = (start + row as f64 * PERIOD) % 86_400.0;
    format!("{:02}:{:02}:{:04.1}", (second / 3600.0) as u32, (second / 60.0) as u32 % 60, second % 60.0)
}

const HEADING: &str = "Time (s),Engine coolant temperature (°C),Engine speed (rpm),Vehicle speed (km/h),Intake air temperature (°C)";

fn plain() -> String {
    wide(HEADING, ',', elapsed)
}

fn read_text(text: &str) -> Ingested {
    read(text.as_bytes(), "van.csv", &Options::default())
        .unwrap_or_else(|error| panic!("{error}\n{}", text.lines().take(3).collect::<Vec<_>>().join("\n")))
}

/// The traces are those of the log; `tolerance` is what the dialect's rounding costs, in the channel's unit and in seconds.
fn holds_the_log(got: &Ingested, what: &str, tolerance: f64) {
    for (channel, truth) in [
        (Channel::CoolantTemperature, coolant as fn(usize) -> f64),
        (Channel::EngineSpeed, engine_speed),
        (Channel::VehicleSpeed, vehicle_speed),
        (Channel::IntakeAirTemperature, intake),
    ] {
        let trace = got.run.trace(channel).unwrap_or_else(|| panic!("{what}: no {}", channel.spoken()));
        assert_eq!(trace.len(), ROWS, "{what}: {}", channel.spoken());
        for (row, (time, value)) in trace.iter().enumerate() {
            assert!((time - row as f64 * PERIOD).abs() <= tolerance, "{what}: row {row} at {time} s");
            assert!(
                (value - truth(row)).abs() <= tolerance.max(1e-6),
                "{what}: {} is {value} in row {row}, not {}",
                channel.spoken(),
                truth(row)
            );
        }
    }
}

/// Rounding of the printed time to a tenth of a second leaves nothing; floats leave 1e-6.
const EXACT: f64 = 1e-6;

#[test]
fn delimiters_and_decimal_marks() {
    for delimiter in [',', ';', '\t', '|'] {
        let heading = HEADING.replace(',', &delimiter.to_string());
        holds_the_log(&read_text(&wide(&heading, delimiter, elapsed)), &format!("delimiter {delimiter:?}"), EXACT);
        if delimiter != ',' {
            let comma = wide(&heading, delimiter, elapsed).replace('.', ",");
            let got = read_text(&comma);
            assert!(got.understanding.decimal_comma);
            holds_the_log(&got, &format!("decimal comma, delimiter {delimiter:?}"), EXACT);
        }
    }
    let quoted: String = plain()
        .lines()
        .map(|line| line.split(',').map(|cell| format!("\"{}\"", cell.replace('.', ","))).collect::<Vec<_>>().join(",") + "\n")
        .collect();
    holds_the_log(&read_text(&quoted), "quoted decimal commas between commas", EXACT);
}

#[test]
fn thousands_are_told_from_decimals() {
    // 1.200 is twelve hundred where decimals have a comma, and one and a fifth where they have a point.
    let speed = |row: usize, mark: char| format!("1{mark}{}", 200 + row % 300);
    let german = |row: usize| format!("{row};{},5;{}\n", 20 + row / 20, speed(row, '.'));
    let text = format!("Zeit (s);Kühlmitteltemperatur (°C);Drehzahl (1/min)\n{}", (0..900).map(german).collect::<String>());
    assert_eq!(read_text(&text).run.trace(Channel::EngineSpeed).unwrap().at(10.0), Some(1210.0));
    let english = |row: usize| format!("{row};{}.5;\"{}\"\n", 20 + row / 20, speed(row, ','));
    let text = format!("time (s);coolant temperature (°C);engine speed (rpm)\n{}", (0..900).map(english).collect::<String>());
    assert_eq!(read_text(&text).run.trace(Channel::EngineSpeed).unwrap().at(10.0), Some(1210.0));
}

#[test]
fn line_ends_and_encodings() {
    let text = plain();
    for end in ["\r\n", "\r", "\n\n", "\r\n\r\n"] {
        holds_the_log(&read_text(&text.replace('\n', end)), &format!("line end {end:?}"), EXACT);
    }
    for name in ENCODINGS {
        let got = read(&encoded(&text, name), "van.csv", &Options::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(got.understanding.encoding, name);
        holds_the_log(&got, name, EXACT);
    }
}

#[test]
fn compressed() {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    packer.write_all(plain().as_bytes()).unwrap();
    let packed = packer.finish().unwrap();
    let got = read(&packed, "van.csv.gz", &Options::default()).unwrap();
    assert!(got.understanding.compressed);
    holds_the_log(&got, "gzip", EXACT);
    // Cut off in the middle: what came before is read, and the report says so.
    let half = read(&packed[..packed.len() / 2], "van.csv.gz", &Options::default()).unwrap();
    assert!(half.run.samples < ROWS && half.run.defects.iter().any(|defect| defect.kind == DefectKind::CutOffRow));
}

#[test]
fn preamble_second_heading_row_and_trailing_delimiter() {
    let text = plain();
    let preamble = format!("Recorder 7\nVehicle: the shop's van, blue\nStarted 2026-03-02, 07:41\n\n{text}");
    let got = read_text(&preamble);
    assert_eq!((got.understanding.preamble_lines, got.understanding.heading_line), (3, 5));
    holds_the_log(&got, "preamble", EXACT);

    let bare = "Time,Engine coolant temperature,Engine speed,Vehicle speed,Intake air temperature";
    for (below, what) in [
        ("s,°C,1/min,km/h,°C", "row of units"),
        ("[s],[degC],[rpm],[kph],[degC]", "row of units in brackets"),
        ("-,05,0C,0D,0F", "row of identifiers"),
    ] {
        let got = read_text(&wide(&format!("{bare}\n{below}"), ',', elapsed));
        assert_eq!(got.understanding.second_heading_line, Some(2), "{what}");
        holds_the_log(&got, what, EXACT);
    }
    let trailing: String =
        text.lines().enumerate().map(|(line, row)| if line == 0 { format!("{row}\n") } else { format!("{row},\n") }).collect();
    holds_the_log(&read_text(&trailing), "trailing delimiter below the heading", EXACT);
    holds_the_log(&read_text(&text.replace('\n', ",\n")), "trailing delimiter everywhere", EXACT);
    holds_the_log(&read_text(&format!("sep=;\n{}", text.replace(',', ";"))), "a line that names the delimiter", EXACT);
}

#[test]
fn clocks() {
    let start = 7.0 * 3600.0 + 41.0 * 60.0 + 10.0;
    let date_and_time = move |row: usize, pattern: &str| {
        let second = start + row as f64 * PERIOD;
        pattern
            .replace("hh", &format!("{:02}", (second / 3600.0) as u32))
            .replace("mm", &format!("{:02}", (second / 60.0) as u32 % 60))
            .replace("ss", &format!("{:04.1}", second % 60.0))
    };
    let unix = |row: usize| 1_772_437_270.0 + row as f64 * PERIOD;
    let with = |name: &str| HEADING.replace("Time (s)", name);
    type Case = (&'static str, &'static str, Box<dyn Fn(usize) -> String>, f64);
    let cases: Vec<Case> = vec![
        ("seconds", "Time (s)", Box::new(elapsed), EXACT),
        ("milliseconds", "Time (ms)", Box::new(|row| format!("{}", row * 500)), EXACT),
        ("milliseconds, not said", "Time", Box::new(|row| format!("{}", row * 500)), EXACT),
        ("minutes", "Time (min)", Box::new(|row| format!("{:.6}", row as f64 / 120.0)), 1e-4),
        ("minutes, named only", "Minutes", Box::new(|row| format!("{:.6}", row as f64 / 120.0)), 1e-4),
        ("a spreadsheet's days", "Date", Box::new(|row| format!("{:.9}", 46_083.3 + row as f64 * PERIOD / 86_400.0)), 1e-4),
        ("clock time", "Time", Box::new(move |row| clock_time(row, start)), EXACT),
        ("clock time over midnight", "Time", Box::new(|row| clock_time(row, 86_300.0)), EXACT),
        ("unpadded", "Time", Box::new(move |row| clock_time(row, start).trim_start_matches('0').to_owned()), EXACT),
        ("minutes and seconds", "Time", Box::new(|row| format!("{:02}:{:04.1}", row / 120, (row % 120) as f64 * PERIOD)), EXACT),
        ("ISO 8601", "Timestamp", Box::new(move |row| date_and_time(row, "2026-03-02Thh:mm:ss")), EXACT),
        ("ISO 8601 with zone", "Timestamp", Box::new(move |row| date_and_time(row, "2026-03-02Thh:mm:ss+01:00")), EXACT),
        ("day first", "Timestamp", Box::new(move |row| date_and_time(row, "13/03/2026 hh:mm:ss")), EXACT),
        ("month first", "Timestamp", Box::new(move |row| date_and_time(row, "03/13/2026 hh:mm:ss")), EXACT),
        ("day or month, one day only", "Timestamp", Box::new(move |row| date_and_time(row, "03/02/2026 hh:mm:ss")), EXACT),
        ("Unix seconds", "Timestamp", Box::new(move |row| format!("{:.1}", unix(row))), EXACT),
        ("Unix milliseconds", "Timestamp", Box::new(move |row| format!("{:.0}", unix(row) * 1e3)), EXACT),
        ("Unix microseconds", "Timestamp", Box::new(move |row| format!("{:.0}", unix(row) * 1e6)), EXACT),
        // Two rows share each second: the rule spreads them evenly, and lays the first row half a second before the second stamp.
        ("whole seconds", "Time", Box::new(move |row| clock_time(row, start)[..8].to_owned()), EXACT),
    ];
    for (what, name, time, tolerance) in &cases {
        let got = read_text(&wide(&with(name), ',', time));
        holds_the_log(&got, what, *tolerance);
        let started = got.run.started.map(|at| at.date().to_string());
        match *what {
            "ISO 8601" | "ISO 8601 with zone" => assert_eq!(started.as_deref(), Some("2026-03-02"), "{what}"),
            "day first" | "month first" => assert_eq!(started.as_deref(), Some("2026-03-13"), "{what}"),
            "Unix seconds" | "Unix milliseconds" | "Unix microseconds" | "a spreadsheet's days" => {
                assert_eq!(started.as_deref(), Some("2026-03-02"), "{what}")
            }
            _ => assert_eq!(started, None, "{what}"),
        }
    }
    let without =
        wide("Engine coolant temperature (°C),Engine speed (rpm),Vehicle speed (km/h),Intake air temperature (°C)", ',', |_| {
            String::new()
        })
        .replace("\n,", "\n");
    let got = read(without.as_bytes(), "van.csv", &Options { period: Some(PERIOD), ..Options::default() }).unwrap();
    holds_the_log(&got, "no clock, a period", EXACT);
    let two = wide(&with("Date,Time"), ',', |row| format!("02.03.2026,{}", clock_time(row, start)));
    let got = read_text(&two);
    assert_eq!(got.run.started.map(|at| at.to_string()).as_deref(), Some("2026-03-02 07:41:10"));
    holds_the_log(&got, "date and time in two columns", EXACT);
}

/// The recorder was switched on long before the engine: the run time, which is the log's only clock, stands at 0 for 400 rows.
#[test]
fn a_run_time_that_stands_until_the_engine_fires_is_a_clock() {
    let heading = HEADING.replace("Time (s)", "ENGINE_RUN_TIME");
    let got = read_text(&wide(&heading, ',', |row| (row.saturating_sub(400) / 2).to_string()));
    let clock = got.run.trace(Channel::CoolantTemperature).expect("the coolant is read");
    assert_eq!(clock.len(), ROWS);
    let last = clock.time.last().copied().unwrap_or_default();
    // Before it fires the rows can only be spread; after that they are half a second apart.
    assert!(last >= (ROWS - 401) as f64 * PERIOD, "{last}");
}

#[test]
fn units() {
    let imperial = |heading: &str, with_unit: bool| {
        let mut text = format!("{heading}\n");
        for row in 0..ROWS {
            let (f, mph) = (|celsius: f64| celsius * 1.8 + 32.0, |kmh: f64| kmh / 1.609_344);
            let unit = |text: &'static str| if with_unit { text } else { "" };
            writeln!(
                text,
                "{},{:.1}{},{},{:.4}{},{:.1}{}",
                elapsed(row),
                f(coolant(row)),
                unit(" degF"),
                engine_speed(row),
                mph(vehicle_speed(row)),
                unit(" mph"),
                f(intake(row)),
                unit(" degF")
            )
            .unwrap();
        }
        text
    };
    let stated = "Time (s),Coolant temp (°F),Engine RPM,Speed (mph),Intake temp (deg F)";
    let bare = "Time (s),Coolant temp,Engine RPM,Speed,Intake temp";
    // Four decimals of a mile an hour are 1e-4 km/h.
    holds_the_log(&read_text(&imperial(stated, false)), "Fahrenheit stated in the heading", 2e-4);
    holds_the_log(&read_text(&imperial(bare, true)), "Fahrenheit stated after each value", 2e-4);
    let got = read_text(&imperial(bare, false));
    holds_the_log(&got, "Fahrenheit not stated", 2e-4);
    let inferred = got
        .run
        .defects
        .iter()
        .find(|defect| defect.kind == DefectKind::UnitInferred && defect.channel == Some(Channel::CoolantTemperature));
    assert_eq!(
        inferred.map(|defect| defect.effect.as_str()),
        Some("no unit stated; taken as °F: it reaches 190, which no coolant does in °C")
    );
    let words: String = plain()
        .replace(HEADING, bare)
        .lines()
        .enumerate()
        .map(|(line, row)| {
            let cells: Vec<&str> = row.split(',').collect();
            if line == 0 {
                format!("{row}\n")
            } else {
                format!("{},{} degree_Celsius,{} rpm,{} km/h,{} degree_Celsius\n", cells[0], cells[1], cells[2], cells[3], cells[4])
            }
        })
        .collect();
    holds_the_log(&read_text(&words), "unit words after the numbers", EXACT);
}

#[test]
fn headings_in_other_words() {
    for heading in [
        "time,ECT,RPM,VSS,IAT",
        "Zeit (s),Kühlmitteltemperatur (°C),Motordrehzahl (1/min),Fahrzeuggeschwindigkeit (km/h),Ansauglufttemperatur (°C)",
        "Temps (s),Température liquide de refroidissement (°C),Régime moteur (tr/min),Vitesse véhicule (km/h),Température air admission (°C)",
        "Tiempo (s),Temperatura del refrigerante (°C),Régimen del motor (rpm),Velocidad del vehículo (km/h),Temperatura aire admisión (°C)",
        "elapsed_s,coolantTemp,engineSpeed,vehicleSpeed,intakeTemp",
        "TIME,COOLENT_TEMPRATURE (),ENGIN_RPM (),VEHICEL_SPEED (),INTAKE_AIR_TEMP ()",
        "Time,PID 05,PID 0C,PID 0D,PID 0F",
        "Time,0105,010C,010D,010F",
    ] {
        holds_the_log(&read_text(&wide(heading, ',', elapsed)), heading, EXACT);
    }
    let text = wide("Time (s),temp 1,Engine speed,Speed,Intake temp", ',', elapsed);
    let options = Options { columns: vec![(Channel::CoolantTemperature, "temp 1".into())], ..Options::default() };
    holds_the_log(&read(text.as_bytes(), "van.csv", &options).unwrap(), "a column named by the person", EXACT);
}

#[test]
fn sparse_and_long_tables() {
    let mut sparse = format!("{HEADING}\n");
    let mut long = String::from("time (s),signal,value,unit\n");
    for row in 0..ROWS {
        for (place, (name, value, unit)) in [
            ("Engine coolant temperature", coolant(row), "°C"),
            ("Engine speed", engine_speed(row), "rpm"),
            ("Vehicle speed", vehicle_speed(row), "km/h"),
            ("Intake air temperature", intake(row), "°C"),
        ]
        .into_iter()
        .enumerate()
        {
            // Each channel answers a little later than the one before.
            let time = row as f64 * PERIOD + place as f64 * 0.01;
            let cells: Vec<String> = (0..4).map(|at| if at == place { value.to_string() } else { String::new() }).collect();
            writeln!(sparse, "{time:.2},{}", cells.join(",")).unwrap();
            writeln!(long, "{time:.2},{name},{value},{unit}").unwrap();
        }
    }
    let got = read_text(&sparse);
    assert_eq!(got.understanding.layout, Layout::SparseWide);
    holds_the_log(&got, "sparse", 0.03 + EXACT);
    let got = read_text(&long);
    assert_eq!(got.understanding.layout, Layout::Long);
    holds_the_log(&got, "long", 0.03 + EXACT);
    // Sorted by signal instead of by time: the clock goes back at each new signal, and nothing is wrong.
    let mut lines: Vec<&str> = long.lines().skip(1).collect();
    lines.sort_by_key(|line| line.split(',').nth(1).map(str::to_owned));
    let got = read_text(&format!("time (s),signal,value,unit\n{}\n", lines.join("\n")));
    holds_the_log(&got, "long, sorted by signal", 0.03 + EXACT);
    assert!(got.run.defects.iter().all(|defect| defect.kind != DefectKind::ClockBack));
}

/// Ten real warm-ups, read where `WELLBLED_REAL_LOGS` names their folder.
///
/// The hand labels give the knee's place twice: as a line of the file and as seconds from the first row by the rebuilt clock
/// (`knee_from_first_row_s`). A label's line is one that was read off by eye ("near"), its seconds are whole: 3 s cover both.
#[test]
fn real_warm_ups_keep_their_clock() {
    let Some(folder) = std::env::var_os("WELLBLED_REAL_LOGS") else {
        println!("WELLBLED_REAL_LOGS is not set: the real warm-ups were not read");
        return;
    };
    let folder = std::path::Path::new(&folder);
    let labels = std::fs::read_to_string(folder.join("labels.csv")).unwrap();
    let mut seen = 0;
    for label in labels.lines().skip(1) {
        let cells: Vec<&str> = label.splitn(16, ',').collect();
        let bytes = std::fs::read(folder.join(cells[1])).unwrap();
        let got = read(&bytes, cells[1], &Options::default()).unwrap_or_else(|error| panic!("{error}"));
        let coolant = got.run.trace(Channel::CoolantTemperature).unwrap();
        assert_eq!(coolant.step, 1.0, "{}", cells[1]);
        assert_eq!(coolant.value[0], cells[4].parse::<f64>().unwrap(), "{}: first reading", cells[1]);
        assert_eq!(coolant.len(), got.run.samples);
        assert!(got.run.gaps.is_empty(), "{}: {:?}", cells[1], got.run.gaps);
        for kind in [DefectKind::Duplicate, DefectKind::Jump, DefectKind::Sentinel, DefectKind::ClockBack] {
            assert!(got.run.defects.iter().all(|defect| defect.kind != kind), "{}: {:?}", cells[1], got.run.defects);
        }
        let spacing = got.run.duration / (got.run.samples - 1) as f64;
        assert!((spacing - 0.493).abs() < 0.003, "{}: a row every {spacing} s", cells[1]);
        if let Some((_, line)) = label.split_once("break near file line ") {
            let line: usize = line.chars().take_while(char::is_ascii_digit).collect::<String>().parse().unwrap();
            let labelled: f64 = cells[7].parse().unwrap();
            let rebuilt = coolant.time[line - 2];
            assert!((rebuilt - labelled).abs() <= 3.0, "{}: line {line} is at {rebuilt:.1} s, the label says {labelled} s", cells[1]);
            println!("{}: line {line} at {rebuilt:.1} s, label {labelled} s", cells[1]);
        }
        seen += 1;
    }
    assert_eq!(seen, 10);
}
