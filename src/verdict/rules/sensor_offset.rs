//! Sensor offset: does the cold coolant sensor agree with the air?

use crate::analysis::Analysis;
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges the coolant sensor.
pub fn judge(analysis: &Analysis) -> Ruling {
    let offset = match &analysis.sensor_offset {
        Ok(found) => found.beyond_stated(),
        Err(because) => {
            return Ruling::new(
                Topic::SensorOffset,
                Decision::NotJudged,
                format!("The coolant sensor was not judged: {}.", because.spoken()),
                &[],
            );
        }
    };
    let limit = limits::SENSOR_OFFSET_K;
    let decision = within(&offset, -limit, limit);
    let advice: &[Advice] = match decision {
        Decision::Recheck => &[Advice::CompareSensor],
        _ => &[],
    };
    // A soak that was a little short, or sun on the bonnet, explains a straddle: it decides nothing against the vehicle.
    let decision = if decision == Decision::Inconclusive { Decision::NotJudged } else { decision };
    let statement = format!("After the cold soak the coolant sensor read {} beyond the air; {limit:.0} K is the limit.", offset.spoken());
    Ruling::new(Topic::SensorOffset, decision, statement, advice)
}
