//! Drained against filled: how much air should still come out?
//!
//! The arithmetic is that of the check ([`Refill`]): the job is written down as the level notes of it would be, and read back by what
//! reads those. So the plan and the check never give two figures for one job. Each side is brought to 20 °C as the coolant that it is;
//! the air is the difference.
//!
//! Limits: an estimate and never a verdict: with a pan read to 2.5 % the standard uncertainty is some 350 mL for 10 L. Concentrate and
//! water poured apart lose up to 1.2 % (ethylene glycol) or 2.2 % (propylene glycol) on mixing, which is not taken off here.

use super::circuit::{DrainFits, standard};
use super::error::{PlanError, within};
use super::job::{Job, Measured};
use crate::analysis::ambient::Ambient;
use crate::analysis::levels::refill::Refill;
use crate::analysis::phases::Phases;
use crate::coolant::{Base, GREATEST_VOLUME_SHARE};
use crate::estimate::{Estimate, Unit};
use crate::run::{LevelReading, NoteTime, Occasion, ReadingUnit, Run};
use crate::units::Temperature;
use crate::vehicle::{Coolant, Vehicle};
use serde::Serialize;

/// Volumes that are poured or drained, in L.
const VOLUMES_L: [f64; 2] = [0.0, 400.0];

/// What a warm volume's own temperature may still be off, as a share of it, beside a stated uncertainty: 4 K of half glycol.
const WARMTH_SHARE: f64 = 0.0025;

/// What came out against what went in, both at 20 °C.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Account {
    /// What came out, mL.
    pub drained: Estimate,
    /// What went in, mL.
    pub filled: Estimate,
    /// Drained less filled: air that is still to come out, mL; negative if more went in.
    pub air: Estimate,
    /// Drained as a share of the capacity.
    pub drained_share: Estimate,
    /// What that share looks like.
    pub looks_like: DrainFits,
}

impl Account {
    /// The account, where both sides were measured. `old` and `new` are base and share of what came out and of what went in.
    pub(super) fn of(job: &Job, drained_share: Estimate, old: (Base, f64), new: (Base, f64)) -> Result<Option<Self>, PlanError> {
        let (Some(out), Some(poured)) = (job.drain.measured, job.filled) else { return Ok(None) };
        let drained = at_20(&out, true, old, job.ambient)?;
        let filled = at_20(&poured, false, new, job.ambient)?;
        let u = drained.standard_uncertainty.hypot(filled.standard_uncertainty);
        let air = Estimate::normal(drained.value - filled.value, u, Unit::Millilitre);
        Ok(Some(Self { drained, filled, air, drained_share, looks_like: DrainFits::of(drained_share.value) }))
    }
}

/// A measured volume at 20 °C, mL.
pub(super) fn at_20(stated: &Measured, drained: bool, (base, share): (Base, f64), air: Option<Temperature>) -> Result<Estimate, PlanError> {
    let litres = within("measured volume", stated.volume.litres(), VOLUMES_L, "L")?;
    let warm = stated.temperature.map(|at| within("temperature of a measured volume", at.celsius(), [-40.0, 110.0], "°C")).transpose()?;
    let (side, other) = if drained { (Occasion::Drained, Occasion::Filled) } else { (Occasion::Filled, Occasion::Drained) };
    let note = |occasion: Occasion, millilitres: f64| LevelReading {
        time: NoteTime::Order,
        occasion,
        reading: millilitres,
        unit: ReadingUnit::Millilitre,
        ambient: air.map(Temperature::celsius),
        cap_opened: None,
        method: None,
        note: warm.map(|celsius| format!("{celsius:.2} degC")).unwrap_or_default(),
    };
    // Beyond the tables the growth per kelvin is nearly that of their end, and a pan is not read that well.
    let coolant = Coolant { base, volume_fraction: share.min(GREATEST_VOLUME_SHARE) };
    let vehicle = Vehicle { coolant: Some(coolant), ..Vehicle::default() };
    // A refill is written from its drain on.
    let mut levels = vec![note(side, 1000.0 * litres), note(other, 0.0)];
    levels.sort_by_key(|note| note.occasion == Occasion::Filled);
    let run = Run { vehicle, levels, ..Run::default() };
    let ambient = Ambient::of(&run, &Phases::of(&run));
    let refill = Refill::of(&run, &ambient).ok_or(PlanError::OutOfRange {
        what: "temperature of a measured volume",
        value: warm.unwrap_or(ambient.temperature.value),
        low: 0.0,
        high: 110.0,
        unit: "°C",
    })?;
    let found = if drained { refill.drained } else { refill.filled };
    if stated.within.is_none() {
        return Ok(found);
    }
    let u = standard(stated, 0.0)?.hypot(WARMTH_SHARE * found.value);
    Ok(Estimate::normal(found.value, u, Unit::Millilitre))
}
