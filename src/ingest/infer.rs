//! The unit of each channel: stated after the values, in the heading or in the unit row; else inferred from the values, and
//! said so.
//!
//! The question that matters is Celsius or Fahrenheit. A log uses one scale, so all its temperatures are asked together, with
//! whatever other units it states. An engine that regulates stands near 90: in Fahrenheit that would be 32 °C, at which no
//! engine holds; and a reading above 150 can only be Fahrenheit. Where neither is seen, small signs are counted and Celsius,
//! the unit of SAE J1979, wins a draw.

use super::assign::Chosen;
use super::columns::Heading;
use super::table::Series;
use super::units::{self, Dimension, Unit};
use crate::channel::Channel;
use std::collections::BTreeMap;

/// The unit taken for a channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The unit.
    pub unit: &'static Unit,
    /// Whether the log states it.
    pub stated: bool,
    /// Why, if it does not.
    pub why: String,
}

/// Readings of a column in order, with its middle and edges (2nd and 98th percentile, so that a few codes do not count).
struct Spread {
    first: f64,
    low: f64,
    high: f64,
    late: f64,
    late_range: f64,
}

fn spread(values: &[f64]) -> Option<Spread> {
    let quantile = |sorted: &[f64], share: f64| sorted.get(((sorted.len() as f64 - 1.0) * share).round() as usize).copied();
    let sorted = |values: &[f64]| {
        let mut sorted = values.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        sorted
    };
    let (all, late) = (sorted(values), sorted(values.get(values.len() * 2 / 3..)?));
    Some(Spread {
        first: quantile(&sorted(values.get(..values.len().min(9))?), 0.5)?,
        low: quantile(&all, 0.02)?,
        high: quantile(&all, 0.98)?,
        late: quantile(&late, 0.5)?,
        late_range: quantile(&late, 0.9)? - quantile(&late, 0.1)?,
    })
}

/// Chooses the unit of every channel.
pub fn units_of(chosen: &BTreeMap<Channel, Chosen>, headings: &[Heading], series: &[Series]) -> BTreeMap<Channel, Taken> {
    let stated = |channel: Channel| -> Option<&'static Unit> {
        let column = chosen.get(&channel)?.column;
        let after = series.get(column)?.unit;
        after.or_else(|| headings.get(column)?.unit.as_ref().map(|(unit, _)| *unit)).filter(|unit| units::fits(unit, channel))
    };
    let values = |channel: Channel| {
        chosen.get(&channel).and_then(|chosen| series.get(chosen.column)).map_or(&[][..], |series| series.value.as_slice())
    };
    let all_stated: Vec<&Unit> = chosen.keys().filter_map(|&channel| stated(channel)).collect();
    let scale =
        chosen.keys().any(|&channel| channel.is_temperature() && stated(channel).is_none()).then(|| temperature_scale(values, &all_stated));
    chosen
        .keys()
        .map(|&channel| {
            let taken = match stated(channel) {
                Some(unit) => Taken { unit, stated: true, why: String::new() },
                None if channel.is_temperature() => {
                    let (unit, why) = scale.clone().unwrap_or((&units::CELSIUS, String::new()));
                    let coolant = chosen.contains_key(&Channel::CoolantTemperature) && channel != Channel::CoolantTemperature;
                    Taken { unit, stated: false, why: if coolant { "as the coolant temperature's".into() } else { why } }
                }
                None => {
                    let customary =
                        scale.as_ref().is_some_and(|(unit, _)| *unit == &units::FAHRENHEIT) || all_stated.contains(&&units::FAHRENHEIT);
                    let (unit, why) = other_unit(channel, spread(values(channel)), customary);
                    Taken { unit, stated: false, why }
                }
            };
            (channel, taken)
        })
        .collect()
}

fn temperature_scale<'a>(values: impl Fn(Channel) -> &'a [f64], stated: &[&Unit]) -> (&'static Unit, String) {
    if let Some(unit) = stated.iter().find(|unit| unit.dimension == Dimension::Temperature) {
        let unit = [&units::CELSIUS, &units::FAHRENHEIT, &units::KELVIN].into_iter().find(|known| known == unit).unwrap_or(&units::CELSIUS);
        return (unit, format!("another temperature here is in {}", unit.label));
    }
    let Some(coolant) = spread(values(Channel::CoolantTemperature)) else { return (&units::CELSIUS, "the unit of SAE J1979".into()) };
    if coolant.low > 230.0 {
        return (&units::KELVIN, format!("it never falls below {:.0}", coolant.low));
    }
    if coolant.high > 150.0 {
        return (&units::FAHRENHEIT, format!("it reaches {:.0}, which no coolant does in °C", coolant.high));
    }
    let air = spread(values(Channel::IntakeAirTemperature)).or_else(|| spread(values(Channel::AmbientTemperature))).map(|air| air.first);
    let states = |units: &[Unit]| stated.iter().any(|unit| units.contains(unit));
    let regulates = (70.0..=112.0).contains(&coolant.late) && coolant.late_range < 8.0;
    let rose = coolant.late - coolant.first > 15.0;
    // Cold-soaked, coolant and air start alike; both above 55 °C would be no morning. A hot engine stands far above its air.
    let soaked_warm = coolant.first > 55.0 && air.is_some_and(|air| air > 55.0 && (air - coolant.first).abs() < 10.0);
    let signs = [
        (states(&[units::PSI, units::INCH_MERCURY]), -3, "the log has customary units"),
        // Miles an hour go with °C in some countries.
        (states(&[units::MILES_PER_HOUR]), -2, "the log has miles an hour"),
        (soaked_warm, -3, "coolant and air start alike, above 55"),
        (coolant.high > 115.0, -1, "it goes above 115"),
        (states(&[units::KM_PER_HOUR, units::KILOPASCAL, units::BAR, units::HECTOPASCAL]), 3, "the log has metric units"),
        (regulates && rose, 4, "it rises and then holds as a regulated engine does"),
        (regulates && !rose, 2, "it holds as a regulated engine does"),
        (coolant.low < 20.0 && coolant.high > 60.0, 1, "it climbs from a cold morning's value to an engine's"),
        (coolant.first < 32.0, 1, "in °F it would start below freezing"),
    ];
    let sum: i32 = signs.iter().filter(|(seen, ..)| *seen).map(|(_, weight, _)| weight).sum();
    let unit = if sum < 0 { &units::FAHRENHEIT } else { &units::CELSIUS };
    let because: Vec<&str> = signs.iter().filter(|(seen, weight, _)| *seen && (*weight < 0) == (sum < 0)).map(|(.., why)| *why).collect();
    let why = if because.is_empty() { "the unit of SAE J1979; nothing in the log tells".to_owned() } else { because.join(", ") };
    (unit, why)
}

/// The unit of a channel that is no temperature, by the size of its readings.
fn other_unit(channel: Channel, spread: Option<Spread>, customary: bool) -> (&'static Unit, String) {
    let own = (units::own(channel), "the unit of SAE J1979".to_owned());
    let Some(spread) = spread else { return own };
    let high = spread.high;
    let sized = |unit: &'static Unit| (unit, format!("it reaches {high:.4}"));
    match channel {
        Channel::VehicleSpeed if customary => (&units::MILES_PER_HOUR, "the temperatures are in °F".into()),
        Channel::BarometricPressure | Channel::ManifoldPressure => match high {
            0.2..5.0 => sized(&units::BAR),
            5.0..18.0 => sized(&units::PSI),
            25.0..32.0 if channel == Channel::BarometricPressure => sized(&units::INCH_MERCURY),
            450.0..4000.0 => sized(&units::HECTOPASCAL),
            _ => own,
        },
        Channel::EngineLoad if high > 0.0 && high <= 1.0 => sized(&units::SHARE),
        Channel::ModuleVoltage if high > 1000.0 => sized(&units::MILLIVOLT),
        Channel::RunTime if high > 200_000.0 => sized(&units::MILLISECOND),
        Channel::ReservoirLevel => (units::own(channel), "kept as the log has it".into()),
        _ => own,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scale(coolant: &[f64], air: &[f64], stated: &[&Unit]) -> &'static str {
        let lookup = |channel| match channel {
            Channel::CoolantTemperature => coolant,
            Channel::IntakeAirTemperature => air,
            _ => &[][..],
        };
        temperature_scale(lookup, stated).0.label
    }

    #[test]
    fn the_scale_is_told_from_the_values() {
        let climb = |from: f64, to: f64, hold: usize| -> Vec<f64> {
            (0..100).map(|i| from + (to - from) * f64::from(i) / 99.0).chain(std::iter::repeat_n(to, hold)).collect()
        };
        assert_eq!(scale(&climb(20.0, 88.0, 100), &[], &[]), "°C", "an ordinary warm-up");
        assert_eq!(scale(&climb(68.0, 190.0, 100), &[70.0], &[]), "°F", "an ordinary warm-up in °F");
        assert_eq!(scale(&climb(68.0, 120.0, 0), &[68.0], &[]), "°F", "a cold log in °F: no morning has 68 °C");
        assert_eq!(scale(&climb(25.0, 80.0, 0), &[25.0], &[]), "°C", "a log that ends before the thermostat opens");
        assert_eq!(scale(&climb(40.0, 100.0, 0), &[42.0], &[&units::MILES_PER_HOUR]), "°F", "miles an hour go with °F");
        assert_eq!(
            scale(&climb(10.0, 80.0, 0), &[10.0], &[&units::MILES_PER_HOUR]),
            "°C",
            "miles an hour and °C, cut off while it warms up"
        );
        assert_eq!(scale(&climb(60.0, 88.0, 100), &[58.0], &[]), "°C", "restarted after an hour in the sun");
        assert_eq!(scale(&climb(88.0, 88.0, 100), &[62.0], &[]), "°C", "a hot restart with soaked intake air");
        assert_eq!(scale(&climb(290.0, 361.0, 50), &[], &[]), "K", "never below 230");
    }
}
