//! From what a job and a vehicle file state to what the rounds are reckoned from.
//!
//! What the job states counts before the vehicle file, and that before an assumption, which the plan then names.

use super::error::{PlanError, within};
use super::figure::Figure;
use super::job::{Fill, Job, Measured, Wanted};
use super::rounds::{MOST_DRAINS, Recipe, Round, Stated};
use super::strength::{Strength, share_for, unknown};
use crate::coolant::{Base, CoolantError, GREATEST_VOLUME_SHARE, Mixture};
use crate::estimate::{Estimate, Unit};
use crate::units::VolumeFraction;
use crate::vehicle::{Coolant, Vehicle};

/// Greatest believed price of a litre, in any currency.
const DEAREST: f64 = 1e7;

/// Strength of what is in the system, and whether it had to be assumed.
pub(super) fn present(job: &Job, written: Option<Coolant>, base: Base) -> Result<(Estimate, bool), PlanError> {
    let written = written.filter(|coolant| coolant.base == base).map(|coolant| Strength::VolumePercent(100.0 * coolant.volume_fraction));
    match job.present.strength.or(written) {
        Some(strength) => Ok((strength.of_system(base)?, false)),
        None => Ok((unknown(), true)),
    }
}

/// Strength of what is poured.
pub(super) fn product(job: &Job, base: Base) -> Result<Estimate, PlanError> {
    match job.fill {
        Fill::Concentrate { percent } => {
            Strength::VolumePercent(within("strength of the concentrate", percent, [50.0, 100.0], "%")?).of_label(base)
        }
        Fill::ReadyMix { strength } => strength.of_label(base),
    }
}

/// Strength that is wanted.
pub(super) fn wanted(job: &Job, base: Base) -> Result<Option<f64>, PlanError> {
    let share = match job.wanted {
        Some(Wanted::ProtectedTo(temperature)) => share_for(base, temperature)?,
        Some(Wanted::Strength(Strength::FreezesAt(temperature))) => share_for(base, temperature)?,
        Some(Wanted::Strength(strength)) => strength.of_label(base)?.value,
        None if matches!(job.fill, Fill::ReadyMix { .. }) => return Ok(None),
        None => return Err(PlanError::NothingWanted),
    };
    let greatest = 100.0 * GREATEST_VOLUME_SHARE;
    if share > GREATEST_VOLUME_SHARE {
        return Err(PlanError::WantedTooStrong { percent: 100.0 * share, greatest });
    }
    Ok(Some(share))
}

/// What is filled, and how often.
pub(super) fn recipe(job: &Job, target: Option<f64>) -> Result<Recipe, PlanError> {
    let most = f64::from(MOST_DRAINS);
    within("number of rounds", f64::from(job.rounds), [1.0, most], "rounds")?;
    within("number of drains, rinses counted", f64::from(job.rinses) + f64::from(job.rounds), [1.0, most], "drains")?;
    Ok(Recipe { ready_mix: matches!(job.fill, Fill::ReadyMix { .. }), target, rinses: job.rinses, rounds: job.rounds })
}

/// The vehicle with what the job states in place of the file's.
pub(super) fn filled(vehicle: &Vehicle, job: &Job) -> Vehicle {
    let mut vehicle = vehicle.clone();
    vehicle.capacity = job.capacity.map(|stated: Measured| stated.volume).or(vehicle.capacity);
    vehicle.reservoir.cap = job.cap.or(vehicle.reservoir.cap);
    vehicle
}

/// What the product costs.
pub(super) fn cost(job: &Job, used: &Estimate) -> Result<Option<Figure>, PlanError> {
    let Some(price) = &job.price else { return Ok(None) };
    let per_litre = within("price of a litre", price.per_litre, [0.0, DEAREST], "a litre")?;
    Ok(Some(Figure::scaled(used, per_litre / 1000.0, &price.currency)))
}

/// The strength as a share by mass.
pub(super) fn by_mass(base: Base, strength: &Estimate) -> Result<Estimate, PlanError> {
    let mass = |share: f64| -> Result<f64, PlanError> {
        let fraction = VolumeFraction::new(share.clamp(0.0, 1.0)).ok_or(CoolantError::NotAShare(share))?;
        Ok(Mixture::by_volume(base, fraction)?.mass_fraction().share())
    };
    let [low, high] = strength.interval_95;
    Ok(Estimate::from_interval(mass(strength.value)?, [mass(low)?, mass(high)?], Unit::One))
}

/// Volume lost on mixing in the last round, mL.
pub(super) fn lost(base: Base, stated: &Stated, rounds: &[Round], present: &Estimate, product: &Estimate) -> Result<Estimate, PlanError> {
    let before = rounds.iter().rev().nth(1).map_or(*present, |round| round.strength);
    let (added, water) = rounds.last().map_or((0.0, 0.0), |round| (round.product.value, round.water.value));
    Ok(super::mixing::lost(base, &[(stated.left().value, before.value), (added, product.value), (water, 0.0)])?)
}
