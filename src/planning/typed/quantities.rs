//! What is typed for a plan and is no single quantity: measured volumes, strengths, shares, lives, prices, dates, counts.
//!
//! Numbers and units are read as everywhere (`units::parse`): a unit is always asked for, a separator of thousands is refused.

use crate::coolant::Base;
use crate::planning::job::{Drain, Drains, Measured, Price};
use crate::planning::product::{Life, Product};
use crate::planning::strength::Strength;
use crate::units::parse::{self, QuantityError};
use chrono::NaiveDate;

/// Why a text is not what its field takes, and the way out.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Misread {
    /// What was there.
    pub what: String,
    /// What to write.
    pub hint: String,
}

impl Misread {
    fn new(text: &str, what: &str, hint: &str) -> Self {
        Self { what: format!("`{text}` {what}"), hint: hint.to_owned() }
    }
}

impl From<QuantityError> for Misread {
    fn from(error: QuantityError) -> Self {
        Self { what: error.to_string(), hint: error.hint() }
    }
}

const PERCENT: &str = "% (as in 60%)";
const STRENGTH: &str = "% (by volume, or \"% by mass\"); degC, degF for a freezing point (-30C)";
const DISTANCE: &str = "km, mi";
const HEIGHT: &str = "m, ft";
const LIFE: &str = "km, mi; years, months; both with a stroke between (160000km/5years)";

/// US statute mile in km and international foot in m (NIST SP 811, appendix B.8).
const MILE_KM: f64 = 1.609_344;
const FOOT_M: f64 = 0.3048;

/// `4.5L`, `4.5L@40C`, `4.5 L ± 0.1 L at 40 degC`.
pub(super) fn measured(text: &str) -> Result<Measured, Misread> {
    let (volume, temperature) = parted(text, &["@", " at "]);
    let (volume, within) = parted(volume, &["±", "+-", "+/-"]);
    Ok(Measured {
        volume: parse::volume(volume)?,
        within: within.map(parse::volume).transpose()?,
        temperature: temperature.map(parse::temperature).transpose()?,
    })
}

/// The text before the first separator that is in it, and what follows.
fn parted<'a>(text: &'a str, separators: &[&str]) -> (&'a str, Option<&'a str>) {
    let parts = separators.iter().find_map(|separator| text.split_once(separator));
    parts.map_or((text.trim(), None), |(before, after)| (before.trim(), Some(after.trim())))
}

/// A number in per cent, as a share.
pub(super) fn share(text: &str) -> Result<f64, Misread> {
    Ok(in_unit(text, PERCENT, &[("%", 0.01)])?)
}

/// `50%`, `52% by mass`, or a freezing point.
pub(super) fn strength(text: &str) -> Result<Strength, Misread> {
    let Some((number, basis)) = text.split_once('%') else {
        return parse::temperature(text).map(Strength::FreezesAt).map_err(|error| told(error, STRENGTH).into());
    };
    let percent = 100.0 * in_unit(&format!("{number}%"), STRENGTH, &[("%", 0.01)])?;
    match folded(basis).trim_start_matches("by").trim() {
        "" | "volume" | "vol" | "v" => Ok(Strength::VolumePercent(percent)),
        "mass" | "m" | "weight" | "wt" => Ok(Strength::MassPercent(percent)),
        _ => Err(Misread::new(text, "is a share of neither volume nor mass", "write 50% (by volume) or \"52% by mass\"")),
    }
}

/// A per cent number, for a concentrate that is not full.
pub(super) fn percent(text: &str) -> Result<f64, Misread> {
    share(text).map(|share| 100.0 * share)
}

/// Which drains are opened, or the share that comes out.
pub(super) fn drains(text: &str) -> Result<Drain, Misread> {
    let opened = |drains| Ok(Drain { opened: Some(drains), ..Drain::default() });
    match folded(text).replace(['-', '_', '+', '&'], " ").split_whitespace().collect::<Vec<_>>().as_slice() {
        ["radiator"] | ["radiator", "only"] => opened(Drains::RadiatorOnly),
        ["radiator", "block"] | ["radiator", "and", "block"] => opened(Drains::RadiatorAndBlock),
        _ if text.contains('%') => Ok(Drain { share: Some(share(text)?), ..Drain::default() }),
        _ => Err(Misread::new(text, "names no drains", "write radiator, radiator-and-block, or the share that comes out: 60%")),
    }
}

/// A distance in km.
pub(super) fn distance(text: &str) -> Result<f64, Misread> {
    Ok(whole_number(text, DISTANCE, &[("km", 1.0), ("mi", MILE_KM), ("mile", MILE_KM), ("miles", MILE_KM)])?)
}

/// A height above the sea in m.
pub(super) fn height(text: &str) -> Result<f64, Misread> {
    Ok(whole_number(text, HEIGHT, &[("m", 1.0), ("ft", FOOT_M), ("feet", FOOT_M)])?)
}

/// A life: distance, time, or both with a stroke between.
pub(super) fn life(text: &str) -> Result<Life, Misread> {
    let mut life = Life { km: None, years: None };
    for part in text.split('/') {
        let years = [
            ("years", 1.0),
            ("year", 1.0),
            ("yr", 1.0),
            ("y", 1.0),
            ("a", 1.0),
            ("months", 1.0 / 12.0),
            ("month", 1.0 / 12.0),
            ("mo", 1.0 / 12.0),
        ];
        let (place, value) = match in_unit(part, LIFE, &years) {
            Ok(value) => (&mut life.years, value),
            Err(_) => (&mut life.km, whole_number(part, LIFE, &[("km", 1.0), ("mi", MILE_KM), ("miles", MILE_KM)])?),
        };
        if place.replace(value).is_some() {
            return Err(Misread::new(text, "states one thing twice", "write one distance and one time: 160000km/5years"));
        }
    }
    Ok(life)
}

/// `8EUR` a litre, or `30USD/gal`.
pub(super) fn price(text: &str) -> Result<Price, Misread> {
    const HINT: &str = "write the number first, then the currency: 8EUR, or with another measure 30USD/gal";
    let (money, measure) = parted(text, &["/", " per "]);
    let (value, currency) = parse::split(money).ok_or_else(|| Misread::new(text, "does not begin with a number", HINT))?;
    parse::unambiguous(money, "EUR, USD …")?;
    if currency.is_empty() {
        return Err(Misread::new(text, "has no currency", HINT));
    }
    let litres = measure.map_or(Ok(1.0), |measure| parse::volume(&format!("1 {measure}")).map(|volume| volume.litres()));
    let litres = litres.map_err(|_| Misread::new(text, "is a price of no measure that is known", HINT))?;
    Ok(Price { per_litre: value / litres, currency: currency.to_owned() })
}

/// A product type by its name.
pub(super) fn product(text: &str) -> Result<Product, Misread> {
    match folded(text).as_str() {
        "inorganic" => Ok(Product::Inorganic),
        "organic" => Ok(Product::Organic),
        "hybrid" | "hybrid organic" | "hybrid-organic" => Ok(Product::HybridOrganic),
        _ => Err(Misread::new(text, "is no product type", "write inorganic, organic or hybrid, as the label says")),
    }
}

/// A glycol by its name.
pub(super) fn base(text: &str) -> Result<Base, Misread> {
    match folded(text).trim_end_matches("glycol").trim_end_matches(['-', ' ']) {
        "ethylene" => Ok(Base::EthyleneGlycol),
        "propylene" => Ok(Base::PropyleneGlycol),
        _ => Err(Misread::new(text, "is no glycol that is known", "write ethylene or propylene")),
    }
}

/// How many times.
pub(super) fn count(text: &str) -> Result<u32, Misread> {
    text.trim().parse().map_err(|_| Misread::new(text, "is no count", "write a whole number, as in 2"))
}

/// A day, or `today`.
pub(super) fn date(text: &str, today: impl Fn() -> NaiveDate) -> Result<NaiveDate, Misread> {
    if folded(text) == "today" {
        return Ok(today());
    }
    NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d")
        .map_err(|_| Misread::new(text, "is no date that can be read without doubt", "write year-month-day, as in 2026-03-02, or today"))
}

fn folded(text: &str) -> String {
    text.trim().to_lowercase()
}

/// A number in one of the units of `table`.
fn in_unit(text: &str, units: &'static str, table: &[(&str, f64)]) -> Result<f64, QuantityError> {
    parse::unambiguous(text, units)?;
    let (value, unit) = parse::split(text).ok_or_else(|| QuantityError::NoNumber { text: text.to_owned(), units })?;
    if unit.is_empty() {
        return Err(QuantityError::NoUnit { text: text.to_owned(), units });
    }
    let known = table.iter().find(|(name, _)| *name == folded(unit)).map(|(_, factor)| value * factor);
    known.ok_or_else(|| QuantityError::WrongUnit { text: text.to_owned(), unit: unit.to_owned(), units })
}

/// The same where nobody writes three decimals, so that a point before three digits is one that groups thousands.
fn whole_number(text: &str, units: &'static str, table: &[(&str, f64)]) -> Result<f64, QuantityError> {
    if parse::groups_thousands(text, '.') {
        return Err(QuantityError::Grouped { text: text.to_owned(), units });
    }
    in_unit(text, units, table)
}

/// The error with the units that this field takes.
fn told(error: QuantityError, units: &'static str) -> QuantityError {
    match error {
        QuantityError::NoNumber { text, .. } => QuantityError::NoNumber { text, units },
        QuantityError::Grouped { text, .. } => QuantityError::Grouped { text, units },
        QuantityError::NoUnit { text, .. } => QuantityError::NoUnit { text, units },
        QuantityError::WrongUnit { text, unit, .. } => QuantityError::WrongUnit { text, unit, units },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Temperature, Volume};

    #[test]
    fn a_measured_volume_says_what_is_known_beside_it() {
        let full = Measured {
            volume: Volume::from_litres(4.5),
            within: Some(Volume::from_millilitres(100.0)),
            temperature: Some(Temperature::from_celsius(40.0)),
        };
        for text in ["4.5L+-0.1L@40C", "4.5 L ± 100 mL at 40 degC", "4,5L +/- 0,1L @ 40 °C"] {
            assert_eq!(measured(text), Ok(full), "{text}");
        }
        assert_eq!(measured("4.5L"), Ok(Measured::of(Volume::from_litres(4.5))));
        assert!(measured("4.5").unwrap_err().what.contains("no unit"));
    }

    #[test]
    fn a_strength_is_a_share_or_a_freezing_point() {
        assert_eq!(strength("50%"), Ok(Strength::VolumePercent(50.0)));
        assert_eq!(strength("52 % by mass"), Ok(Strength::MassPercent(52.0)));
        assert_eq!(strength("-30C"), Ok(Strength::FreezesAt(Temperature::from_celsius(-30.0))));
        assert_eq!(strength("50").unwrap_err().what, "`50` has no unit");
        assert!(strength("50").unwrap_err().hint.contains("50%") || strength("50").unwrap_err().hint.contains('%'));
        assert!(strength("50% brix").is_err());
    }

    #[test]
    fn a_distance_with_a_separator_of_thousands_is_asked_about() {
        assert_eq!(distance("182000 km"), Ok(182_000.0));
        assert!((distance("100 mi").unwrap() - 160.9344).abs() < 1e-9);
        for text in ["182.000 km", "182,000 km", "182000"] {
            assert!(distance(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_life_has_a_distance_a_time_or_both() {
        assert_eq!(life("160000km/5years"), Ok(Life { km: Some(160_000.0), years: Some(5.0) }));
        assert_eq!(life("30 months"), Ok(Life { km: None, years: Some(2.5) }));
        assert!(life("5years/2years").is_err() && life("long").is_err());
    }

    #[test]
    fn a_price_is_of_a_litre_unless_it_says_of_what() {
        assert_eq!(price("8 EUR"), Ok(Price { per_litre: 8.0, currency: "EUR".to_owned() }));
        assert!((price("30USD/gal").unwrap().per_litre - 7.925).abs() < 1e-3);
        assert!(price("8").is_err() && price("EUR 8").is_err() && price("8EUR/crate").is_err());
    }
}
