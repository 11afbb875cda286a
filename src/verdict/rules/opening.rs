//! Opening: did the thermostat open, and where its stamp says?

use crate::analysis::Analysis;
use crate::analysis::opening::{Opening, State};
use crate::analysis::regulation::Regulation;
use crate::estimate::{Estimate, Unit};
use crate::run::Run;
use crate::vehicle::{Control, Side, Thermostat};
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// How far beyond the latest opening a reading must go without one before the valve is called stuck, in kelvin: a fast rise runs
/// that far past before a sound valve shows.
const LATE_BEYOND_K: f64 = 8.0;

/// Judges the opening.
pub fn judge(run: &Run, analysis: &Analysis) -> Ruling {
    let opening = &analysis.opening;
    let ruling = |decision, statement: String, advice: &[Advice]| Ruling::new(Topic::Opening, decision, statement, advice);
    match opening.state {
        State::Opened => opened(run, analysis),
        State::NotReached => not_reached(run, opening),
        State::OpenThroughout => ruling(
            Decision::Recheck,
            format!(
                "The radiator was in the circuit from the start: the coolant never rose above {:.0} °C and lost heat as the road speed \
                 rose. A thermostat that is stuck open, or missing, does that.",
                opening.highest
            ),
            &[Advice::TestThermostat],
        ),
        State::AlreadyOpen => ruling(
            Decision::Inconclusive,
            "The engine was hot and the thermostat open when the log starts, so its opening is not in it.".to_owned(),
            &[Advice::RecordFromCold],
        ),
        State::NotObservable => ruling(
            Decision::Inconclusive,
            format!("The opening cannot be seen: {}.", opening.because.unwrap_or("the log does not cover the warm-up")),
            &[Advice::RecordFromCold, Advice::RecordFaster],
        ),
    }
}

/// Whether the stamped rating may be held against the opening: only a plain wax element follows its stamp.
pub fn wax_rating(thermostat: &Thermostat) -> Option<f64> {
    thermostat.rating.filter(|_| thermostat.control == Control::Wax).map(|rating| rating.celsius())
}

fn opened(run: &Run, analysis: &Analysis) -> Ruling {
    let opening = &analysis.opening;
    let Some(temperature) = opening.temperature else {
        return Ruling::new(Topic::Opening, Decision::Inconclusive, "The opening could not be placed.", &[Advice::RecordFromCold]);
    };
    let at = opening.knee_time.map_or(String::new(), |time| format!(" after {}", minutes(time.value)));
    match wax_rating(&run.vehicle.thermostat) {
        Some(rating) => against_rating(&temperature, analysis, rating, run.vehicle.thermostat.side, &at),
        None => {
            let [low, high] = limits::OPENING_ANY;
            let decision = within(&temperature, low, high);
            let judged = match decision {
                Decision::Pass => {
                    "within what thermostats do; with its stamped rating, and that it is a plain wax one, it could be judged closer"
                }
                Decision::Recheck if temperature.value < low => "below any thermostat's rating: it opens far too early or does not close",
                Decision::Recheck => "above any thermostat's rating: it opens far too late",
                _ => "at the edge of what thermostats do",
            };
            let advice: &[Advice] = match decision {
                Decision::Pass => &[],
                Decision::Recheck => &[Advice::TestThermostat],
                _ => &[Advice::StateThermostat, Advice::RecordFromCold],
            };
            Ruling::new(Topic::Opening, decision, format!("The thermostat opened at {}{at}, {judged}.", temperature.spoken()), advice)
        }
    }
}

/// Reading at which the valve's wax begins to lift, from the two things that show it: the reading at the first lift less what
/// the wax lagged behind, and the middle of the band that the valve then holds. They are averaged by their uncertainties.
fn wax_opens_at(temperature: &Estimate, analysis: &Analysis) -> Estimate {
    let (lag, u_lag) = limits::WAX_LAG_S;
    let rise = analysis.opening.rise_before;
    let at_lift = temperature.shifted(-lag * rise).widened(u_lag * rise);
    match held(&analysis.regulation) {
        Some((middle, u)) => {
            let (a, b) = (at_lift.standard_uncertainty.powi(-2), u.powi(-2));
            Estimate::normal((at_lift.value * a + middle * b) / (a + b), (a + b).powf(-0.5), Unit::Celsius)
        }
        None => at_lift,
    }
}

/// What a firm hold tells of the first lift, in °C, with its standard uncertainty.
fn held(regulation: &Regulation) -> Option<(f64, f64)> {
    let (low, high) = (regulation.low?, regulation.high?);
    let (per_width, least) = limits::HELD_TELLS;
    let u = least.hypot(per_width * (high.value - low.value));
    regulation.is_firm().then_some((regulation.middle? - limits::HELD_ABOVE_LIFT_K, u))
}

fn against_rating(temperature: &Estimate, analysis: &Analysis, rating: f64, side: Side, at: &str) -> Ruling {
    let [low, high] = match side {
        Side::Outlet => limits::OUTLET_ABOUT_RATING_K,
        Side::Inlet => limits::INLET_ABOUT_RATING_K,
        Side::Unknown => limits::UNKNOWN_ABOUT_RATING_K,
    }
    .map(|distance| rating + distance);
    let wax = wax_opens_at(temperature, analysis);
    let decision = within(&wax, low, high);
    let what = format!(
        "The thermostat opened at {}{at}. Less the lag of its wax, and by the level that it then held, it begins to open at {}; \
         stamped {rating:.0} °C, it should read {low:.0} to {high:.0} °C there",
        temperature.spoken(),
        wax.spoken()
    );
    let (judged, advice): (&str, &[Advice]) = match decision {
        Decision::Pass => ("That fits", &[]),
        Decision::Recheck if wax.value < low => {
            ("That is early: the valve is tiring, does not close, or is not the one stated", &[Advice::TestThermostat])
        }
        Decision::Recheck => {
            ("That is late: the valve sticks, or gas stood about its element, or it is not the one stated", &[Advice::TestThermostat])
        }
        _ => ("The uncertainty reaches across that limit", &[Advice::RecordFromCold]),
    };
    Ruling::new(Topic::Opening, decision, format!("{what}. {judged}."), advice)
}

fn not_reached(run: &Run, opening: &Opening) -> Ruling {
    let highest = opening.highest;
    let latest = match wax_rating(&run.vehicle.thermostat) {
        Some(rating) => rating + limits::INLET_ABOUT_RATING_K[1] + LATE_BEYOND_K,
        None => limits::OPENING_ANY[1],
    };
    if highest > latest {
        return Ruling::new(
            Topic::Opening,
            Decision::Recheck,
            format!("The coolant reached {highest:.0} °C and no opening shows; by {latest:.0} °C any working thermostat has opened."),
            &[Advice::StopAndCool, Advice::TestThermostat],
        );
    }
    Ruling::new(
        Topic::Opening,
        Decision::Inconclusive,
        format!("The log holds no opening: the coolant reached {highest:.0} °C."),
        &[Advice::DriveNotIdle, Advice::RecordFromCold],
    )
}

/// A moment of the log as people say it.
pub fn minutes(seconds: f64) -> String {
    let whole = seconds.max(0.0).round() as u64;
    match (whole / 3600, whole / 60 % 60, whole % 60) {
        (0, minutes, seconds) => format!("{minutes} min {seconds:02} s"),
        (hours, minutes, _) => format!("{hours} h {minutes:02} min"),
    }
}
