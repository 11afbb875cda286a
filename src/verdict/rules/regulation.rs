//! Regulation: does the temperature hold a band that suits the thermostat, clear of boiling?

use super::opening::wax_rating;
use crate::analysis::Analysis;
use crate::analysis::opening::State;
use crate::estimate::spoken::clock;
use crate::run::Run;
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// A band that is held before this, in seconds after firing, is held from the start.
const FROM_THE_START_S: f64 = 10.0;

/// Judges the band.
pub fn judge(run: &Run, analysis: &Analysis) -> Ruling {
    let regulation = &analysis.regulation;
    let (Some(low), Some(high)) = (regulation.low, regulation.high) else { return no_band(analysis) };
    let stated = wax_rating(&run.vehicle.thermostat);
    let ([lowest, highest], part) = match stated {
        Some(rating) => {
            let limits = [rating + limits::BAND_REACHES_RATING_K, rating + limits::BAND_ABOVE_RATING_K];
            (limits, format!(" for a valve stamped {rating:.0} °C"))
        }
        None => (limits::BAND_ANY, String::new()),
    };
    let since = match regulation.settling_time {
        Some(settled) if settled.value - analysis.phases.fired_s < FROM_THE_START_S => " from the start".to_owned(),
        Some(settled) => format!(" from {} on", clock(settled.value)),
        None => String::new(),
    };
    let decision = within(&high, lowest, highest);
    let straddles = format!("its interval, {} °C, reaches past that, so it is not settled", high.spoken_interval());
    let (judged, advice): (&str, &[Advice]) = match decision {
        Decision::Pass => ("it does", &[]),
        Decision::Recheck if high.value < lowest => {
            if analysis.trapped_air.disturbs_the_reading() {
                let vapour =
                    "it stays below: the sensor may stand in vapour and read low, or the valve does not close, or is not the one stated";
                (vapour, &[Advice::BleedAgain, Advice::TestThermostat])
            } else {
                ("it stays below: the valve does not close, or is not the one stated", &[Advice::TestThermostat])
            }
        }
        Decision::Recheck => {
            ("it rises above: flow, fan or valve do not keep up", &[Advice::StopAndCool, Advice::CheckFan, Advice::CheckRadiator])
        }
        _ if stated.is_some() => (&straddles, &[Advice::RecordFromCold]),
        _ => (&straddles, &[Advice::StateThermostat, Advice::RecordFromCold]),
    };
    let statement = format!(
        "The reading held {:.0} to {:.0} °C{since}. The top of that band should lie between {lowest:.0} and {highest:.0} °C{part}; {judged}.",
        low.value, high.value
    );
    Ruling::new(Topic::Regulation, decision, statement, advice)
}

/// No band: a valve that is open throughout has none to hold and is judged by its opening; else another drive may show one.
fn no_band(analysis: &Analysis) -> Ruling {
    let (decision, because, advice): (Decision, &str, &[Advice]) = match analysis.opening.state {
        State::OpenThroughout => (Decision::NotJudged, "the thermostat is open throughout", &[]),
        State::NotReached => (Decision::Inconclusive, "the thermostat did not open", &[Advice::RecordFromCold]),
        _ => {
            // What follows the semicolon is a way out; the advice says it.
            let because = analysis.regulation.because.as_deref().and_then(|because| because.split("; ").next());
            (Decision::Inconclusive, because.unwrap_or("the log is too short"), &[Advice::RecordFromCold])
        }
    };
    Ruling::new(Topic::Regulation, decision, format!("There is no steady temperature to judge: {because}."), advice)
}
