//! Opening: did the thermostat open, and where its stamp says?

use crate::analysis::Analysis;
use crate::analysis::opening::{Opening, State};
use crate::estimate::{Estimate, Unit};
use crate::run::Run;
use crate::vehicle::{Control, Side, Thermostat};
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges the opening.
pub fn judge(run: &Run, analysis: &Analysis) -> Ruling {
    let opening = &analysis.opening;
    let ruling = |decision, statement: String, advice: &[Advice]| Ruling::new(Topic::Opening, decision, statement, advice);
    match opening.state {
        State::Opened => opened(run, opening),
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

fn opened(run: &Run, opening: &Opening) -> Ruling {
    let Some(temperature) = opening.temperature else {
        return Ruling::new(Topic::Opening, Decision::Inconclusive, "The opening could not be placed.", &[Advice::RecordFromCold]);
    };
    let at = opening.knee_time.map_or(String::new(), |time| format!(" after {}", minutes(time.value)));
    match wax_rating(&run.vehicle.thermostat) {
        Some(rating) => against_rating(&temperature, rating, run.vehicle.thermostat.side, &at),
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

fn against_rating(temperature: &Estimate, rating: f64, side: Side, at: &str) -> Ruling {
    let (gap, u) = match side {
        Side::Outlet => limits::OUTLET_GAP_K,
        Side::Inlet => limits::INLET_GAP_K,
        Side::Unknown => limits::UNKNOWN_GAP_K,
    };
    let off = temperature.shifted(-rating - gap).widened(u);
    let off = Estimate { unit: Unit::Kelvin, ..off };
    let tolerance = limits::OPENING_TOLERANCE_K;
    let decision = within(&off, -tolerance, tolerance);
    let what = format!(
        "The thermostat opened at {}{at}; stamped {rating:.0} °C, its lift should show at about {:.0} °C (within {tolerance:.0} K)",
        temperature.spoken(),
        rating + gap
    );
    let (judged, advice): (&str, &[Advice]) = match decision {
        Decision::Pass => ("That fits", &[]),
        Decision::Recheck if off.value < 0.0 => {
            ("That is early: the valve is tiring, does not close, or is not the one stated", &[Advice::TestThermostat])
        }
        Decision::Recheck => {
            ("That is late: the valve sticks, or gas stood about its element, or it is not the one stated", &[Advice::TestThermostat])
        }
        _ => ("The uncertainty reaches across that limit", &[Advice::RecordFromCold, Advice::RecordFaster]),
    };
    Ruling::new(Topic::Opening, decision, format!("{what}. {judged}."), advice)
}

fn not_reached(run: &Run, opening: &Opening) -> Ruling {
    let highest = opening.highest;
    let latest = match wax_rating(&run.vehicle.thermostat) {
        Some(rating) => rating + limits::INLET_GAP_K.0 + 2.0 * limits::INLET_GAP_K.1 + limits::OPENING_TOLERANCE_K,
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
