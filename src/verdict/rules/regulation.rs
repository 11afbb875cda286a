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
    let [lowest, highest] = match stated {
        Some(rating) => limits::BAND_ABOUT_RATING_K.map(|distance| rating + distance),
        None => limits::BAND_ANY,
    };
    let decision = both(within(&low, lowest, highest), within(&high, lowest, highest));
    let since = regulation.settling_time.map_or(String::new(), |settled| format!(" from {} on", minutes(settled.value)));
    let held = format!("The reading held {:.0} to {:.0} °C{since}", low.value, high.value);
    let about = match stated {
        Some(rating) => format!("for a valve stamped {rating:.0} °C it should stay between {lowest:.0} and {highest:.0} °C"),
        None => format!("a thermostat keeps it between {lowest:.0} and {highest:.0} °C; its stamped rating would narrow that"),
    };
    let (judged, advice): (&str, &[Advice]) = match decision {
        Decision::Pass => ("it does", &[]),
        Decision::Recheck if low.interval_95[1] < lowest => {
            ("it falls below: the valve does not close, or is not the one stated", &[Advice::TestThermostat])
        }
        Decision::Recheck => {
            ("it rises above: flow, fan or valve do not keep up", &[Advice::StopAndCool, Advice::CheckFan, Advice::CheckRadiator])
        }
        _ => ("the uncertainty reaches across a limit", &[Advice::DriveUntilSteady, Advice::StateThermostat]),
    };
    Ruling::new(Topic::Regulation, decision, format!("{held}; {about}: {judged}."), advice)
}

/// The stricter of two decisions.
fn both(first: Decision, second: Decision) -> Decision {
    match (first, second) {
        (Decision::Recheck, _) | (_, Decision::Recheck) => Decision::Recheck,
        (Decision::Pass, Decision::Pass) => Decision::Pass,
        _ => Decision::Inconclusive,
    }
}
