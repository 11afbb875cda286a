//! Heater: does its outlet go cold and warm again with the revs, as with a pocket in the matrix?
//!
//! A pocket stops a weak flow and is swept through by a strong one. What is looked at is the share of its warmth that the coolant loses on
//! the way, (T − outlet)/(T − air): a heater that is turned off and a blocked matrix keep that share at any revs, a pocket makes it come
//! and go.
//!
//! Limits: a cabin thermostat that works the heater's valve does the same, which the weight of the sign allows for.

use crate::analysis::ambient::Ambient;
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};
use crate::numeric::{moments, robust};
use crate::run::Run;

/// Coolant reading from which a heater can be warm, °C.
const WARM_C: f64 = 55.0;

/// How far coolant must stand above the air for its loss of warmth to mean anything, in kelvin.
const ABOVE_AIR_K: f64 = 20.0;

/// Longest stretch between two readings that counts, in seconds.
const LONGEST_S: f64 = 20.0;

/// Fewest seconds of readings.
const FEWEST_S: f64 = 240.0;

/// What the heater's outlet shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heater {
    /// How much more of its warmth the coolant loses at low revs than at high ones, as a share from −1 to 1.
    pub more_at_idle: Estimate,
    /// How far that share comes and goes: between its 10th and 90th percentile.
    pub comes_and_goes: f64,
    /// From when to when it was looked at, in seconds from the first row.
    pub at_s: [f64; 2],
}

/// Looks at a run; `None` without a heater outlet, engine speed, air temperature or four minutes with a warm engine.
pub fn look(run: &Run, phases: &Phases, ambient: &Ambient) -> Option<Heater> {
    let outlet = run.trace(Channel::HeaterOutletTemperature)?;
    let coolant = run.trace(Channel::CoolantTemperature)?;
    let revs = run.trace(Channel::EngineSpeed)?;
    let air = ambient.temperature.value;
    let (mut time, mut lost, mut turning) = (Vec::new(), Vec::new(), Vec::new());
    let mut smooth: Option<(f64, f64)> = None;
    for (at, temperature) in outlet.iter() {
        let (Some(rpm), Some(reading)) = (revs.at(at), coolant.at(at)) else { continue };
        // Hose and matrix take some eight seconds to follow a change of flow.
        let follow = smooth.map_or(rpm, |(last, was)| was + (rpm - was) * (1.0 - (-(at - last) / 8.0).exp()));
        smooth = Some((at, follow));
        if reading >= WARM_C && reading - air >= ABOVE_AIR_K && phases.is_running(at) {
            time.push(at);
            lost.push(((reading - temperature) / (reading - air)).clamp(-0.5, 1.2));
            turning.push(follow);
        }
    }
    let lasted: f64 = robust::holding_times(&time, LONGEST_S).iter().sum();
    let (Some(&first), Some(&last)) = (time.first(), time.last()) else { return None };
    let (low, high) = (robust::quantile(&turning, 0.3)?, robust::quantile(&turning, 0.85)?);
    if lasted < FEWEST_S || high < 1.15 * low {
        return None;
    }
    let side = |slow: bool| {
        let chosen = lost.iter().zip(&turning).filter(|(_, rpm)| if slow { **rpm <= low } else { **rpm >= high });
        chosen.map(|(lost, _)| *lost).collect::<Vec<f64>>()
    };
    let (slow, fast) = (side(true), side(false));
    let difference = robust::median(&slow)? - robust::median(&fast)?;
    // Neighbouring readings hang together for about a minute.
    let worth = |part: &[f64], share: f64| moments::deviation(part).unwrap_or(0.3) / (lasted * share / 60.0).max(1.0).sqrt();
    let u = worth(&slow, 0.3).hypot(worth(&fast, 0.15)).hypot(0.01);
    Some(Heater {
        more_at_idle: Estimate::normal(difference, u, Unit::One),
        comes_and_goes: robust::quantile(&lost, 0.9)? - robust::quantile(&lost, 0.1)?,
        at_s: [first, last],
    })
}
