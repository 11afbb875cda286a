//! Quantities as people write them: a number, then a unit ("7.2 L", "188 °F", "15 psi").
//!
//! A decimal comma is read as a point, unless it may group thousands ("1,500 mL"). A unit is always asked for: a bare number
//! would be right in one country and wrong in the next. Case, spaces and full stops in a unit do not matter.
//!
//! # References
//!
//! - NIST Special Publication 811 (2008), appendix B.8: US gallon 3.785 411 784 L, inch 25.4 mm, mile 1.609 344 km, psi 6.894 757 kPa.

use super::{Pressure, Temperature, TemperatureDifference, Volume};
use crate::excerpt::shorten;

/// Why a text is no quantity of the wanted kind.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// No number at the start.
    #[error("`{}` does not begin with a number", shorten(.text, 60))]
    NoNumber {
        /// What was there.
        text: String,
        /// Units that would do.
        units: &'static str,
    },
    /// A number that has or may have a separator of thousands: 1,500 is read differently in different countries.
    #[error("`{}` may have a separator of thousands", shorten(.text, 60))]
    Grouped {
        /// What was there.
        text: String,
        /// Units that would do.
        units: &'static str,
    },
    /// A number without a unit.
    #[error("`{}` has no unit", shorten(.text, 60))]
    NoUnit {
        /// What was there.
        text: String,
        /// Units that would do.
        units: &'static str,
    },
    /// A unit that does not measure this.
    #[error("`{}` in `{}` is not a unit that fits here", shorten(.unit, 40), shorten(.text, 60))]
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
        match self {
            Self::Grouped { units, .. } => format!("write the number without a separator of thousands, and one of these units: {units}"),
            Self::NoNumber { units, .. } | Self::NoUnit { units, .. } | Self::WrongUnit { units, .. } => {
                format!("write a number and one of these units: {units}")
            }
        }
    }
}

/// Splits "7,2 L" into its number's text "7,2" and "L".
fn parts(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|&(index, c)| !(c.is_ascii_digit() || c == '.' || c == ',' || (matches!(c, '-' | '+' | '−') && index == 0)))
        .map_or(text.len(), |(index, _)| index);
    let (number, unit) = text.split_at(end);
    (number, unit.trim())
}

/// Splits "7,2 L" into 7.2 and "L"; the unit may be empty.
pub fn split(text: &str) -> Option<(f64, &str)> {
    let (number, unit) = parts(text);
    let value: f64 = number.replace(',', ".").replace('−', "-").parse().ok()?;
    value.is_finite().then_some((value, unit))
}

/// Whether `separator` may group thousands in the number at the start of `text`: it stands once, three digits follow it, and
/// one to three digits that do not begin with 0 go before it.
pub fn groups_thousands(text: &str, separator: char) -> bool {
    let (number, _) = parts(text);
    let Some((before, after)) = number.trim_start_matches(['-', '+', '−']).split_once(separator) else { return false };
    let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    after.len() == 3 && digits(after) && (1..=3).contains(&before.len()) && digits(before) && !before.starts_with('0')
}

/// Checks that the number at the start of `text` can be read in one way only; `units` go into the error.
///
/// # Errors
///
/// [`QuantityError::Grouped`] if it has several separators, or a comma that may group thousands.
pub fn unambiguous(text: &str, units: &'static str) -> Result<(), QuantityError> {
    let separators = parts(text).0.matches(['.', ',']).count();
    if separators > 1 || groups_thousands(text, ',') {
        return Err(QuantityError::Grouped { text: text.to_owned(), units });
    }
    Ok(())
}

/// A number with its unit folded: lower case, without spaces and full stops, with one degree sign.
fn number_and_unit<'a>(text: &'a str, units: &'static str) -> Result<(f64, &'a str, String), QuantityError> {
    unambiguous(text, units)?;
    let (value, unit) = split(text).ok_or_else(|| QuantityError::NoNumber { text: text.to_owned(), units })?;
    if unit.is_empty() {
        return Err(QuantityError::NoUnit { text: text.to_owned(), units });
    }
    // º (ordinal) and ˚ (ring) stand on keyboards where ° does not; ℃ and ℉ are one character each.
    let folded = unit.to_lowercase().replace(['º', '˚'], "°").replace('℃', "°c").replace('℉', "°f");
    Ok((value, unit, folded.chars().filter(|c| !c.is_whitespace() && *c != '.').collect()))
}

/// Finds the unit in `table` (folded name, factor) and scales the number.
fn scaled(text: &str, units: &'static str, table: &[(&str, f64)]) -> Result<f64, QuantityError> {
    let (value, unit, folded) = number_and_unit(text, units)?;
    let wrong = || QuantityError::WrongUnit { text: text.to_owned(), unit: unit.to_owned(), units };
    table.iter().find(|(name, _)| *name == folded).map(|(_, factor)| value * factor).ok_or_else(wrong)
}

/// Reads a temperature: °C, °F or K.
///
/// # Errors
///
/// [`QuantityError`] if there is no number, no unit, or a unit of something else.
pub fn temperature(text: &str) -> Result<Temperature, QuantityError> {
    const UNITS: &str = "degC, degF, K";
    let (value, unit, folded) = number_and_unit(text, UNITS)?;
    match folded.as_str() {
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
        ("liter", 1000.0),
        ("liters", 1000.0),
        ("floz", FLUID_OUNCE),
        ("usfloz", FLUID_OUNCE),
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
    scaled(text, "mm, cm, in", &[("mm", 1.0), ("cm", 10.0), ("in", 25.4), ("inch", 25.4), ("inches", 25.4), ("\"", 25.4)])
}

/// Reads a distance in kilometres: km or miles.
///
/// # Errors
///
/// [`QuantityError`] if there is no number, no unit, or a unit of something else.
pub fn distance_kilometres(text: &str) -> Result<f64, QuantityError> {
    const MILE: f64 = 1.609_344;
    scaled(text, "km, mi", &[("km", 1.0), ("mi", MILE), ("mile", MILE), ("miles", MILE)])
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
        assert!((distance_kilometres("113000 mi").unwrap() - 181_855.872).abs() < 1e-6);
        assert_eq!(temperature_difference("-1.8 degF").unwrap(), TemperatureDifference::from_kelvin(-1.0));
    }

    #[test]
    fn a_unit_is_known_however_it_is_typed() {
        for text in ["87 °C", "87°c", "87 deg C", "87 º C", "87 ℃", "87,0 Celsius", "+87.0 C"] {
            assert_eq!(temperature(text).unwrap().celsius(), 87.0, "{text}");
        }
        assert_eq!(temperature("−5 °C").unwrap().celsius(), -5.0);
        assert_eq!(volume("8 fl. oz.").unwrap(), volume("8 US fl oz").unwrap());
    }

    #[test]
    fn a_comma_that_may_group_thousands_is_asked_about() {
        for text in ["1,500 mL", "12,500 mL", "1.234,5 mL", "1,234.5 mL", "1,234,567 mL"] {
            assert!(matches!(volume(text), Err(QuantityError::Grouped { .. })), "{text}");
        }
        assert_eq!(volume("0,150 L").unwrap().millilitres(), 150.0, "nothing is grouped below a thousand");
        assert_eq!(volume("7,25 L").unwrap().millilitres(), 7250.0);
        assert_eq!(volume("1.500 L").unwrap().millilitres(), 1500.0, "a point is always decimal");
    }

    #[test]
    fn a_number_too_large_to_hold_is_no_number() {
        assert!(matches!(volume(&format!("{} L", "9".repeat(400))), Err(QuantityError::NoNumber { .. })));
    }

    #[test]
    fn a_number_without_a_unit_is_asked_for_one() {
        assert!(matches!(volume("7.2"), Err(QuantityError::NoUnit { .. })));
        assert!(matches!(volume("7.2 kPa"), Err(QuantityError::WrongUnit { .. })));
        assert!(matches!(temperature("warm"), Err(QuantityError::NoNumber { .. })));
    }
}
