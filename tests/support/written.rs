//! A made run, written in any dialect that recorders use: what the properties read back.
//!
//! `rehearsal::logger` spells logs as its recorders do; this writer adds what only some recorders do (quotation marks, units after the
//! values, long tables, dates in every order, encodings, packing, codes for "no reading"). It writes by what `docs/log-format.md` says.

use crate::encodings::encoded;
use std::io::Write as _;
use wellbled::channel::Channel;

/// Readings on one clock.
#[derive(Clone, Debug)]
pub struct Made {
    /// Seconds between rows: a multiple of a quarter.
    pub period: f64,
    /// The channels, the coolant's first, each with its readings.
    pub channels: Vec<(Channel, Vec<f64>)>,
    /// Rows in which the coolant's cell holds this instead of a reading.
    pub missing: Vec<(usize, &'static str)>,
}

/// Where units stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    Heading,
    Row,
    AfterValue,
}

/// How the clock is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    Seconds,
    Milliseconds,
    Minutes,
    OfDay,
    Iso,
    IsoZone,
    Compact,
    DayFirst,
    MonthFirst,
    Dots,
    Named,
    HalfDays,
    UnixSeconds,
    UnixMilliseconds,
    UnixMicroseconds,
    None,
}

/// Every clock.
pub const CLOCKS: [Clock; 16] = [
    Clock::Seconds,
    Clock::Milliseconds,
    Clock::Minutes,
    Clock::OfDay,
    Clock::Iso,
    Clock::IsoZone,
    Clock::Compact,
    Clock::DayFirst,
    Clock::MonthFirst,
    Clock::Dots,
    Clock::Named,
    Clock::HalfDays,
    Clock::UnixSeconds,
    Clock::UnixMilliseconds,
    Clock::UnixMicroseconds,
    Clock::None,
];

/// How a run is written.
#[derive(Clone, Debug)]
pub struct Dialect {
    pub delimiter: char,
    pub decimal_comma: bool,
    pub quotes: bool,
    pub units: Units,
    pub customary: bool,
    pub clock: Clock,
    /// Moment of the first row, in seconds of the 13th of March 2026.
    pub start: f64,
    pub long: bool,
    pub encoding: &'static str,
    pub packed: bool,
    pub line_end: &'static str,
    pub preamble: bool,
    pub trailing: bool,
}

/// Heading, unit and decimals of a channel, and what leads to that unit from the channel's own.
fn spelled(channel: Channel, customary: bool) -> (&'static str, &'static str, usize, f64, f64) {
    let (name, unit, decimals) = match channel {
        Channel::CoolantTemperature => ("Engine coolant temperature", "°C", 0),
        Channel::EngineSpeed => ("Engine speed", "rpm", 2),
        Channel::VehicleSpeed => ("Vehicle speed", "km/h", 0),
        Channel::IntakeAirTemperature => ("Intake air temperature", "°C", 0),
        Channel::ManifoldPressure => ("Intake manifold pressure", "kPa", 0),
        Channel::FuelRate => ("Engine fuel rate", "L/h", 2),
        Channel::ModuleVoltage => ("Control module voltage", "V", 2),
        other => panic!("{other:?} is not written here"),
    };
    match (unit, customary) {
        ("°C", true) => (name, "°F", 1, 1.8, 32.0),
        ("km/h", true) => (name, "mph", 4, 1.0 / 1.609_344, 0.0),
        ("kPa", true) => (name, "psi", 4, 1.0 / 6.894_757, 0.0),
        _ => (name, unit, decimals, 1.0, 0.0),
    }
}

impl Dialect {
    fn number(&self, value: f64, decimals: usize) -> String {
        let text = format!("{value:.decimals$}");
        if self.decimal_comma { text.replace('.', ",") } else { text }
    }

    /// The clock's cell of the row at so many seconds from the first one.
    fn time(&self, elapsed: f64) -> String {
        let moment = self.start + elapsed;
        let (day, second) = (13 + (moment / 86_400.0) as u32, moment % 86_400.0);
        let (hour, minute, second) = ((second / 3600.0) as u32, (second / 60.0) as u32 % 60, second % 60.0);
        let clock = format!("{hour:02}:{minute:02}:{second:05.2}");
        let unix = 1_773_360_000.0 + moment;
        match self.clock {
            Clock::Seconds => self.number(elapsed, 2),
            Clock::Milliseconds => format!("{:.0}", elapsed * 1000.0),
            Clock::Minutes => self.number(elapsed / 60.0, 6),
            Clock::OfDay => clock,
            Clock::Iso => format!("2026-03-{day}T{clock}"),
            Clock::IsoZone => format!("2026-03-{day}T{clock}+01:00"),
            Clock::Compact => format!("202603{day}T{hour:02}{minute:02}{second:05.2}"),
            Clock::DayFirst => format!("{day}/03/2026 {clock}"),
            Clock::MonthFirst => format!("03/{day}/2026 {clock}"),
            Clock::Dots => format!("{day}.03.2026 {clock}"),
            Clock::Named => format!("{day} Mar 2026 {clock}"),
            Clock::HalfDays => {
                let half = if hour < 12 { "AM" } else { "PM" };
                format!("03/{day}/2026 {}:{minute:02}:{second:05.2} {half}", (hour + 11) % 12 + 1)
            }
            Clock::UnixSeconds => self.number(unix, 2),
            Clock::UnixMilliseconds => format!("{:.0}", unix * 1e3),
            Clock::UnixMicroseconds => format!("{:.0}", unix * 1e6),
            Clock::None => String::new(),
        }
    }

    fn time_heading(&self) -> (&'static str, &'static str) {
        match self.clock {
            Clock::Seconds => ("Time", "s"),
            Clock::Milliseconds => ("Time", "ms"),
            Clock::Minutes => ("Time", "min"),
            _ => ("Timestamp", ""),
        }
    }

    fn line(&self, cells: &[String]) -> String {
        let cell = |cell: &String| {
            let must = cell.contains([self.delimiter, '"']);
            if must || self.quotes { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell.clone() }
        };
        let trailing = if self.trailing { self.delimiter.to_string() } else { String::new() };
        cells.iter().map(cell).collect::<Vec<_>>().join(&self.delimiter.to_string()) + &trailing + self.line_end
    }

    /// The bytes of a log.
    pub fn write(&self, made: &Made) -> Vec<u8> {
        let mut text = String::new();
        if self.preamble {
            text += &format!("Recorder 7{end}the yard's own, \"blue\"{end}{end}", end = self.line_end);
        }
        text += &if self.long { self.long(made) } else { self.wide(made) };
        self.packed(encoded(&text, self.encoding))
    }

    fn wide(&self, made: &Made) -> String {
        let clocked = self.clock != Clock::None;
        let (time, time_unit) = self.time_heading();
        let name = |name: &str, unit: &str| {
            if self.units == Units::Heading && !unit.is_empty() { format!("{name} ({unit})") } else { name.to_owned() }
        };
        let spelled: Vec<_> = made.channels.iter().map(|(channel, _)| spelled(*channel, self.customary)).collect();
        // A unit after each of the clock's numbers is nothing that recorders do: its heading has it.
        let clock_name =
            if self.units == Units::AfterValue && !time_unit.is_empty() { format!("{time} ({time_unit})") } else { name(time, time_unit) };
        let mut heading: Vec<String> = clocked.then_some(clock_name).into_iter().collect();
        heading.extend(spelled.iter().map(|(full, unit, ..)| name(full, unit)));
        let mut text = self.line(&heading);
        if self.units == Units::Row {
            let mut units: Vec<String> = clocked.then(|| time_unit.to_owned()).into_iter().collect();
            units.extend(spelled.iter().map(|(_, unit, ..)| (*unit).to_owned()));
            text += &self.line(&units);
        }
        for row in 0..made.channels[0].1.len() {
            let mut cells: Vec<String> = clocked.then(|| self.time(row as f64 * made.period)).into_iter().collect();
            cells.extend((0..made.channels.len()).map(|column| self.value(made, column, row, self.units == Units::AfterValue)));
            text += &self.line(&cells);
        }
        text
    }

    fn long(&self, made: &Made) -> String {
        let (time, time_unit) = self.time_heading();
        let time = if time_unit.is_empty() { time.to_owned() } else { format!("{time} ({time_unit})") };
        let mut text = self.line(&[time, "signal".to_owned(), "value".to_owned(), "unit".to_owned()]);
        for row in 0..made.channels[0].1.len() {
            for (column, (channel, _)) in made.channels.iter().enumerate() {
                let (name, unit, ..) = spelled(*channel, self.customary);
                text += &self.line(&[
                    self.time(row as f64 * made.period),
                    name.to_owned(),
                    self.value(made, column, row, false),
                    unit.to_owned(),
                ]);
            }
        }
        text
    }

    fn value(&self, made: &Made, column: usize, row: usize, with_unit: bool) -> String {
        let (channel, readings) = &made.channels[column];
        let (_, unit, decimals, factor, offset) = spelled(*channel, self.customary);
        match made.missing.iter().find(|(at, _)| column == 0 && *at == row) {
            Some((_, code)) => match code.parse::<f64>() {
                Ok(celsius) => self.number(celsius * factor + offset, decimals),
                Err(_) => (*code).to_owned(),
            },
            None if with_unit => format!("{} {unit}", self.number(readings[row] * factor + offset, decimals)),
            None => self.number(readings[row] * factor + offset, decimals),
        }
    }

    fn packed(&self, bytes: Vec<u8>) -> Vec<u8> {
        if !self.packed {
            return bytes;
        }
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        packer.write_all(&bytes).and_then(|()| packer.try_finish()).expect("memory can be written");
        packer.finish().expect("memory can be written")
    }
}
