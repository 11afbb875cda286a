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
    let ruling = |decision, statement: String, advice: &[Advice]| Ruling::new(Topic::BoilingMargin, decision, statement, advice);
    let Some(margin) = analysis.boiling_margin.as_ref() else {
        return ruling(Decision::NotJudged, "The log has no coolant reading to tell it from.".to_owned(), &[]);
    };
    if margin.highest >= limits::OVERHEATS_C {
        let statement = format!(
            "The reading came to {:.0} °C: from {:.0} °C on an engine overheats, whatever its cap holds.",
            margin.highest,
            limits::OVERHEATS_C
        );
        return ruling(Decision::Recheck, statement, &[Advice::StopAndCool, Advice::BleedAgain, Advice::CheckFan]);
    }
    if let Some(at_cap) = margin.at_cap_pressure {
        let decision = within(&at_cap, limits::BOILING_MARGIN_AT_CAP_K, f64::INFINITY);
        let statement = format!("{}; {}.", said(&at_cap, "at the cap's pressure"), wanted(limits::BOILING_MARGIN_AT_CAP_K));
        return ruling(decision, statement, advice(decision));
    }
    let at_air = margin.at_air_pressure;
    let measured = said(&at_air, "at air pressure");
    let decision = if at_air.interval_95[1] < limits::BOILING_MARGIN_HOPELESS_K {
        Decision::Recheck
    } else {
        within(&at_air, limits::BOILING_MARGIN_AT_AIR_K, f64::INFINITY)
    };
    match decision {
        Decision::Pass => ruling(decision, format!("{measured}; {}.", wanted(limits::BOILING_MARGIN_AT_AIR_K)), &[]),
        Decision::Recheck if at_air.interval_95[1] < limits::BOILING_MARGIN_HOPELESS_K => {
            ruling(decision, format!("{measured}. No cap in use holds that."), advice(decision))
        }
        // Below air-pressure boiling a sound cap may still hold: without its pressure nothing is decided.
        _ => {
            let statement = format!("{measured}. The cap lifts the boiling point; its pressure decides, and is not stated.");
            ruling(Decision::NotJudged, statement, &[Advice::StateCap])
        }
    }
}

fn advice(decision: Decision) -> &'static [Advice] {
    match decision {
        Decision::Recheck => &[Advice::StopAndCool, Advice::CheckMixture],
        Decision::Inconclusive => &[Advice::CheckMixture, Advice::StateCap],
        _ => &[],
    }
}

/// The distance in whole kelvin: nobody decides by tenths here.
fn said(margin: &Estimate, where_: &str) -> String {
    let (distance, side) = if margin.value < 0.0 { (margin.negated(), "above") } else { (*margin, "below") };
    format!("At its hottest the coolant was {} {side} boiling {where_}", distance.spoken_whole())
}

fn wanted(kelvin: f64) -> String {
    format!("at least {kelvin:.0} K is wanted")
}
