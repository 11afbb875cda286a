//! The vehicle file's text becomes a [`Vehicle`].
//!
//! TOML with every entry optional and none unknown: a mistyped entry would otherwise be a statement that is quietly not used.
//! A value that no road vehicle has, and entries that cannot both be true, are errors; the bounds catch a slipped decimal
//! point or a wrong unit and do not judge the vehicle.

use super::{Base, Control, Coolant, Fuel, Reservoir, ReservoirKind, Side, Thermostat, Vehicle};
use crate::excerpt::shorten;
use crate::units::parse::{self, QuantityError};
use crate::units::{Pressure, Temperature, TemperatureDifference, Volume};
use serde::Deserialize;

/// Why a vehicle file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum VehicleError {
    /// Not TOML, or an entry that the file format does not have.
    #[error("vehicle file, line {line}: {what} (`{text}`)")]
    Syntax {
        /// Line of the file; the first is 1.
        line: usize,
        /// How the line reads.
        text: String,
        /// What is wrong with it.
        what: String,
    },
    /// An entry is there and its text is no such quantity.
    #[error("vehicle file, `{entry}`: {cause}")]
    Quantity {
        /// Dotted name of the entry.
        entry: &'static str,
        /// What is wrong with its text.
        cause: QuantityError,
    },
    /// Entries that cannot both be true.
    #[error("vehicle file, `{entry}`: {reason}")]
    Contradiction {
        /// Dotted name of the entry.
        entry: &'static str,
        /// What does not fit.
        reason: String,
    },
}

impl VehicleError {
    /// The way out, as a sentence for the person.
    pub fn hint(&self) -> String {
        match self {
            Self::Syntax { .. } => {
                "docs/vehicle-file.md lists every entry; a quantity is a text with its unit (\"7.2 L\"); leave out what you do not know"
                    .to_owned()
            }
            Self::Quantity { cause, .. } => cause.hint(),
            Self::Contradiction { entry, .. } => format!("correct `{entry}` or leave it out"),
        }
    }
}

/// The file as written.
#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct Written {
    name: Option<String>,
    capacity: Option<String>,
    fuel: Option<Fuel>,
    thermostat: WrittenThermostat,
    reservoir: WrittenReservoir,
    coolant: Option<WrittenCoolant>,
    sensor: WrittenSensor,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct WrittenThermostat {
    rating: Option<String>,
    side: Side,
    control: Control,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct WrittenReservoir {
    kind: Option<String>,
    total: Option<String>,
    min_mark: Option<String>,
    max_mark: Option<String>,
    per_mm: Option<String>,
    marks_apart: Option<String>,
    cap: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenCoolant {
    base: String,
    volume_percent: f64,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct WrittenSensor {
    offset: Option<String>,
}

/// Reads one quantity of the file, naming the entry if it is none.
fn quantity<T>(entry: &'static str, text: Option<&String>, read: fn(&str) -> Result<T, QuantityError>) -> Result<Option<T>, VehicleError> {
    text.map(|text| read(text).map_err(|cause| VehicleError::Quantity { entry, cause })).transpose()
}

fn contradiction(entry: &'static str, reason: impl Into<String>) -> VehicleError {
    VehicleError::Contradiction { entry, reason: reason.into() }
}

/// Longest name of a vehicle, in characters.
const LONGEST_NAME: usize = 100;

/// What the reader of TOML says, with the line on which it stopped.
fn syntax(text: &str, error: &toml::de::Error) -> VehicleError {
    let at = error.span().map_or(0, |span| span.start).min(text.len());
    let above = text.get(..at).unwrap_or(text);
    let begins = above.rfind('\n').map_or(0, |end| end + 1);
    let line = text.get(begins..).unwrap_or_default().lines().next().unwrap_or_default();
    VehicleError::Syntax {
        line: 1 + above.matches('\n').count(),
        text: shorten(line.trim(), 80),
        what: shorten(&error.message().replace('\n', "; "), 300),
    }
}

/// Whether `value` lies in the range that such a thing can have; the error shows it in `unit`.
fn plausible(entry: &'static str, value: f64, [low, high]: [f64; 2], unit: &str, thing: &str) -> Result<(), VehicleError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    let shown = (value * 1000.0).round() / 1000.0;
    Err(contradiction(entry, format!("{shown} {unit} is no {thing} ({low} to {high} {unit})")))
}

/// Reads a volume in litres' range.
fn volume(entry: &'static str, text: Option<&String>, litres: [f64; 2], thing: &str) -> Result<Option<Volume>, VehicleError> {
    let volume = quantity(entry, text, parse::volume)?;
    volume.map_or(Ok(()), |volume| plausible(entry, volume.litres(), litres, "L", thing)).map(|()| volume)
}

impl Vehicle {
    /// Reads a vehicle file's text.
    ///
    /// # Errors
    ///
    /// [`VehicleError`] names the entry, what stood there and the way out.
    pub fn from_toml(text: &str) -> Result<Vehicle, VehicleError> {
        // Text editors may put a byte-order mark before the first entry.
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let written: Written = toml::from_str(text).map_err(|error| syntax(text, &error))?;
        let name = written.name.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty());
        if let Some(long) = name.as_ref().map(|name| name.chars().count()).filter(|&long| long > LONGEST_NAME) {
            return Err(contradiction("name", format!("it has {long} characters, and at most {LONGEST_NAME} fit on a report")));
        }
        let capacity = volume("capacity", written.capacity.as_ref(), [0.5, 200.0], "cooling system's capacity")?;
        let reservoir = reservoir(&written.reservoir)?;
        for (entry, part) in [("reservoir.total", reservoir.total), ("reservoir.max_mark", reservoir.max_mark)] {
            if let (Some(part), Some(whole)) = (part, capacity)
                && part.millilitres() >= whole.millilitres()
            {
                return Err(contradiction(
                    entry,
                    format!("{:.2} L is not less than the whole system's {:.2} L", part.litres(), whole.litres()),
                ));
            }
        }
        Ok(Vehicle {
            name,
            capacity,
            fuel: written.fuel,
            thermostat: thermostat(&written.thermostat)?,
            reservoir,
            coolant: written.coolant.as_ref().map(coolant).transpose()?,
            sensor_offset: sensor_offset(&written.sensor)?,
        })
    }
}

fn thermostat(written: &WrittenThermostat) -> Result<Thermostat, VehicleError> {
    let rating: Option<Temperature> = quantity("thermostat.rating", written.rating.as_ref(), parse::temperature)?;
    if let Some(rating) = rating {
        plausible("thermostat.rating", rating.celsius(), [40.0, 130.0], "°C", "thermostat's rating")?;
    }
    Ok(Thermostat { rating, side: written.side, control: written.control })
}

/// A sensor that is off by more than this is not corrected for, it is replaced.
const LARGEST_OFFSET: f64 = 20.0;

fn sensor_offset(written: &WrittenSensor) -> Result<TemperatureDifference, VehicleError> {
    let offset = quantity("sensor.offset", written.offset.as_ref(), parse::temperature_difference)?.unwrap_or_default();
    plausible("sensor.offset", offset.kelvin(), [-LARGEST_OFFSET, LARGEST_OFFSET], "K", "offset of a usable sensor")?;
    Ok(offset)
}

fn reservoir(written: &WrittenReservoir) -> Result<Reservoir, VehicleError> {
    const TANK: [f64; 2] = [0.0, 50.0];
    let kind = match written.kind.as_deref().map(str::trim) {
        None => None,
        Some("expansion tank") => Some(ReservoirKind::ExpansionTank),
        Some("overflow bottle") => Some(ReservoirKind::OverflowBottle),
        Some(other) => {
            return Err(contradiction(
                "reservoir.kind",
                format!("`{}` is neither \"expansion tank\" nor \"overflow bottle\"", shorten(other, 60)),
            ));
        }
    };
    let total = volume("reservoir.total", written.total.as_ref(), TANK, "reservoir's volume")?;
    let min_mark = volume("reservoir.min_mark", written.min_mark.as_ref(), TANK, "volume at a mark")?;
    let max_mark = volume("reservoir.max_mark", written.max_mark.as_ref(), TANK, "volume at a mark")?;
    let in_order =
        |low: Option<Volume>, high: Option<Volume>| low.zip(high).is_none_or(|(low, high)| low.millilitres() < high.millilitres());
    if !in_order(min_mark, max_mark) {
        return Err(contradiction("reservoir.max_mark", "the MAX mark does not lie above the MIN mark"));
    }
    if !in_order(min_mark, total) || !(in_order(max_mark, total) || max_mark == total) {
        return Err(contradiction("reservoir.total", "the whole tank does not hold what its marks state"));
    }
    let cap: Option<Pressure> = quantity("reservoir.cap", written.cap.as_ref(), parse::pressure)?;
    if let Some(cap) = cap {
        plausible("reservoir.cap", cap.kilopascals(), [10.0, 400.0], "kPa", "cap's opening pressure, gauge")?;
    }
    Ok(Reservoir { kind, total, min_mark, max_mark, millilitres_per_mm: scale(written, min_mark, max_mark)?, cap })
}

/// Volume of one millimetre of height, stated or from the marks, in mL.
fn scale(written: &WrittenReservoir, min_mark: Option<Volume>, max_mark: Option<Volume>) -> Result<Option<f64>, VehicleError> {
    const SCALES: [f64; 2] = [0.1, 1000.0];
    /// A tank is no prism: a scale stated for one height may differ from the mean between the marks, but not by more.
    const FURTHEST_APART: f64 = 2.0;
    let stated = quantity("reservoir.per_mm", written.per_mm.as_ref(), parse::volume)?.map(Volume::millilitres);
    if let Some(stated) = stated {
        plausible("reservoir.per_mm", stated, SCALES, "mL", "reservoir's millimetre")?;
    }
    let Some(apart) = quantity("reservoir.marks_apart", written.marks_apart.as_ref(), parse::length_millimetres)? else {
        return Ok(stated);
    };
    plausible("reservoir.marks_apart", apart, [1.0, 1000.0], "mm", "distance between the marks")?;
    let Some((min, max)) = min_mark.zip(max_mark) else {
        return Err(contradiction("reservoir.marks_apart", "it needs `min_mark` and `max_mark`: they say how much lies between the marks"));
    };
    let from_marks = (max - min).millilitres() / apart;
    plausible("reservoir.marks_apart", from_marks, SCALES, "mL", "reservoir's millimetre, as the marks make it")?;
    if let Some(stated) = stated
        && !(1.0 / FURTHEST_APART..=FURTHEST_APART).contains(&(stated / from_marks))
    {
        return Err(contradiction(
            "reservoir.per_mm",
            format!("{stated} mL is far from the {from_marks:.1} mL a millimetre that the marks make"),
        ));
    }
    Ok(stated.or(Some(from_marks)))
}

fn coolant(written: &WrittenCoolant) -> Result<Coolant, VehicleError> {
    let base = match written.base.trim() {
        "ethylene glycol" => Base::EthyleneGlycol,
        "propylene glycol" => Base::PropyleneGlycol,
        other => {
            return Err(contradiction(
                "coolant.base",
                format!("`{}` is neither \"ethylene glycol\" nor \"propylene glycol\"", shorten(other, 60)),
            ));
        }
    };
    if !(0.0..=100.0).contains(&written.volume_percent) {
        return Err(contradiction("coolant.volume_percent", format!("{} is no percentage", written.volume_percent)));
    }
    Ok(Coolant { base, volume_fraction: written.volume_percent / 100.0 })
}
