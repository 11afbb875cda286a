//! Quantities as people write them: a number, then a unit ("7.2 L", "188 °F", "15 psi").
//!
//! A decimal comma is read as a point. A unit is always asked for: a bare number would be right in one country and wrong in
//! the next.

use super::{Pressure, Temperature, TemperatureDifference, Volume};

/// Why a text is no quantity of the wanted kind.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// No number at the start.
    #[error("`{text}` does not begin with a number")]
    NoNumber {
        /// What was there.
        text: String,
        /// Units that would do.
        units: &'static str,
    },
    /// A number without a unit.
    #[error("`{text}` has no unit")]
    NoUnit {
        /// What was there.
        text: String,
        /// Units that would do.
        units: &'static str,
    },
    /// A unit that does not measure this.
    #[error("`{unit}` in `{text}` is not a unit that fits here")]
    WrongUnit {
        /// What was there.
        text: String,
        /// The unit in it.
        unit: String,
        /// Units that would do.
        units: &'static str,
    },
}

impl QuantityError {
    /// The way out, as a sentence for the person.
    pub fn hint(&self) -> String {
        let (Self::NoNumber { units, .. } | Self::NoUnit { units, .. } | Self::WrongUnit { units, .. }) = self;
        format!("write a number and one of these units: {units}")
    }
}

/// Splits "7,2 L" into 7.2 and "L"; the unit may be empty.
pub fn split(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|&(index, c)| !(c.is_ascii_digit() || c == '.' || c == ',' || ((c == '-' || c == '+' || c == '−') && index == 0)))
        .map_or(text.len(), |(index, _)| index);
    let number = text[..end].replace(',', ".").replace('−', "-");
    let value: f64 = number.parse().ok()?;
    Some((value, text[end..].trim()))
}

/// Finds the unit in `table` (name, factor) and scales the number.
fn scaled(text: &str, units: &'static str, table: &[(&str, f64)]) -> Result<f64, QuantityError> {
    let (value, unit) = split(text).ok_or_else(|| QuantityError::NoNumber { text: text.to_owned(), units })?;
    if unit.is_empty() {
        return Err(QuantityError::NoUnit { text: text.to_owned(), units });
    }
    let folded = unit.to_lowercase();
    table.iter().find(|(name, _)| *name == folded).map(|(_, factor)| value * factor).ok_or_else(|| QuantityError::WrongUnit {
        text: text.to_owned(),
        unit: unit.to_owned(),
        units,
    })
}

/// Reads a temperature: °C, °F or K.
///
/// # Errors
///
/// [`QuantityError`] if there is no number, no unit, or a unit of something else.
pub fn temperature(text: &str) -> Result<Temperature, QuantityError> {
    const UNITS: &str = "degC, degF, K";
    let (value, unit) = split(text).ok_or_else(|| QuantityError::NoNumber { text: text.to_owned(), units: UNITS })?;
    match unit.to_lowercase().as_str() {
        "" => Err(QuantityError::NoUnit { text: text.to_owned(), units: UNITS }),
        "degc" | "°c" | "c" | "celsius" => Ok(Temperature::from_celsius(value)),
        "degf" | "°f" | "f" | "fahrenheit" => Ok(Temperature::from_fahrenheit(value)),
        "k" | "kelvin" => Ok(Temperature::from_kelvin(value)),
        _ => Err(QuantityError::WrongUnit { text: text.to_owned(), unit: unit.to_owned(), units: UNITS }),
    }
}

/// Reads a difference of temperatures: K, °C or °F, the last taken as a difference (1.8 °F are 1 K).
///
/// # Errors
///
/// [`QuantityError`] if there is no number, no unit, or a unit of something else.
pub fn temperature_difference(text: &str) -> Result<TemperatureDifference, QuantityError> {
    let table = [("k", 1.0), ("degc", 1.0), ("°c", 1.0), ("c", 1.0), ("degf", 1.0 / 1.8), ("°f", 1.0 / 1.8), ("f", 1.0 / 1.8)];
    scaled(text, "K, degC, degF", &table).map(TemperatureDifference::from_kelvin)
}

/// Reads a volume: mL, L, US fluid ounces, quarts or gallons.
///
/// # Errors
///
/// [`QuantityError`] if there is no number, no unit, or a unit of something else.
pub fn volume(text: &str) -> Result<Volume, QuantityError> {
    const FLUID_OUNCE: f64 = 29.573_529_562_5;
    let table = [
        ("ml", 1.0),
        ("cl", 10.0),
        ("dl", 100.0),
        ("l", 1000.0),
        ("litre", 1000.0),
        ("litres", 1000.0),
        ("fl oz", FLUID_OUNCE),
        ("floz", FLUID_OUNCE),
        ("us fl oz", FLUID_OUNCE),
        ("qt", 32.0 * FLUID_OUNCE),
        ("gal", 128.0 * FLUID_OUNCE),
    ];
    scaled(text, "mL, L, fl oz, qt, gal (US)", &table).map(Volume::from_millilitres)
}

/// Reads a length in millimetres: mm, cm or inches.
///
/// # Errors
///
/// [`QuantityError`] if there is no number, no unit, or a unit of something else.
pub fn length_millimetres(text: &str) -> Result<f64, QuantityError> {
    scaled(text, "mm, cm, in", &[("mm", 1.0), ("cm", 10.0), ("in", 25.4), ("\"", 25.4)])
}

/// Reads a pressure: kPa, bar or psi.
///
/// # Errors
///
/// [`QuantityError`] if there is no number, no unit, or a unit of something else.
pub fn pressure(text: &str) -> Result<Pressure, QuantityError> {
    scaled(text, "kPa, bar, psi", &[("kpa", 1.0), ("bar", 100.0), ("mbar", 0.1), ("hpa", 0.1), ("psi", 6.894_757)])
        .map(Pressure::from_kilopascals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn customary_units_become_si() {
        assert!((volume("1.9 gal").unwrap().litres() - 7.192_28).abs() < 1e-4);
        assert!((temperature("188 °F").unwrap().celsius() - 86.666_667).abs() < 1e-5);
        assert!((pressure("16 psi").unwrap().kilopascals() - 110.316).abs() < 1e-2);
        assert_eq!(length_millimetres("1,5 cm").unwrap(), 15.0);
        assert_eq!(temperature_difference("-1.8 degF").unwrap(), TemperatureDifference::from_kelvin(-1.0));
    }

    #[test]
    fn a_number_without_a_unit_is_asked_for_one() {
        assert!(matches!(volume("7.2"), Err(QuantityError::NoUnit { .. })));
        assert!(matches!(volume("7.2 kPa"), Err(QuantityError::WrongUnit { .. })));
        assert!(matches!(temperature("warm"), Err(QuantityError::NoNumber { .. })));
    }
}
