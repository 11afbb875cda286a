//! What the reading shows of both drives: the band, the rises that fan and radiator allow, the cooling down, the
//! share of the drive with readings.
//!
//! A band's edges and rises are those of a drive as much as of a vehicle: standing, frost and motorway move them. How far they lie apart
//! between two drives of an unchanged vehicle grows with their own uncertainty as those of the vehicle
//! (`Regulation::of_another_drive`), with the band's width, with how high the rises were and with how unlike the days were
//! ([`Conditions`]). Each law below is a power law in the first and an exponential in the others, set on made pairs.
//!
//! Where the fan switches is not compared: too few drives show it twice for a law to be set (6 of 800 made pairs).
//!
//! The time constant of the cooling down depends on wind and on what was hot, so a scatter is added to both uncertainties.

use super::decision::ratio;
use super::margins::Measure;
use super::{Answer, Change, Conditions, Drive, NotCompared};
use crate::estimate::{Estimate, Unit};

/// Standard uncertainty of the logarithm of a time constant from one day to another: wind, oil and block as warm or less so. From made pairs.
const COOLING_SCATTER: f64 = 0.07;

/// The two edges of the band.
pub(super) fn band(earlier: Drive, later: Drive, conditions: &Conditions) -> [Answer; 2] {
    let [then, now] = [earlier, later].map(|drive| &drive.analysis.regulation);
    let width = |low: Option<Estimate>, high: Option<Estimate>| low.zip(high).map_or(0.0, |(low, high)| high.value - low.value);
    let widths = width(then.low, then.high).hypot(width(now.low, now.high));
    let of_vehicle = |edge: usize| match (then.of_another_drive, now.of_another_drive) {
        (Some(then), Some(now)) => then[edge].hypot(now[edge]).max(0.1),
        _ => 3.0,
    };
    let low_u = 0.126
        * of_vehicle(0).powf(0.72)
        * (widths + 1.0)
        * (0.2 * conditions.weather() + 0.14 * conditions.road_speed() + 0.3 * conditions.short_hold()).exp();
    let high_u = 0.417
        * of_vehicle(1).powf(0.62)
        * (widths + 1.0).powf(0.53)
        * (0.17 * conditions.weather() + 0.5 * conditions.standing() + 0.2 * conditions.road_speed() + 0.08 * conditions.short_hold())
            .exp();
    let because = "one of the two logs does not show a band that the valve holds; drive on for some minutes after it has opened";
    [
        difference(Measure::BandLow, [then.low, now.low], low_u, because, later),
        difference(Measure::BandHigh, [then.high, now.high], high_u, because, later),
    ]
}

/// The rises that fan and radiator allow.
pub(super) fn rejection(earlier: Drive, later: Drive, conditions: &Conditions) -> [Answer; 2] {
    let [then, now] = [earlier, later].map(|drive| &drive.analysis.heat_rejection);
    let higher = |rises: [Option<Estimate>; 2]| rises.iter().flatten().map(|rise| rise.value.abs()).fold(0.0, f64::max);
    let standing = [then.rise_standing, now.rise_standing];
    let moving = [then.rise_moving, now.rise_moving];
    let standing_u = 0.366 * (1.0 + higher(standing)).powf(1.3) * (0.08 * conditions.weather() + 0.05 * conditions.road_speed()).exp();
    let moving_u = 0.44 * (1.0 + higher(moving)).powf(1.15) * (0.04 * conditions.weather() + 0.07 * conditions.standing()).exp();
    let stood = "one of the two logs has no standstill with the valve open";
    let drove = "one of the two logs has no drive at road speed with the valve open";
    [difference(Measure::RiseStanding, standing, standing_u, stood, later), difference(Measure::RiseMoving, moving, moving_u, drove, later)]
}

/// The time constant of the cooling down, as a ratio.
pub(super) fn cooling_down(earlier: Drive, later: Drive) -> Answer {
    let measure = Measure::CoolingDown;
    let constants = [earlier, later].map(|drive| drive.analysis.cooling_down.time_constant.filter(|constant| constant.value > 0.0));
    let [Some(then), Some(now)] = constants else {
        return Err(NotCompared::new(measure, "one of the two logs does not show the cooling down; two readings after key-off serve"));
    };
    let relative = |constant: &Estimate| constant.standard_uncertainty / constant.value;
    let u = relative(&then).hypot(relative(&now)).hypot(COOLING_SCATTER);
    Ok(Change::of(measure, Some(then), Some(now), ratio((now.value / then.value).ln(), u), measure.margin(later.run)))
}

/// The share of the drive for which a coolant reading stands: counted, not measured, so it has no uncertainty.
pub(super) fn coverage(earlier: Drive, later: Drive) -> Answer {
    let [then, now] = [earlier, later].map(|drive| Estimate::normal(drive.analysis.log_quality.covered, 0.0, Unit::One));
    let measure = Measure::Coverage;
    Ok(Change::of(measure, Some(then), Some(now), now.shifted(-then.value), measure.margin(later.run)))
}

/// The difference of two numbers with a standard uncertainty found beside them.
fn difference(measure: Measure, pair: [Option<Estimate>; 2], u: f64, because: &str, later: Drive) -> Answer {
    let [Some(then), Some(now)] = pair else { return Err(NotCompared::new(measure, because)) };
    let difference = Estimate::normal(now.value - then.value, u, Unit::Kelvin);
    Ok(Change::of(measure, Some(then), Some(now), difference, measure.margin(later.run)))
}
