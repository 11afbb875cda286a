//! Drained against filled: how much air should still come out?
//!
//! ```text
//! air to come out = Σ drained · ρ(T_drained)/ρ(20 °C) − Σ filled · ρ(T_air)/ρ(20 °C)
//! ```
//!
//! What came out was warm and shrinks: 10 L drained at 60 °C are about 0.2 L less at 20 °C. A temperature named in the note of the drained
//! coolant is taken; without one it may have been anything from the air's to `WARMEST_DRAIN_C`. A pan is read to 2 to 3 %, which for a
//! whole system is more than the air that matters: never a verdict by itself.
//!
//! Limits: assumes that the system was full before and that nothing was spilled; concentrate and water poured apart lose up to 1.2 % on
//! mixing, which is left to the pan's uncertainty.

use super::in_order;
use super::remarks;
use super::system::System;
use crate::analysis::ambient::Ambient;
use crate::coolant::expansion;
use crate::estimate::{Estimate, Unit};
use crate::run::{LevelReading, Occasion, ReadingUnit, Run};
use crate::units::Temperature;

/// Standard uncertainty of a volume read on a pan or a bucket, as a share (common practice, no source: 2 to 3 %).
const PAN_SHARE: f64 = 0.025;

/// Warmest coolant that is drained, °C (own choice: hotter coolant scalds).
const WARMEST_DRAIN_C: f64 = 60.0;

/// Standard uncertainty of a temperature that the note names, K (own choice).
const NAMED_TEMPERATURE_K: f64 = 4.0;

/// What came out and what went in, both at 20 °C.
#[derive(Clone, Debug, PartialEq)]
pub struct Refill {
    /// What came out, mL.
    pub drained: Estimate,
    /// What went in, mL.
    pub filled: Estimate,
    /// Drained less filled: air that is still to come out, mL; negative if more went in.
    pub air: Estimate,
    /// How it was filled, where the notes say.
    pub method: Option<String>,
}

impl Refill {
    /// The last refill in the notes; `None` unless both sides were noted in volumes.
    pub fn of(run: &Run, ambient: &Ambient) -> Option<Self> {
        let system = System::of(&run.vehicle, None).ok()?;
        let notes = in_order(&run.levels);
        let last_fill = notes.iter().rposition(|note| note.occasion == Occasion::Filled)?;
        // The job begins after the last level reading before it.
        let is_level = |note: &&LevelReading| matches!(note.occasion, Occasion::ColdBefore | Occasion::HotAfterDrive | Occasion::ColdAfter);
        let job = notes.get(..=last_fill)?;
        let first = job.iter().rposition(is_level).map_or(0, |index| index + 1);
        let mut sides = [(0.0, 0.0), (0.0, 0.0)];
        let mut noted = [false, false];
        let mut method = None;
        for note in job.get(first..)? {
            let side = match note.occasion {
                Occasion::Drained => 0,
                Occasion::Filled => 1,
                _ => continue,
            };
            let (value, u) = at_20(note, side == 0, &system, ambient)?;
            sides[side] = (sides[side].0 + value, u.hypot(sides[side].1));
            noted[side] = true;
            method = method.or_else(|| note.method.clone());
        }
        let [drained, filled] = sides;
        let volume = |value: f64, u: f64| Estimate::normal(value, u, Unit::Millilitre);
        noted.iter().all(|side| *side).then(|| Self {
            drained: volume(drained.0, drained.1),
            filled: volume(filled.0, filled.1),
            air: volume(drained.0 - filled.0, drained.1.hypot(filled.1)),
            method,
        })
    }
}

/// A noted volume brought to 20 °C, with its standard uncertainty, mL.
fn at_20(note: &LevelReading, drained: bool, system: &System, ambient: &Ambient) -> Option<(f64, f64)> {
    if note.unit != ReadingUnit::Millilitre {
        return None;
    }
    let air = note.ambient.unwrap_or(ambient.temperature.value);
    let (celsius, u) = match (remarks::temperature(&note.note), drained) {
        (Some(named), _) => (named, NAMED_TEMPERATURE_K),
        (None, true) => {
            let warmest = WARMEST_DRAIN_C.max(air);
            ((air + warmest) / 2.0, ((warmest - air) / 12f64.sqrt()).max(NAMED_TEMPERATURE_K))
        }
        (None, false) => (air, NAMED_TEMPERATURE_K),
    };
    let to_20 = |celsius: f64| expansion::growth(&system.mixture, Temperature::from_celsius(celsius), Temperature::from_celsius(20.0)).ok();
    let change = to_20(celsius)?;
    let per_kelvin = to_20(celsius + if celsius > 40.0 { -1.0 } else { 1.0 })?.value - change.value;
    let share = PAN_SHARE.hypot(change.standard_uncertainty).hypot(per_kelvin * u);
    Some((note.reading * (1.0 + change.value), note.reading * share))
}
