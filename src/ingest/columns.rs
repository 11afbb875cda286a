//! Which column is which channel.
//!
//! A heading's notions ([`words`]) are held against one rule a channel: what must be there, what must not, and how well that
//! then fits. A word that belongs to another part ("oil", "intake", "catalyst") rules the coolant out altogether, so no sum
//! of lesser hints can ever lift such a column above it. A parameter number of SAE J1979 counts where the words say nothing.
//! Two columns that fit equally well are an error, unless they hold the same readings.

use super::dialect::Dialect;
use super::error::{self, Problem};
use super::units::{self, Unit};
use super::words::{self, *};
use crate::channel::Channel;
use crate::excerpt::shorten;

/// A column as its heading rows describe it.
#[derive(Clone, Debug, Default)]
pub struct Heading<'a> {
    /// The name as it stands in the file.
    pub name: String,
    /// What the second heading row says, if there is one.
    pub below: &'a str,
    /// The unit stated in either, and its text.
    pub unit: Option<(&'static Unit, String)>,
    /// A stated unit that no channel is measured in.
    pub foreign: Option<String>,
    /// The name without its unit.
    pub bare: String,
}

/// How a heading fits a channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The channel.
    pub channel: Channel,
    /// How well: 100 is its full name.
    pub score: i32,
    /// Why, in words.
    pub why: String,
}

/// Every column's heading.
pub fn headings<'a>(dialect: &Dialect<'a>) -> Vec<Heading<'a>> {
    let below = |index: usize| dialect.below.as_ref().and_then(|(_, cells)| cells.get(index).copied()).unwrap_or_default();
    dialect.names.iter().enumerate().map(|(index, name)| heading(name, below(index))).collect()
}

/// Finds the unit in a heading and takes it out.
pub fn heading<'a>(name: &str, below: &'a str) -> Heading<'a> {
    let name = name.replace("\"\"", "\"");
    let mut found = Heading { bare: name.clone(), name, below, ..Heading::default() };
    let mut stated = None;
    if let Some((open, close)) = bracket(&found.name) {
        let inside = found.name.get(open + 1..close).unwrap_or_default().trim();
        let known = units::lookup(inside);
        if inside.is_empty() || known.is_some() || units::is_foreign(inside) {
            found.foreign = (known.is_none() && !inside.is_empty()).then(|| inside.to_owned());
            stated = known.map(|unit| (unit, inside.to_owned()));
            let after = found.name.get(close..).map_or("", |rest| rest.get(1..).unwrap_or_default());
            found.bare = format!("{} {after}", found.name.get(..open).unwrap_or_default());
        }
    }
    if stated.is_none() && found.foreign.is_none() {
        let cut = found.bare.trim_end().rfind([',', ';', ' ', '_', '-', '.', ':']).filter(|&at| at > 0);
        if let Some((front, last)) =
            cut.map(|at| (found.bare.get(..at).unwrap_or_default(), found.bare.get(at + 1..).unwrap_or_default().trim()))
            && let Some(unit) = units::lookup(last)
            && !words::split(last).is_empty()
            && !(unit == &units::RPM)
        {
            stated = Some((unit, last.to_owned()));
            found.bare = front.to_owned();
        }
    }
    if stated.is_none() && found.foreign.is_none() {
        // "Minutes" is a name and a unit in one.
        stated = units::lookup(&found.name).filter(|unit| unit.dimension == units::Dimension::Time).map(|unit| (unit, found.name.clone()));
    }
    if stated.is_none() && found.foreign.is_none() {
        let below = below.trim().trim_matches(['(', ')', '[', ']']);
        stated = units::lookup(below).map(|unit| (unit, below.to_owned()));
        found.foreign = (stated.is_none() && units::is_foreign(below)).then(|| below.to_owned());
    }
    found.unit = stated;
    found
}

/// The last pair of brackets: indices of the opening and of the closing one.
fn bracket(name: &str) -> Option<(usize, usize)> {
    [('(', ')'), ('[', ']'), ('{', '}'), ('<', '>')].into_iter().find_map(|(open, close)| {
        let close = name.rfind(close)?;
        let open = name.get(..close)?.rfind(open)?;
        Some((open, close))
    })
}

/// What must be in a heading for a channel, what must not, and how well it then fits.
struct Rule {
    channel: Channel,
    all: Notions,
    none: Notions,
    score: i32,
}

/// Parts whose temperature is not the coolant's.
const OTHER_PARTS: Notions = OIL
    | INTAKE
    | MANIFOLD
    | AIR
    | AMBIENT
    | FUEL
    | CATALYST
    | GEARBOX
    | BATTERY
    | HEAD
    | EXHAUST
    | RADIATOR
    | HEATER
    | CABIN
    | VENT
    | TURBO;
/// What makes a column something other than a reading of the thing itself.
const NOT_A_READING: Notions = TARGET | STATISTIC | OTHER | FAN | DATE | STAMP;

const fn rule(channel: Channel, all: Notions, none: Notions, score: i32) -> Rule {
    Rule { channel, all, none: none | NOT_A_READING, score }
}

const NOT_COOLANT: Notions = OTHER_PARTS | PRESSURE | SPEED | LEVEL | RESERVOIR | VOLTAGE | FLOW | TIME;
const NOT_AIR: Notions = OIL | COOLANT | WATER | FUEL | CATALYST | GEARBOX | BATTERY | HEAD | EXHAUST | PRESSURE | TURBO | FLOW;

/// The best-fitting rule of a channel counts. Scores order the ways of naming a thing from its full name (100) to a hint (50).
static RULES: &[Rule] = &[
    rule(Channel::CoolantTemperature, COOLANT | TEMPERATURE, NOT_COOLANT, 100),
    rule(Channel::CoolantTemperature, WATER | TEMPERATURE, NOT_COOLANT, 80),
    rule(Channel::CoolantTemperature, ENGINE | TEMPERATURE, NOT_COOLANT, 60),
    rule(Channel::CoolantTemperature, COOLANT, NOT_COOLANT | SYSTEM, 50),
    rule(Channel::EngineSpeed, ENGINE | ROTATION, GEARBOX | TURBO | VEHICLE, 100),
    rule(Channel::EngineSpeed, ENGINE | SPEED, GEARBOX | TURBO | VEHICLE, 100),
    rule(Channel::EngineSpeed, ROTATION, GEARBOX | TURBO | VEHICLE, 90),
    rule(Channel::VehicleSpeed, VEHICLE | SPEED, ENGINE | SATELLITE | GEARBOX | TURBO | ROTATION, 100),
    rule(Channel::VehicleSpeed, SPEED, ENGINE | SATELLITE | GEARBOX | TURBO | ROTATION, 80),
    rule(Channel::VehicleSpeed, SPEED | SATELLITE, ENGINE | ROTATION, 60),
    rule(Channel::EngineLoad, CALCULATED | LOAD, ABSOLUTE | AIR | TEMPERATURE | PRESSURE | BATTERY, 100),
    rule(Channel::EngineLoad, ENGINE | LOAD, ABSOLUTE | AIR | TEMPERATURE | PRESSURE | BATTERY, 100),
    rule(Channel::EngineLoad, LOAD, ABSOLUTE | AIR | TEMPERATURE | PRESSURE | BATTERY, 90),
    rule(Channel::EngineLoad, LOAD | ABSOLUTE, AIR | TEMPERATURE | PRESSURE | BATTERY, 60),
    rule(Channel::ManifoldPressure, MANIFOLD | PRESSURE, BAROMETRIC | OIL | FUEL | EXHAUST | COOLANT | TEMPERATURE, 100),
    rule(Channel::ManifoldPressure, INTAKE | PRESSURE, BAROMETRIC | OIL | FUEL | EXHAUST | COOLANT | TEMPERATURE, 90),
    rule(Channel::AirFlow, AIR | FLOW, FUEL | TEMPERATURE | PRESSURE | EXHAUST | CABIN | VOLTAGE, 100),
    rule(Channel::FuelRate, FUEL | RATE, LEVEL | PRESSURE | TEMPERATURE | AIR | RESERVOIR, 100),
    rule(Channel::FuelRate, FUEL | FLOW, LEVEL | PRESSURE | TEMPERATURE | AIR | RESERVOIR, 90),
    rule(Channel::IntakeAirTemperature, INTAKE | AIR | TEMPERATURE, NOT_AIR | AMBIENT | CABIN, 100),
    rule(Channel::IntakeAirTemperature, INTAKE | TEMPERATURE, NOT_AIR | AMBIENT | CABIN, 95),
    rule(Channel::IntakeAirTemperature, INLET | AIR | TEMPERATURE, NOT_AIR | AMBIENT | CABIN, 90),
    rule(Channel::IntakeAirTemperature, MANIFOLD | TEMPERATURE, NOT_AIR | AMBIENT | CABIN, 80),
    rule(Channel::AmbientTemperature, AMBIENT | TEMPERATURE, NOT_AIR | INTAKE | CABIN, 100),
    rule(Channel::OilTemperature, OIL | TEMPERATURE, NOT_COOLANT & !OIL | COOLANT, 100),
    rule(Channel::BarometricPressure, BAROMETRIC, INTAKE | MANIFOLD | TEMPERATURE | OIL, 100),
    rule(Channel::BarometricPressure, AMBIENT | PRESSURE, INTAKE | MANIFOLD | TEMPERATURE | OIL, 90),
    rule(Channel::ModuleVoltage, MODULE | VOLTAGE, SENSOR | TEMPERATURE | PRESSURE | AIR, 100),
    rule(Channel::ModuleVoltage, BATTERY | VOLTAGE, SENSOR | TEMPERATURE | PRESSURE | AIR, 80),
    rule(Channel::ModuleVoltage, VOLTAGE, SENSOR | TEMPERATURE | PRESSURE | AIR | BATTERY | COOLANT | OIL | FUEL, 60),
    rule(Channel::RunTime, RUN | TIME, FAN | FUEL, 100),
    rule(Channel::RunTime, TIME | START | ENGINE, FUEL, 100),
    rule(
        Channel::HeaterOutletTemperature,
        HEATER | TEMPERATURE | OUTLET,
        OIL | INTAKE | FUEL | CATALYST | BATTERY | EXHAUST | TURBO | RADIATOR,
        100,
    ),
    rule(Channel::HeaterOutletTemperature, VENT | TEMPERATURE, OIL | INTAKE | FUEL | CATALYST | BATTERY | EXHAUST | TURBO | RADIATOR, 90),
    rule(
        Channel::HeaterOutletTemperature,
        HEATER | TEMPERATURE,
        OIL | INTAKE | INLET | FUEL | CATALYST | BATTERY | EXHAUST | TURBO | RADIATOR,
        80,
    ),
    rule(Channel::RadiatorOutletTemperature, RADIATOR | TEMPERATURE | OUTLET, OIL | INTAKE | AIR | FUEL, 100),
    rule(Channel::RadiatorOutletTemperature, RADIATOR | TEMPERATURE, OIL | INTAKE | INLET | AIR | FUEL, 70),
    rule(Channel::SystemPressure, COOLANT | PRESSURE, OIL | INTAKE | MANIFOLD | FUEL | TEMPERATURE, 100),
    rule(Channel::ReservoirLevel, COOLANT | LEVEL, FUEL | OIL | TEMPERATURE, 100),
    rule(Channel::ReservoirLevel, RESERVOIR | LEVEL, FUEL | OIL | TEMPERATURE | WATER, 80),
];

/// The channel that a heading fits best, if any.
pub fn fit(heading: &Heading) -> Option<Fit> {
    let reading = words::read(&heading.bare);
    let by_words = RULES
        .iter()
        .filter(|rule| reading.notions & rule.all == rule.all && reading.notions & rule.none == 0)
        .max_by_key(|rule| rule.score)
        .map(|rule| by_rule(rule, &reading));
    let found = by_words.or_else(|| {
        // Words that were understood and fit nothing outrank a number: "intake pressure sensor 05" is not the coolant.
        let silent = reading.notions & !(SIGNAL | VALUE | SENSOR | MODULE) == 0;
        let number = silent.then(|| parameter(&heading.name, false)).flatten();
        by_number(number.or_else(|| (reading.notions == 0).then(|| parameter(heading.below, true)).flatten())?)
    })?;
    if heading.foreign.is_some() || heading.unit.as_ref().is_some_and(|(unit, _)| !units::fits(unit, found.channel)) {
        return None;
    }
    Some(found)
}

fn by_rule(rule: &Rule, reading: &words::Reading) -> Fit {
    let mut score = rule.score - i32::try_from(reading.unknown.min(5)).unwrap_or(5) - 2 * i32::try_from(reading.slips.min(5)).unwrap_or(5);
    let mut channel = rule.channel;
    match (channel, reading.number) {
        (Channel::CoolantTemperature, Some(2)) => channel = Channel::CoolantTemperature2,
        (_, Some(number)) if number > 1 => score -= 5 * i32::try_from(number).unwrap_or(9),
        _ => {}
    }
    let slip = if reading.slips > 0 { ", a misspelling forgiven" } else { "" };
    Fit { channel, score, why: format!("the heading says so{slip}") }
}

fn by_number(number: u8) -> Option<Fit> {
    let channel = Channel::all().find(|channel| channel.j1979() == Some(number))?;
    Some(Fit { channel, score: 95, why: format!("parameter {number:02X}h of SAE J1979") })
}

/// The service 01 parameter number written in a text: `PID 05`, `0105`, `01 0C`, `0x05`, `05h`; bare `05` only if `alone`.
fn parameter(text: &str, alone: bool) -> Option<u8> {
    let text = text.trim().to_ascii_lowercase();
    let parts: Vec<&str> = text.split(|c: char| !c.is_ascii_alphanumeric()).filter(|part| !part.is_empty()).collect();
    let hex = |part: &str| (part.len() <= 2 && !part.is_empty()).then(|| u8::from_str_radix(part, 16).ok()).flatten();
    for (index, part) in parts.iter().enumerate() {
        let rest = parts.get(index + 1).copied().unwrap_or_default();
        let number = match *part {
            "pid" => hex(rest.trim_start_matches("0x").trim_end_matches('h'))
                .or_else(|| rest.strip_prefix("01").and_then(|rest| hex(rest).filter(|_| rest.len() == 2))),
            "01" if rest.len() == 2 && parts.len() <= 3 => hex(rest),
            _ => part
                .strip_prefix("pid")
                .and_then(hex)
                .or_else(|| part.strip_prefix("0x").and_then(hex))
                .or_else(|| part.strip_suffix('h').filter(|rest| rest.len() == 2).and_then(hex))
                .or_else(|| part.strip_prefix("01").filter(|rest| rest.len() == 2).and_then(hex)),
        };
        if number.is_some() {
            return number;
        }
    }
    if alone { parts.last().filter(|part| part.len() == 2).and_then(|part| hex(part)) } else { None }
}

/// Index of the column that the person means: its number as `#2`, its heading as it stands, or as it sounds.
///
/// # Errors
///
/// [`Problem::UnknownColumn`] if there is none.
pub fn named(headings: &[Heading], name: &str, wanted: &str, line: u64) -> Result<usize, Problem> {
    let name = name.trim();
    let by_number = name
        .strip_prefix('#')
        .and_then(|number| number.parse::<usize>().ok())
        .and_then(|number| number.checked_sub(1))
        .filter(|&index| index < headings.len());
    let squeezed = |text: &str| words::split(text).concat();
    by_number
        .or_else(|| headings.iter().position(|heading| heading.name.trim() == name))
        .or_else(|| headings.iter().position(|heading| heading.bare.trim() == name))
        .or_else(|| {
            headings.iter().position(|heading| {
                !name.is_empty() && (squeezed(&heading.name) == squeezed(name) || squeezed(&heading.bare) == squeezed(name))
            })
        })
        .ok_or_else(|| Problem::UnknownColumn {
            name: shorten(name, 60),
            wanted: wanted.to_owned(),
            line,
            headings: headings.iter().map(|heading| heading.name.clone()).collect(),
        })
}

/// The headings of two candidates, told apart by number where they read alike or cannot be typed.
pub fn told_apart(headings: &[Heading], candidates: &[usize]) -> Vec<String> {
    let name = |index: usize| headings.get(index).map_or("", |heading| heading.name.trim());
    candidates
        .iter()
        .map(|&index| {
            let alike = headings.iter().filter(|heading| heading.name.trim() == name(index)).count() > 1;
            if alike || error::as_typed(name(index), index) != name(index) {
                format!("#{} {}", index + 1, name(index))
            } else {
                name(index).to_owned()
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn channel_of(name: &str) -> Option<Channel> {
        fit(&heading(name, "")).map(|fit| fit.channel)
    }

    #[test]
    fn the_signal_names_of_sae_j1979_and_trade_words_are_recognised() {
        for (name, channel) in [
            ("Engine Coolant Temperature (°C)", Channel::CoolantTemperature),
            ("COOLANT_TEMPERATURE ()", Channel::CoolantTemperature),
            ("ECT", Channel::CoolantTemperature),
            ("ect_f", Channel::CoolantTemperature),
            ("Coolant Temp C", Channel::CoolantTemperature),
            ("Engin Coolent Temp. [degF]", Channel::CoolantTemperature),
            ("Water temp", Channel::CoolantTemperature),
            ("Kühlmitteltemperatur", Channel::CoolantTemperature),
            ("Temperatura del refrigerante del motor", Channel::CoolantTemperature),
            ("0105", Channel::CoolantTemperature),
            ("PID 05", Channel::CoolantTemperature),
            ("ECT2", Channel::CoolantTemperature2),
            ("Engine coolant temperature sensor 2", Channel::CoolantTemperature2),
            ("ENGINE_RPM ()", Channel::EngineSpeed),
            ("Drehzahl (1/min)", Channel::EngineSpeed),
            ("VEHICLE_SPEED ()", Channel::VehicleSpeed),
            ("Speed (mph)", Channel::VehicleSpeed),
            ("ENGINE_LOAD ()", Channel::EngineLoad),
            ("Calculated load value [%]", Channel::EngineLoad),
            ("INTAKE_MANIFOLD_PRESSURE ()", Channel::ManifoldPressure),
            ("MAP (kPa)", Channel::ManifoldPressure),
            ("Mass air flow rate (g/s)", Channel::AirFlow),
            ("Engine fuel rate (L/h)", Channel::FuelRate),
            ("INTAKE_AIR_TEMP ()", Channel::IntakeAirTemperature),
            ("Ansauglufttemperatur", Channel::IntakeAirTemperature),
            ("Ambient air temperature", Channel::AmbientTemperature),
            ("Engine oil temperature", Channel::OilTemperature),
            ("ABSOLUTE_BAROMETRIC_PRESSURE ()", Channel::BarometricPressure),
            ("CONTROL_MODULE_VOLTAGE ()", Channel::ModuleVoltage),
            ("ENGINE_RUN_TINE ()", Channel::RunTime),
            ("Time since engine start", Channel::RunTime),
            ("Heater outlet temperature", Channel::HeaterOutletTemperature),
            ("Radiator outlet temp", Channel::RadiatorOutletTemperature),
            ("Cooling system pressure (kPa)", Channel::SystemPressure),
            ("Coolant level (mm)", Channel::ReservoirLevel),
        ] {
            assert_eq!(channel_of(name), Some(channel), "{name}");
        }
    }

    #[test]
    fn no_other_temperature_passes_for_the_coolant() {
        for name in [
            "Intake air temperature",
            "Engine oil temperature",
            "Engine oil temp cooling",
            "Ambient temp",
            "CATALYST_TEMPERATURE_BANK1_SENSOR1 ()",
            "Transmission temperature",
            "Transmission coolant temperature",
            "Fuel temperature",
            "Battery coolant temperature",
            "Cylinder head temperature",
            "Inverter coolant temperature",
            "Coolant temperature sensor (V)",
            "Coolant temp target",
            "Maximum coolant temperature",
            "Cooling fan speed",
            "TIME_RUN_WITH_MIL_ON ()",
            "WARM_UPS_SINCE_CODES_CLEARED ()",
            "Exhaust gas temp",
            "Cabin temp",
            "temp 1",
        ] {
            assert_ne!(channel_of(name), Some(Channel::CoolantTemperature), "{name}");
        }
    }

    #[test]
    fn a_parameter_number_counts_only_where_no_word_speaks() {
        assert_eq!(parameter("mode 01 PID 0C", false), Some(0x0c));
        assert_eq!(parameter("01 0F", false), Some(0x0f));
        assert_eq!(parameter("temp 05", false), None);
        assert_eq!(parameter("05", true), Some(5));
        assert_eq!(channel_of("Oil pressure 0105"), None);
    }
}
