//! An hour's log of ordinary size: 2 rows a second, 27 columns, in every form that the import reads. Nothing in it is real.
//!
//! Thirteen columns come from a made run; fourteen more are what recorders write beside them and this program does not use (trims,
//! throttle, pedal, distances), so that a reader pays for them as it does in real files.

use std::io::Write;
use wellbled::rehearsal::scenario::{Clock, Drive, Road};
use wellbled::rehearsal::{Scenario, rehearse};

/// Columns of the wide forms.
pub const COLUMNS: usize = 27;

/// Rows of the wide forms: one hour at two a second, both ends counted.
#[allow(dead_code, reason = "not every bench counts them")]
pub const ROWS: usize = 7201;

/// A form of the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Commas, decimal points, seconds from the start.
    Comma,
    /// Semicolons, decimal commas, time of day.
    Semicolon,
    /// Tabs, ISO 8601 dates, °F and mph, CR LF.
    Tab,
    /// The first form in UTF-16, as spreadsheets save "Unicode text".
    Utf16,
    /// The first form, compressed.
    Gzip,
    /// A row a value: time, signal, value, unit.
    Long,
    /// Raw answers: time, identifier, bytes.
    Frames,
}

impl Form {
    /// Every form.
    #[allow(dead_code, reason = "one bench needs every form, another only one")]
    pub const ALL: [Form; 7] = [Form::Comma, Form::Semicolon, Form::Tab, Form::Utf16, Form::Gzip, Form::Long, Form::Frames];
}

/// Headings of the columns that nobody uses, with the range over which each wanders and its decimals.
const BESIDE: [(&str, f64, f64, usize); COLUMNS - 13] = [
    ("Short term fuel trim bank 1 (%)", -4.0, 6.0, 2),
    ("Long term fuel trim bank 1 (%)", -2.0, 3.0, 2),
    ("Absolute throttle position (%)", 12.0, 60.0, 2),
    ("Absolute throttle position B (%)", 40.0, 60.0, 2),
    ("Accelerator pedal position D (%)", 16.0, 60.0, 2),
    ("Accelerator pedal position E (%)", 8.0, 30.0, 2),
    ("Commanded throttle actuator (%)", 10.0, 60.0, 2),
    ("Commanded equivalence ratio", 0.97, 1.03, 4),
    ("Timing advance (°)", -5.0, 30.0, 1),
    ("Fuel level (%)", 41.0, 44.0, 1),
    ("Commanded evaporative purge (%)", 0.0, 30.0, 1),
    ("Catalyst temperature bank 1 (°C)", 200.0, 620.0, 1),
    ("Distance since codes cleared (km)", 5120.0, 5160.0, 0),
    ("Oxygen sensor 2 voltage (V)", 0.1, 0.9, 3),
];

/// Longest stretch that a made drive can have, in seconds.
const LONGEST_S: f64 = 36_000.0;

/// Some hours on mixed roads, from cold, with ten minutes of standing at the end. Ten hours of road are the most; what is longer stands, first
/// at the end and then at the start.
fn scenario(form: Form, hours: f64, row_rate: f64) -> Scenario {
    let mut scenario = Scenario::default();
    let driven = 3600.0 * hours - 666.0;
    let stands_more = (driven - LONGEST_S).max(0.0);
    let at_the_end = stands_more.min(LONGEST_S - 600.0);
    scenario.drive = Drive {
        road: Road::Mixed,
        fires_after: 6.0,
        idle_before: 60.0 + stands_more - at_the_end,
        moving: driven.min(LONGEST_S),
        idle_after: 600.0 + at_the_end,
        log_after_key_off: 0.0,
        ..scenario.drive
    };
    scenario.logger.row_rate = row_rate;
    let dialect = &mut scenario.logger.dialect;
    match form {
        Form::Semicolon => (dialect.delimiter, dialect.decimal_comma, dialect.clock) = (';', true, Clock::OfDay),
        Form::Tab => (dialect.delimiter, dialect.customary, dialect.clock, dialect.crlf) = ('\t', true, Clock::Iso, true),
        _ => {}
    }
    scenario
}

/// The hour's log in a form.
pub fn long_log(form: Form) -> Vec<u8> {
    made(form, 1.0, 2.0)
}

/// A log of so many hours and so many rows a second, in the first form.
#[allow(dead_code, reason = "only one bench asks for other lengths")]
pub fn hours(hours: f64, row_rate: f64) -> Vec<u8> {
    made(Form::Comma, hours, row_rate)
}

fn made(form: Form, hours: f64, row_rate: f64) -> Vec<u8> {
    let scenario = scenario(form, hours, row_rate);
    let dialect = scenario.logger.dialect;
    let made = String::from_utf8(rehearse(&scenario).log).expect("a made log is UTF-8");
    let mut wide = String::with_capacity(made.len() * 2);
    for (row, line) in made.lines().enumerate() {
        wide += line;
        for (column, &(heading, low, high, decimals)) in BESIDE.iter().enumerate() {
            wide.push(dialect.delimiter);
            if row == 0 {
                wide += heading;
                continue;
            }
            // Each column wanders at a pace of its own.
            let phase = row as f64 / (7.0 + 11.0 * column as f64);
            let value = format!("{:.decimals$}", low + (high - low) * (0.5 + 0.5 * phase.sin()));
            wide += &if dialect.decimal_comma { value.replace('.', ",") } else { value };
        }
        wide += if dialect.crlf { "\r\n" } else { "\n" };
    }
    match form {
        Form::Comma | Form::Semicolon | Form::Tab => wide.into_bytes(),
        Form::Utf16 => [0xff, 0xfe].into_iter().chain(wide.encode_utf16().flat_map(u16::to_le_bytes)).collect(),
        Form::Gzip => {
            let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
            packed.write_all(wide.as_bytes()).and_then(|()| packed.finish()).expect("memory does not fail")
        }
        Form::Long => long(&wide).into_bytes(),
        Form::Frames => frames(&wide).into_bytes(),
    }
}

/// Heading and rows of the wide comma form.
fn table(wide: &str) -> (Vec<&str>, impl Iterator<Item = Vec<&str>>) {
    let mut lines = wide.lines();
    (lines.next().unwrap_or_default().split(',').collect(), lines.map(|line| line.split(',').collect()))
}

/// A row a value.
fn long(wide: &str) -> String {
    let (headings, rows) = table(wide);
    let signals: Vec<(&str, &str)> = headings
        .iter()
        .map(|heading| heading.rsplit_once(" (").map_or((*heading, ""), |(name, unit)| (name, unit.trim_end_matches(')'))))
        .collect();
    let mut text = "time (s),signal,value,unit\n".to_owned();
    for cells in rows {
        for (cell, (name, unit)) in cells.iter().zip(&signals).skip(1) {
            text += &format!("{},{name},{cell},{unit}\n", cells[0]);
        }
    }
    text
}

/// One frame a value for five of the channels, as SAE J1979 scales them.
fn frames(wide: &str) -> String {
    let (headings, rows) = table(wide);
    let column = |name: &str| headings.iter().position(|heading| heading.starts_with(name)).expect("the made log has it");
    let [speed, road, load, coolant, air] =
        ["Engine speed", "Vehicle speed", "Calculated engine load", "Engine coolant", "Mass air flow"].map(column);
    let mut text = "time,id,bytes\n".to_owned();
    for cells in rows {
        let number = |column: usize| cells[column].parse::<f64>().expect("the made log holds numbers");
        let (rpm, grams) = ((number(speed) * 4.0).round() as u16, (number(air) * 100.0).round() as u16);
        for answer in [
            format!("04 41 0C {:02X} {:02X} 00 00 00", rpm >> 8, rpm & 255),
            format!("03 41 0D {:02X} 00 00 00 00", number(road).round() as u8),
            format!("03 41 04 {:02X} 00 00 00 00", (number(load) * 2.55).round() as u8),
            format!("03 41 05 {:02X} 00 00 00 00", (number(coolant) + 40.0).round() as u8),
            format!("04 41 10 {:02X} {:02X} 00 00 00", grams >> 8, grams & 255),
        ] {
            text += &format!("{},7E8,{answer}\n", cells[0]);
        }
    }
    text
}
