//! Sensor offset: does the cold coolant sensor agree with the air?

use crate::analysis::Analysis;
use crate::analysis::sensor_offset::SensorOffset;
use crate::estimate::spoken::number;
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits::SENSOR_OFFSET_K;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges the coolant sensor.
pub fn judge(analysis: &Analysis) -> Ruling {
    match &analysis.sensor_offset {
        Ok(found) => against_air(found),
        Err(because) => Ruling::new(Topic::SensorOffset, Decision::NotJudged, format!("Not compared: {}.", because.spoken()), &[]),
    }
}

fn against_air(found: &SensorOffset) -> Ruling {
    let offset = found.beyond_stated();
    let decimals = offset.decimals();
    let whose = if found.stated == 0.0 { "" } else { ", its stated offset taken out," };
    let distance = number(offset.value.abs(), decimals);
    let read = match number(offset.value, decimals) {
        same if same == number(0.0, decimals) => "as the air does".to_owned(),
        below if below != distance => format!("{distance} K below the air"),
        _ => format!("{distance} K above the air"),
    };
    let [low, high] = offset.interval_95.map(|end| format!("{}{}", if end > 0.0 { "+" } else { "" }, number(end, decimals)));
    let measured =
        format!("The cold coolant sensor{whose} read {read} ({low} to {high} K); up to {SENSOR_OFFSET_K:.0} K either way is ordinary");
    let (decision, judged, advice): (Decision, &str, &[Advice]) = match within(&offset, -SENSOR_OFFSET_K, SENSOR_OFFSET_K) {
        Decision::Pass => (Decision::Pass, "", &[]),
        Decision::Recheck => (Decision::Recheck, ". This is more", &[Advice::CompareSensor]),
        // A soak that was a little short, or sun on the bonnet, explains a straddle: it decides nothing against the vehicle.
        _ => (Decision::NotJudged, ". The interval reaches past that, so it decides nothing", &[]),
    };
    Ruling::new(Topic::SensorOffset, decision, format!("{measured}{judged}."), advice)
}
