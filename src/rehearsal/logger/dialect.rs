//! How a log is spelled: delimiter, decimal mark, units, headings, clock.

use super::Column;
use crate::channel::Channel;
use crate::rehearsal::scenario::Scenario;
use chrono::{NaiveDateTime, TimeDelta};
use serde::Serialize;

/// How columns are named. All are our own spellings of the names in SAE J1979.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Headings {
    /// "Engine coolant temperature (°C)".
    Full,
    /// `ECT [degC]`.
    Short,
    /// "COOLANT_TEMPERATURE", no units.
    Bare,
    /// "engine coolant temperature" and a second row of units.
    UnitRow,
}

/// How the time is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Clock {
    /// Seconds from the first row, three decimals.
    Elapsed,
    /// Whole milliseconds from the first row.
    Milliseconds,
    /// Time of day, hh:mm:ss.mmm.
    OfDay,
    /// Date and time, ISO 8601 with milliseconds.
    Iso,
    /// Whole seconds since the engine fired, shared by several rows.
    WholeRunTime,
}

/// The spelling of a log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Dialect {
    /// Between fields: `,` `;` or a tab.
    pub delimiter: char,
    /// Comma as the decimal mark (with a comma as delimiter, numbers stand in quotes).
    pub decimal_comma: bool,
    /// Temperatures in °F, road speed in mph, pressures in psi.
    pub customary: bool,
    /// Column names.
    pub headings: Headings,
    /// Time column.
    pub clock: Clock,
    /// Lines end in CR LF.
    pub crlf: bool,
    /// The file begins with a byte-order mark.
    pub mark: bool,
    /// Each row ends in one more delimiter.
    pub trailing: bool,
}

impl Default for Dialect {
    fn default() -> Self {
        Self {
            delimiter: ',',
            decimal_comma: false,
            customary: false,
            headings: Headings::Full,
            clock: Clock::Elapsed,
            crlf: false,
            mark: false,
            trailing: false,
        }
    }
}

/// Full, short and bare name of a channel.
fn names(channel: Channel) -> [&'static str; 3] {
    match channel {
        Channel::CoolantTemperature => ["Engine coolant temperature", "ECT", "COOLANT_TEMPERATURE"],
        Channel::CoolantTemperature2 => ["Engine coolant temperature 2", "ECT2", "COOLANT_TEMPERATURE_2"],
        Channel::EngineSpeed => ["Engine speed", "RPM", "ENGINE_SPEED"],
        Channel::VehicleSpeed => ["Vehicle speed", "VSS", "VEHICLE_SPEED"],
        Channel::EngineLoad => ["Calculated engine load", "LOAD", "ENGINE_LOAD"],
        Channel::ManifoldPressure => ["Intake manifold absolute pressure", "MAP", "INTAKE_MANIFOLD_PRESSURE"],
        Channel::AirFlow => ["Mass air flow rate", "MAF", "MASS_AIR_FLOW"],
        Channel::FuelRate => ["Engine fuel rate", "FUEL", "FUEL_RATE"],
        Channel::IntakeAirTemperature => ["Intake air temperature", "IAT", "INTAKE_AIR_TEMPERATURE"],
        Channel::AmbientTemperature => ["Ambient air temperature", "AAT", "AMBIENT_AIR_TEMPERATURE"],
        Channel::OilTemperature => ["Engine oil temperature", "EOT", "OIL_TEMPERATURE"],
        Channel::BarometricPressure => ["Barometric pressure", "BARO", "BAROMETRIC_PRESSURE"],
        Channel::ModuleVoltage => ["Control module voltage", "VPWR", "MODULE_VOLTAGE"],
        Channel::RunTime => ["Run time since engine start", "RUNTM", "RUN_TIME"],
        Channel::HeaterOutletTemperature => ["Heater outlet temperature", "HEATER OUTLET TEMP", "HEATER_OUTLET_TEMPERATURE"],
        Channel::RadiatorOutletTemperature => ["Radiator outlet temperature", "RADIATOR OUTLET TEMP", "RADIATOR_OUTLET_TEMPERATURE"],
        Channel::SystemPressure => ["Cooling system pressure", "COOLING SYSTEM PRESSURE", "COOLING_SYSTEM_PRESSURE"],
        Channel::ReservoirLevel => ["Reservoir level", "RESERVOIR LEVEL", "RESERVOIR_LEVEL"],
    }
}

/// Written unit, and factor and constant that lead to it from the channel's own.
fn unit(channel: Channel, customary: bool) -> (&'static str, f64, f64) {
    match (channel.unit(), customary) {
        ("", _) => ("mL", 1.0, 0.0),
        ("°C", true) => ("°F", 1.8, 32.0),
        ("km/h", true) => ("mph", 1.0 / 1.609_344, 0.0),
        ("kPa", true) => ("psi", 1.0 / 6.894_757, 0.0),
        (own, _) => (own, 1.0, 0.0),
    }
}

/// Puts rows into text.
pub struct Writer {
    dialect: Dialect,
    columns: Vec<Column>,
    started: Option<NaiveDateTime>,
    fires_at: f64,
    text: String,
}

impl Writer {
    /// Begins with the heading.
    pub fn new(scenario: &Scenario, columns: &[Column]) -> Self {
        let dialect = scenario.logger.dialect;
        let mut writer = Self {
            dialect,
            columns: columns.to_vec(),
            started: scenario.started.parse().ok(),
            fires_at: scenario.drive.fires_after.round() - scenario.drive.log_begins.clamp(0.0, 1e6).round(),
            text: String::new(),
        };
        if dialect.mark {
            writer.text.push('\u{feff}');
        }
        let time = match (dialect.clock, dialect.headings) {
            (Clock::Elapsed, Headings::Full | Headings::Short) => "Time (s)",
            (Clock::Milliseconds, Headings::Full | Headings::Short) => "Time (ms)",
            (Clock::WholeRunTime, _) => "ENGINE_RUN_TIME",
            (Clock::Milliseconds, _) => "time ms",
            _ => "Time",
        };
        let mut heading = vec![time.to_owned()];
        let mut units = vec![if dialect.clock == Clock::Elapsed { "s" } else { "" }.to_owned()];
        for column in columns {
            let [full, short, bare] = names(column.channel);
            let (unit, _, _) = unit(column.channel, dialect.customary);
            let plain = match unit {
                "°C" => "degC",
                "°F" => "degF",
                other => other,
            };
            heading.push(match dialect.headings {
                Headings::Full => format!("{full} ({unit})"),
                Headings::Short => format!("{short} [{plain}]"),
                Headings::Bare => bare.to_owned(),
                Headings::UnitRow => full.to_lowercase(),
            });
            units.push(unit.to_owned());
        }
        writer.line(&heading);
        if dialect.headings == Headings::UnitRow {
            writer.line(&units);
        }
        writer
    }

    /// One row: seconds from the first row, and a value for each column.
    pub fn row(&mut self, elapsed: f64, values: &[Option<f64>]) {
        let milliseconds = (elapsed * 1000.0).round() as i64;
        let moment = self.started.and_then(|started| started.checked_add_signed(TimeDelta::milliseconds(milliseconds)));
        let time = match (self.dialect.clock, moment) {
            (Clock::Milliseconds, _) => milliseconds.to_string(),
            (Clock::OfDay, Some(moment)) => moment.format("%H:%M:%S%.3f").to_string(),
            (Clock::Iso, Some(moment)) => moment.format("%Y-%m-%dT%H:%M:%S%.3f").to_string(),
            (Clock::WholeRunTime, _) => self.number((elapsed - self.fires_at).floor().max(0.0), 0),
            _ => self.number(elapsed, 3),
        };
        let mut fields = vec![time];
        for (column, value) in self.columns.iter().zip(values) {
            let (_, factor, constant) = unit(column.channel, self.dialect.customary);
            let decimals = if factor == 1.0 { column.decimals } else { column.decimals.max(1) };
            fields.push(value.map_or(String::new(), |value| self.number(value * factor + constant, decimals)));
        }
        self.line(&fields);
    }

    fn number(&self, value: f64, decimals: usize) -> String {
        let mut text = format!("{value:.decimals$}");
        // Minus zero would be written with its sign.
        if text.starts_with('-') && text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.')) {
            text.remove(0);
        }
        if self.dialect.decimal_comma { text.replace('.', ",") } else { text }
    }

    fn line(&mut self, fields: &[String]) {
        for (index, field) in fields.iter().enumerate() {
            if index > 0 {
                self.text.push(self.dialect.delimiter);
            }
            if field.contains(self.dialect.delimiter) {
                self.text.push('"');
                self.text += field;
                self.text.push('"');
            } else {
                self.text += field;
            }
        }
        if self.dialect.trailing {
            self.text.push(self.dialect.delimiter);
        }
        self.text += if self.dialect.crlf { "\r\n" } else { "\n" };
    }

    /// The bytes.
    pub fn finish(self) -> Vec<u8> {
        self.text.into_bytes()
    }
}
