//! The findings as the JSON contract has them.

use crate::analysis::Analysis;
use serde::Serialize;
use serde_json::{Map, Value};

/// One member a finding; a finding that measured nothing is left out.
pub fn of(analysis: &Analysis) -> Value {
    let mut members = Map::new();
    add(&mut members, "opening", &analysis.opening);
    add(&mut members, "warm_up", &analysis.warm_up);
    add(&mut members, "regulation", &analysis.regulation);
    add(&mut members, "heat_rejection", &analysis.heat_rejection);
    add(&mut members, "trapped_air", &analysis.trapped_air);
    add(&mut members, "cooling_down", &analysis.cooling_down);
    add(&mut members, "boiling_margin", &analysis.boiling_margin);
    add(&mut members, "sensor_offset", &analysis.sensor_offset.as_ref().ok());
    add(&mut members, "level_expansion", &analysis.level_expansion);
    add(&mut members, "level_loss", &analysis.level_loss);
    add(&mut members, "log_quality", &analysis.log_quality);
    Value::Object(members)
}

fn add(members: &mut Map<String, Value>, name: &str, finding: &impl Serialize) {
    // A value that is not finite has no place in JSON; serde writes it as null, which the contract reads as unknown.
    let value = serde_json::to_value(finding).unwrap_or(Value::Null);
    if !value.is_null() && value.as_object().is_none_or(|object| !object.is_empty()) {
        members.insert(name.to_owned(), value);
    }
}
