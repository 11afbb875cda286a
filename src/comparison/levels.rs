//! What does not come from the drive itself: the cold level and the sensor before the start.
//!
//! The loss is taken per heat cycle, so that a run with three noted cycles stands beside one with one. Reading errors of the two runs are
//! independent; the reservoir's scale is the same, and cancels only as far as both losses are alike, so nothing is taken off.
//!
//! The sensor's offset compares coolant with air. Each of the other sensors is off by a fixed amount (a tolerance of 2 K), the same on both
//! mornings; where the same ones were asked it cancels, and what is left is how unlike coolant and air are after a night, and rounding.

use super::margins::Measure;
use super::{Answer, Change, Drive, NotCompared};
use crate::channel::Channel;
use crate::estimate::{Estimate, Unit};

/// How unlike coolant and air are after a soak, one standard uncertainty in kelvin, less what is the same every morning (own choice).
const SOAK_K: f64 = 0.5;

/// Coolant taken up in a heat cycle.
pub(super) fn loss(earlier: Drive, later: Drive) -> Answer {
    let measure = Measure::LevelLoss;
    let [Some(then), Some(now)] = [earlier, later].map(per_cycle) else {
        return Err(NotCompared::new(measure, "one of the two runs has no cold level before and after it"));
    };
    let u = then.standard_uncertainty.hypot(now.standard_uncertainty);
    let difference = Estimate::normal(now.value - then.value, u, Unit::Millilitre);
    Ok(Change::of(measure, Some(then), Some(now), difference, measure.margin(later.run)))
}

/// Mean loss in a heat cycle.
pub(super) fn per_cycle(drive: Drive) -> Option<Estimate> {
    let loss = &drive.analysis.level_loss;
    let cycles = loss.per_cycle.len().max(1) as f64;
    let whole = loss.cold_to_cold.or(loss.per_cycle.first().copied().filter(|_| loss.per_cycle.len() == 1))?;
    Some(Estimate {
        value: whole.value / cycles,
        standard_uncertainty: whole.standard_uncertainty / cycles,
        interval_95: whole.interval_95.map(|end| end / cycles),
        unit: whole.unit,
    })
}

/// The coolant sensor against the air, cold.
pub(super) fn sensor_offset(earlier: Drive, later: Drive) -> Answer {
    let measure = Measure::SensorOffset;
    let [Ok(then), Ok(now)] = [earlier, later].map(|drive| drive.analysis.sensor_offset.as_ref()) else {
        return Err(NotCompared::new(measure, "one of the two logs does not show the sensor after a cold night beside an air temperature"));
    };
    let u = if then.against == now.against {
        let step = |drive: Drive, channel: &Channel| drive.run.trace(*channel).map_or(0.0, |trace| trace.step);
        let rounding = |drive: Drive| {
            let others: Vec<f64> = now.against.iter().map(|channel| step(drive, channel).powi(2)).collect();
            let others = others.iter().sum::<f64>() / (others.len() * others.len()).max(1) as f64;
            (step(drive, &Channel::CoolantTemperature).powi(2) + others) / 12.0
        };
        (rounding(earlier) + rounding(later) + 2.0 * SOAK_K * SOAK_K).sqrt()
    } else {
        then.offset.standard_uncertainty.hypot(now.offset.standard_uncertainty)
    };
    let difference = Estimate::normal(now.offset.value - then.offset.value, u, Unit::Kelvin);
    Ok(Change::of(measure, Some(then.offset), Some(now.offset), difference, measure.margin(later.run)))
}
