//! Units as logs write them, and how a value in them becomes the program's own unit.
//!
//! A unit's text is compared after everything but letters, digits, `/`, `%` and `"` is dropped, so that `°C`, `(°C)`, `deg. C`
//! and a degree sign that an encoding has spoiled are one unit.
//!
//! # References
//!
//! - NIST Special Publication 811 (2008), appendix B.8: factors (pound-force per square inch 6.894 757 kPa, inch of mercury
//!   3.386 39 kPa, mile 1.609 344 km, US gallon 3.785 412 L, imperial gallon 4.546 09 L, pound 0.453 592 37 kg).

use crate::channel::Channel;

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// A point on a temperature scale; own unit °C.
    Temperature,
    /// Own unit km/h.
    Speed,
    /// Own unit revolutions per minute.
    Rotation,
    /// Own unit %.
    Share,
    /// Own unit kPa.
    Pressure,
    /// Own unit g/s.
    MassFlow,
    /// Own unit L/h.
    VolumeFlow,
    /// Own unit V.
    Voltage,
    /// Own unit s.
    Time,
    /// Own unit mm.
    Length,
    /// Own unit mL.
    Volume,
}

/// A unit: what it measures, how people write it, and the way to the program's own unit, `value × factor + offset`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// What it measures.
    pub dimension: Dimension,
    /// How the program writes it.
    pub label: &'static str,
    /// Own units in one of these.
    pub factor: f64,
    /// Own unit's value at this unit's zero.
    pub offset: f64,
    /// Spellings after [`normalise`].
    spellings: &'static [&'static str],
}

impl Unit {
    /// The value in the program's own unit.
    pub fn convert(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }
}

const fn unit(dimension: Dimension, label: &'static str, factor: f64, spellings: &'static [&'static str]) -> Unit {
    Unit { dimension, label, factor, offset: 0.0, spellings }
}

/// Degrees Celsius.
pub const CELSIUS: Unit = unit(
    Dimension::Temperature,
    "°C",
    1.0,
    &["c", "degc", "celsius", "degcelsius", "degreec", "degreesc", "degreecelsius", "degreescelsius", "gradc", "gradcelsius", "cel", "gc"],
);
/// Degrees Fahrenheit.
pub const FAHRENHEIT: Unit = Unit {
    dimension: Dimension::Temperature,
    label: "°F",
    factor: 1.0 / 1.8,
    offset: -32.0 / 1.8,
    spellings: &["f", "degf", "fahrenheit", "degfahrenheit", "degreef", "degreesf", "degreefahrenheit", "degreesfahrenheit"],
};
/// Kelvin.
pub const KELVIN: Unit =
    Unit { dimension: Dimension::Temperature, label: "K", factor: 1.0, offset: -273.15, spellings: &["k", "kelvin", "degk"] };
/// Kilometres an hour.
pub const KM_PER_HOUR: Unit = unit(
    Dimension::Speed,
    "km/h",
    1.0,
    &["km/h", "kmh", "kph", "kmph", "kmhr", "km/hr", "kilometersperhour", "kilometresperhour", "kilometerperhour", "kmh1"],
);
/// Miles an hour.
pub const MILES_PER_HOUR: Unit =
    unit(Dimension::Speed, "mph", 1.609_344, &["mph", "mi/h", "mi/hr", "miles/h", "milesperhour", "mileperhour"]);
/// Revolutions a minute.
pub const RPM: Unit = unit(
    Dimension::Rotation,
    "rpm",
    1.0,
    &[
        "rpm",
        "1/min",
        "/min",
        "min1",
        "u/min",
        "r/min",
        "rev/min",
        "upm",
        "tr/min",
        "revolutionsperminute",
        "revolutionperminute",
        "revpermin",
        "turn/min",
    ],
);
/// Per cent.
pub const PERCENT: Unit = unit(Dimension::Share, "%", 1.0, &["%", "percent", "prozent", "pct", "percentage", "pourcent"]);
/// A share of one.
pub const SHARE: Unit = unit(Dimension::Share, "share of 1", 100.0, &["ratio", "share"]);
/// Kilopascals.
pub const KILOPASCAL: Unit = unit(Dimension::Pressure, "kPa", 1.0, &["kpa", "kpaa", "kpaabs", "kilopascal", "kilopascals"]);
/// Hectopascals, the same as millibars.
pub const HECTOPASCAL: Unit = unit(Dimension::Pressure, "hPa", 0.1, &["hpa", "mbar", "millibar"]);
/// Bars.
pub const BAR: Unit = unit(Dimension::Pressure, "bar", 100.0, &["bar", "bars"]);
/// Pounds-force per square inch.
pub const PSI: Unit = unit(Dimension::Pressure, "psi", 6.894_757, &["psi", "psia", "psig", "lb/in2", "lbf/in2"]);
/// Inches of mercury.
pub const INCH_MERCURY: Unit = unit(Dimension::Pressure, "inHg", 3.386_39, &["inhg", "\"hg", "inhga"]);
/// Grams a second.
pub const GRAM_PER_SECOND: Unit =
    unit(Dimension::MassFlow, "g/s", 1.0, &["g/s", "g/sec", "gs", "gps", "grampersecond", "gramspersecond", "gramssec", "grams/sec"]);
/// Litres an hour.
pub const LITRE_PER_HOUR: Unit = unit(
    Dimension::VolumeFlow,
    "L/h",
    1.0,
    &["l/h", "lph", "l/hr", "lh", "litresperhour", "litersperhour", "literperhour", "litreperhour", "liters/hour"],
);
/// Volts.
pub const VOLT: Unit = unit(Dimension::Voltage, "V", 1.0, &["v", "volt", "volts"]);
/// Millivolts.
pub const MILLIVOLT: Unit = unit(Dimension::Voltage, "mV", 0.001, &["mv", "millivolt", "millivolts"]);
/// Seconds.
pub const SECOND: Unit =
    unit(Dimension::Time, "s", 1.0, &["s", "sec", "secs", "second", "seconds", "sek", "sekunden", "secondes", "segundos"]);
/// Milliseconds.
pub const MILLISECOND: Unit = unit(Dimension::Time, "ms", 1e-3, &["ms", "msec", "millis", "millisecond", "milliseconds", "millisekunden"]);
/// Microseconds.
pub const MICROSECOND: Unit = unit(Dimension::Time, "µs", 1e-6, &["us", "usec", "micros", "microsecond", "microseconds"]);
/// Nanoseconds.
pub const NANOSECOND: Unit = unit(Dimension::Time, "ns", 1e-9, &["ns", "nanosecond", "nanoseconds"]);
/// Minutes.
pub const MINUTE: Unit = unit(Dimension::Time, "min", 60.0, &["min", "mins", "minute", "minutes", "minuten", "minutos"]);
/// Hours.
pub const HOUR: Unit = unit(Dimension::Time, "h", 3600.0, &["h", "hr", "hrs", "hour", "hours", "std", "stunden", "heures", "horas"]);

/// Every unit that is known.
static UNITS: &[Unit] = &[
    CELSIUS,
    FAHRENHEIT,
    KELVIN,
    KM_PER_HOUR,
    MILES_PER_HOUR,
    unit(Dimension::Speed, "m/s", 3.6, &["m/s", "mps", "meterpersecond", "meterspersecond"]),
    RPM,
    unit(Dimension::Rotation, "1/s", 60.0, &["1/s", "rev/s", "rps", "hz"]),
    PERCENT,
    SHARE,
    KILOPASCAL,
    HECTOPASCAL,
    BAR,
    PSI,
    INCH_MERCURY,
    unit(Dimension::Pressure, "Pa", 0.001, &["pa", "pascal"]),
    unit(Dimension::Pressure, "MPa", 1000.0, &["mpa", "megapascal"]),
    unit(Dimension::Pressure, "mmHg", 0.133_322_4, &["mmhg", "torr"]),
    GRAM_PER_SECOND,
    unit(Dimension::MassFlow, "kg/h", 1.0 / 3.6, &["kg/h", "kgh", "kg/hr", "kilogramperhour", "kilogramsperhour"]),
    unit(Dimension::MassFlow, "lb/min", 7.559_873, &["lb/min", "lbmin", "lbs/min", "lb/m", "poundsperminute"]),
    LITRE_PER_HOUR,
    unit(Dimension::VolumeFlow, "gal/h (US)", 3.785_412, &["gal/h", "gal/hr", "gph", "usgal/h", "gallonsperhour", "galus/h"]),
    unit(Dimension::VolumeFlow, "gal/h (imperial)", 4.546_09, &["impgal/h", "galuk/h", "ukgal/h"]),
    unit(Dimension::VolumeFlow, "mL/min", 0.06, &["ml/min", "cc/min", "ccm", "cm3/min"]),
    VOLT,
    MILLIVOLT,
    SECOND,
    MILLISECOND,
    MICROSECOND,
    NANOSECOND,
    MINUTE,
    HOUR,
    unit(Dimension::Length, "mm", 1.0, &["mm", "millimetre", "millimeter"]),
    unit(Dimension::Length, "cm", 10.0, &["cm", "centimetre", "centimeter"]),
    unit(Dimension::Length, "in", 25.4, &["in", "inch", "inches"]),
    unit(Dimension::Volume, "mL", 1.0, &["ml", "millilitre", "milliliter", "cc", "cm3"]),
    unit(Dimension::Volume, "L", 1000.0, &["l", "litre", "liter", "litres", "liters"]),
];

/// Units of things that no channel measures; a column that states one is no channel.
const FOREIGN: &[&str] = &[
    "a",
    "ma",
    "ampere",
    "amps",
    "amp",
    "w",
    "kw",
    "hp",
    "nm",
    "lbft",
    "ftlb",
    "km",
    "mi",
    "miles",
    "mile",
    "m",
    "ft",
    "feet",
    "deg",
    "degree",
    "degrees",
    "l/100km",
    "l100km",
    "mpg",
    "km/l",
    "kml",
    "mg/st",
    "mg/stroke",
    "mg/str",
    "mg/hub",
    "g",
    "kg",
    "ohm",
    "lambda",
    "count",
    "counts",
    "bit",
    "hex",
    "bool",
    "m3/h",
    "g/rev",
    "g/km",
    "m/s2",
    "g/cyl",
    "afr",
    "ppm",
    "db",
    "dbm",
    "kj",
    "wh",
    "kwh",
    "ah",
];

/// Every unit that a log may state.
pub fn all() -> &'static [Unit] {
    UNITS
}

/// What is left of a unit's text for comparing: ASCII letters (small), digits, `/`, `%`, `"`; µ becomes u.
pub fn normalise(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            'µ' | 'μ' => Some('u'),
            '²' => Some('2'),
            '³' => Some('3'),
            _ if c.is_ascii_alphanumeric() || matches!(c, '/' | '%' | '"') => Some(c.to_ascii_lowercase()),
            _ => None,
        })
        .collect()
}

/// The unit that this text names.
pub fn lookup(text: &str) -> Option<&'static Unit> {
    if text.len() > 40 {
        return None;
    }
    let wanted = normalise(text);
    if wanted.is_empty() {
        return None;
    }
    let wanted = wanted
        .strip_prefix("in")
        .filter(|rest| rest.len() > 1 && *rest != "hg" && *rest != "hga" && *rest != "ch" && *rest != "ches")
        .unwrap_or(&wanted);
    UNITS.iter().find(|unit| unit.spellings.contains(&wanted))
}

/// Whether the text is a unit that no channel is measured in.
pub fn is_foreign(text: &str) -> bool {
    let wanted = normalise(text);
    FOREIGN.contains(&wanted.as_str())
}

/// Whether a channel can be stated in this unit.
pub fn fits(unit: &Unit, channel: Channel) -> bool {
    match channel {
        Channel::ReservoirLevel => matches!(unit.dimension, Dimension::Length | Dimension::Volume | Dimension::Share),
        _ => unit.dimension == own(channel).dimension,
    }
}

/// The unit in which the program keeps a channel; a reservoir's level stays as the log has it.
pub fn own(channel: Channel) -> &'static Unit {
    match channel.unit() {
        "°C" => &CELSIUS,
        "rpm" => &RPM,
        "km/h" => &KM_PER_HOUR,
        "kPa" => &KILOPASCAL,
        "g/s" => &GRAM_PER_SECOND,
        "L/h" => &LITRE_PER_HOUR,
        "V" => &VOLT,
        "s" => &SECOND,
        _ => &PERCENT,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_of_a_unit_are_one_unit() {
        for (text, label) in [
            ("°C", "°C"),
            ("(Â°C)", "°C"),
            ("degree_Celsius", "°C"),
            ("deg. F", "°F"),
            ("1/min", "rpm"),
            ("U/min", "rpm"),
            ("in km/h", "km/h"),
            ("inHg", "inHg"),
            ("µs", "µs"),
            ("%", "%"),
            ("inch", "in"),
        ] {
            assert_eq!(lookup(text).map(|unit| unit.label), Some(label), "{text}");
        }
        assert_eq!(lookup("()"), None);
        assert_eq!(lookup("x5A"), None);
    }

    #[test]
    fn customary_units_become_si() {
        assert!((FAHRENHEIT.convert(188.0) - 86.666_667).abs() < 1e-6);
        assert!((MILES_PER_HOUR.convert(60.0) - 96.560_64).abs() < 1e-9);
        assert!((PSI.convert(14.5) - 99.973_976).abs() < 1e-6);
        assert_eq!(KELVIN.convert(363.15), 90.0);
    }
}
