//! The table of measured numbers.

use super::super::document::Measure;
use crate::analysis::Analysis;
use crate::estimate::Estimate;

/// Every number that was measured, in the order of the drive.
pub fn of(analysis: &Analysis) -> Vec<Measure> {
    let opening = &analysis.opening;
    let regulation = &analysis.regulation;
    let margin = analysis.boiling_margin.as_ref();
    let expansion = &analysis.level_expansion;
    let rejection = &analysis.heat_rejection;
    let rows: [(&'static str, &'static str, &str, Option<Estimate>); 23] = [
        ("sensor_offset", "", "coolant sensor against the air, cold", analysis.sensor_offset.as_ref().ok().map(|found| found.offset)),
        ("warm_up", "rate", "mean rise while warming up", analysis.warm_up.rate),
        ("opening", "temperature", "thermostat opens at", opening.temperature),
        ("opening", "time", "thermostat opens after", opening.time),
        ("opening", "knee_temperature", "rise visibly bends at", opening.knee_temperature),
        ("opening", "knee_time", "rise visibly bends after", opening.knee_time),
        ("regulation", "settling_time", "reading settles after", regulation.settling_time),
        ("regulation", "low", "band, lower edge (5 % of the time below)", regulation.low),
        ("regulation", "high", "band, upper edge (5 % of the time above)", regulation.high),
        ("regulation", "swing_period", "one swing takes", regulation.swing_period),
        ("regulation", "swing_amplitude", "swing, either way", regulation.swing_amplitude),
        ("heat_rejection", "fan_on", "fan switches on at", rejection.fan_on),
        ("heat_rejection", "fan_off", "fan switches off at", rejection.fan_off),
        ("boiling_margin", "", "least distance to boiling at air pressure", margin.map(|margin| margin.at_air_pressure)),
        ("boiling_margin", "at_cap", "least distance to boiling at the cap's pressure", margin.and_then(|margin| margin.at_cap_pressure)),
        ("cooling_down", "time_constant", "time constant of cooling down", analysis.cooling_down.time_constant),
        ("trapped_air", "probability", "probability of trapped air", Some(analysis.trapped_air.probability)),
        ("level_expansion", "coolant_growth", "coolant grew from cold to hot by", expansion.coolant_growth),
        ("level_expansion", "expected", "so the level should rise by", expansion.expected),
        ("level_expansion", "observed", "the level rose by", expansion.observed),
        ("level_expansion", "shortfall", "it stood short of that by", expansion.shortfall),
        ("level_loss", "cold_to_cold", "coolant taken up, cold to cold", analysis.level_loss.cold_to_cold),
        ("cooling_down", "cold_at_s", "cold (within 5 K of the air) after", analysis.cooling_down.cold_at_s),
    ];
    rows.into_iter()
        .filter_map(|(finding, member, label, estimate)| estimate.map(|estimate| Measure::new(finding, member, label, estimate)))
        .collect()
}
