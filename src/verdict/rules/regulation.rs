//! Regulation: does the temperature hold a band that suits the thermostat, clear of boiling?

use super::opening::{minutes, wax_rating};
use crate::analysis::Analysis;
use crate::run::Run;
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges the band.
pub fn judge(run: &Run, analysis: &Analysis) -> Ruling {
    let regulation = &analysis.regulation;
    let (Some(low), Some(high)) = (regulation.low, regulation.high) else {
        let because = regulation.because.as_deref().unwrap_or("the log does not hold the band long enough");
        return Ruling::new(
            Topic::Regulation,
            Decision::Inconclusive,
            format!("The band cannot be told: {because}."),
            &[Advice::DriveUntilSteady],
        );
    };
    let stated = wax_rating(&run.vehicle.thermostat);
    let (decision, limit) = match stated {
        Some(rating) => {
            let (lowest, highest) = (rating + limits::BAND_REACHES_RATING_K, rating + limits::BAND_ABOVE_RATING_K);
            let limit = format!("with a valve stamped {rating:.0} °C its upper edge should lie between {lowest:.0} and {highest:.0} °C");
            (within(&high, lowest, highest), limit)
        }
        None => {
            let [lowest, highest] = limits::BAND_ANY;
            let limit = format!("a thermostat keeps its upper edge between {lowest:.0} and {highest:.0} °C");
            (within(&high, lowest, highest), limit)
        }
    };
    let since = regulation.settling_time.map_or(String::new(), |settled| format!(" from {} on", minutes(settled.value)));
    let held = format!("The reading held {:.0} to {:.0} °C{since}", low.value, high.value);
    let middle = regulation.middle.unwrap_or(high.value);
    let (judged, advice): (&str, &[Advice]) = match decision {
        Decision::Pass => ("it does", &[]),
        Decision::Recheck if stated.is_none_or(|rating| middle < rating) && middle < limits::BAND_ANY[1] => {
            ("it stays below: the valve does not close, or is not the one stated", &[Advice::TestThermostat])
        }
        Decision::Recheck => {
            ("it rises above: flow, fan or valve do not keep up", &[Advice::StopAndCool, Advice::CheckFan, Advice::CheckRadiator])
        }
        _ => ("the uncertainty reaches across a limit", &[Advice::DriveUntilSteady, Advice::StateThermostat]),
    };
    Ruling::new(Topic::Regulation, decision, format!("{held}; {limit}: {judged}."), advice)
}
