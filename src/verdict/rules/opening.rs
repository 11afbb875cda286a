//! Opening: did the thermostat open, and where its stamp says?

use crate::analysis::Analysis;
use crate::analysis::opening::{LONGEST_RISE_S, Opening, State};
use crate::analysis::regulation::Regulation;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;
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
                "The radiator was in the circuit from the start: the coolant never rose above {:.0} °C, and lost heat as the road speed \
                 rose. A thermostat that is stuck open, or missing, does that.",
                opening.highest
            ),
            &[Advice::TestThermostat],
        ),
        State::AlreadyOpen => ruling(
            Decision::Inconclusive,
            "The engine was hot and the thermostat open when the log starts.".to_owned(),
            &[Advice::RecordFromCold],
        ),
        State::NotObservable => ruling(
            Decision::Inconclusive,
            format!("The opening cannot be seen: {}.", opening.because.unwrap_or("the log does not cover the warm-up")),
            // Too few readings, unless there are none at all or the rise is too long.
            if run.trace(Channel::CoolantTemperature).is_some() && run.duration < LONGEST_RISE_S {
                &[Advice::RecordFromCold, Advice::RecordFaster]
            } else {
                &[Advice::RecordFromCold]
            },
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
    let at = opening.time.map_or(String::new(), |time| format!(" after {}", time.spoken_value()));
    let measured = format!("Opened at {}{at}", temperature.spoken());
    let thermostat = &run.vehicle.thermostat;
    if let Some(rating) = wax_rating(thermostat) {
        let was_held = held(&analysis.regulation).is_some();
        let seen = Seen { was_held, stood: opening.time.is_none_or(|time| stood(run, time.value)) };
        return against_rating(&measured, &valve_starts_at(&temperature, analysis), seen, rating, thermostat.side);
    }
    let [low, high] = limits::OPENING_ANY;
    let decision = within(&temperature, low, high);
    let (judged, advice): (String, &[Advice]) = match decision {
        Decision::Pass => (format!(", as thermostats do.{}", closer(thermostat)), &[]),
        Decision::Recheck if temperature.value < low => {
            (", below any thermostat's rating: it opens far too early or does not close.".to_owned(), &[Advice::TestThermostat])
        }
        Decision::Recheck => (", above any thermostat's rating: it opens far too late.".to_owned(), &[Advice::TestThermostat]),
        _ => (
            format!("; thermostats open between {low:.0} and {high:.0} °C. The interval reaches past that, so it is not settled."),
            &[Advice::StateThermostat, Advice::RecordFromCold],
        ),
    };
    Ruling::new(Topic::Opening, decision, measured + &judged, advice)
}

/// What would allow a closer check; nothing where the valve is known not to follow its stamp.
fn closer(thermostat: &Thermostat) -> &'static str {
    match (thermostat.control, thermostat.rating) {
        (Control::Heated | Control::Driven, _) => "",
        (_, None) => " State the stamped rating for a closer check.",
        (_, Some(_)) => " State whether it is a plain wax one for a closer check.",
    }
}

/// Reading at which the valve's wax begins to lift, from the two things that show it: the reading at the first lift less what
/// the wax lagged behind, and the middle of the band that the valve then holds. They are averaged by their uncertainties.
pub fn valve_starts_at(temperature: &Estimate, analysis: &Analysis) -> Estimate {
    let (lag, u_lag) = limits::WAX_LAG_S;
    let rise = analysis.opening.rise_before;
    let at_lift = temperature.shifted(-lag * rise).widened(u_lag * rise);
    match held(&analysis.regulation) {
        Some((middle, u)) => {
            let (a, b) = (at_lift.standard_uncertainty.powi(-2), u.powi(-2));
            // Where the two disagree by more than they should, neither is believed to its face value (Birge ratio).
            let apart = (at_lift.value - middle).abs() / at_lift.standard_uncertainty.hypot(u);
            Estimate::normal((at_lift.value * a + middle * b) / (a + b), (a + b).powf(-0.5) * apart.max(1.0), Unit::Celsius)
        }
        None => at_lift,
    }
}

/// What a firm hold tells of the first lift, in °C, with its standard uncertainty.
fn held(regulation: &Regulation) -> Option<(f64, f64)> {
    let [low, middle, high] = regulation.at_first()?;
    let (per_width, least) = limits::HELD_TELLS;
    regulation.is_firm().then(|| (middle - limits::HELD_ABOVE_LIFT_K, least.hypot(per_width * (high - low))))
}

/// How the opening was seen.
#[derive(Clone, Copy)]
struct Seen {
    /// Whether the reading was then held firmly.
    was_held: bool,
    /// Whether the vehicle stood, or nothing tells that it moved.
    stood: bool,
}

/// Speed below which air through the radiator takes so little that an opening hardly shows, km/h, and how long before and after the opening
/// it counts, s.
const SLOW_KMH: f64 = 10.0;
const ABOUT_S: [f64; 2] = [120.0, 30.0];

/// Whether the vehicle stood or crept about a moment, or has no road speed in its log.
fn stood(run: &Run, time: f64) -> bool {
    let about = run.trace(Channel::VehicleSpeed).map(|speed| speed.between(time - ABOUT_S[0], time + ABOUT_S[1]));
    about.and_then(|speed| robust::median(&speed.value)).is_none_or(|speed| speed < SLOW_KMH)
}

/// Holds the opening against the stamp. A recheck asks for both things that show it: a reading that the valve did not hold may have
/// bent for another reason. Late it is called only where the vehicle moved: at a stand an opening may not show before the fan starts.
fn against_rating(measured: &str, wax: &Estimate, seen: Seen, rating: f64, side: Side) -> Ruling {
    let was_held = seen.was_held;
    let [low, high] = match side {
        Side::Outlet => limits::OUTLET_ABOUT_RATING_K,
        Side::Inlet => limits::INLET_ABOUT_RATING_K,
        Side::Unknown => limits::UNKNOWN_ABOUT_RATING_K,
    }
    .map(|distance| rating + distance);
    let decision = match within(wax, low, high) {
        Decision::Recheck if !was_held || (seen.stood && wax.value > high) => Decision::Inconclusive,
        decision => decision,
    };
    let (judged, advice): (&str, &[Advice]) = match decision {
        Decision::Pass => ("It does", &[]),
        Decision::Inconclusive if seen.stood && wax.value > high => (
            "The vehicle stood or crept about then, or its speed is not logged: at a stand an opening may not show before the fan starts",
            &[Advice::RecordFromCold],
        ),
        Decision::Inconclusive if !was_held => ("The reading was not held long enough to settle it", &[Advice::RecordFromCold]),
        Decision::Recheck if wax.value < low => {
            ("That is early: the valve is tiring, does not close, or is not the one stated", &[Advice::TestThermostat])
        }
        Decision::Recheck => (
            "That is late: gas stood about its element, or the valve sticks, or it is not the one stated",
            &[Advice::BleedAgain, Advice::TestThermostat],
        ),
        _ => ("The interval reaches past that, so it is not settled", &[Advice::RecordFromCold]),
    };
    let statement = format!(
        "{measured}. Allowing for the wax's lag, the valve starts at {}; a part stamped {rating:.0} °C should start between {low:.0} and \
         {high:.0} °C. {judged}.",
        wax.spoken()
    );
    Ruling::new(Topic::Opening, decision, statement, advice)
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
            format!("The coolant reached {highest:.0} °C and no opening shows. By {latest:.0} °C any working thermostat has opened."),
            &[Advice::StopAndCool, Advice::TestThermostat],
        );
    }
    Ruling::new(
        Topic::Opening,
        Decision::Inconclusive,
        format!("The thermostat did not open: the coolant reached {highest:.0} °C at most."),
        &[Advice::RecordFromCold],
    )
}
