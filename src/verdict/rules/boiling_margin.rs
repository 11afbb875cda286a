//! Boiling margin: how far from boiling did the drive stay?

use crate::analysis::Analysis;
use crate::estimate::Estimate;
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges the distance to boiling: by the cap's pressure where it is stated, else by air pressure, which decides only the
/// extremes because every closed system adds some.
pub fn judge(analysis: &Analysis) -> Ruling {
    let margin = analysis.boiling_margin.as_ref();
    let at_cap = margin.and_then(|margin| margin.at_cap_pressure);
    let (decision, statement) = match (at_cap, margin.map(|margin| margin.at_air_pressure)) {
        (Some(at_cap), _) => {
            let decision = within(&at_cap, limits::BOILING_MARGIN_AT_CAP_K, f64::INFINITY);
            (decision, said(&at_cap, "at the cap's pressure", limits::BOILING_MARGIN_AT_CAP_K))
        }
        (None, Some(at_air)) => {
            let decision = if at_air.interval_95[1] < limits::BOILING_MARGIN_HOPELESS_K {
                Decision::Recheck
            } else {
                match within(&at_air, limits::BOILING_MARGIN_AT_AIR_K, f64::INFINITY) {
                    Decision::Pass => Decision::Pass,
                    // Below air-pressure boiling a sound cap may still hold: without its pressure nothing is decided against.
                    _ => Decision::NotJudged,
                }
            };
            (decision, said(&at_air, "at air pressure, without counting the cap", limits::BOILING_MARGIN_AT_AIR_K))
        }
        (None, None) => (Decision::NotJudged, "The distance to boiling cannot be told.".to_owned()),
    };
    let advice: &[Advice] = match decision {
        Decision::Recheck => &[Advice::StopAndCool, Advice::CheckMixture],
        Decision::Inconclusive => &[Advice::CheckMixture, Advice::StateCap],
        _ => &[],
    };
    Ruling::new(Topic::BoilingMargin, decision, statement, advice)
}

fn said(margin: &Estimate, where_: &str, limit: f64) -> String {
    format!("At its hottest the coolant stayed {} short of boiling {where_}; {limit:.0} K or more is asked for.", margin.spoken())
}
