//! What goes missing when concentrate, water and old coolant mix.
//!
//! ```text
//! lost share  = 1 − ρ_unmixed/ρ_mixture        ρ_unmixed = (1 − v)·ρ_water/(1 − w), v by volume, w by mass, all at 20 °C
//! ```
//!
//! A litre of concentrate and a litre of water make 1.977 L. What is poured is counted unmixed, what stayed and what comes ready-mixed has
//! shrunk already.
//!
//! Limits: pure glycol (Melinder, by `Mixture`); from 60 % by volume to undiluted the loss is taken to fall to nothing in a straight line
//! (own choice).

use crate::coolant::{Base, CoolantError, GREATEST_VOLUME_SHARE, Mixture};
use crate::estimate::{Estimate, Unit};
use crate::units::{Temperature, VolumeFraction};

/// Standard uncertainty of the loss as a share of it: one correlation, of pure glycol (own choice).
const LOSS_SHARE: f64 = 0.15;

/// Share of the unmixed volume that is lost at 20 °C.
///
/// # Errors
///
/// [`CoolantError::NotAShare`] outside 0 to 1.
pub fn lost_share(base: Base, share: f64) -> Result<f64, CoolantError> {
    const AT: Temperature = Temperature::from_celsius(20.0);
    let mixture = |share: f64| Mixture::by_volume(base, VolumeFraction::new(share).ok_or(CoolantError::NotAShare(share))?);
    let published = mixture(share.min(GREATEST_VOLUME_SHARE))?;
    let water = mixture(0.0)?.density(AT)?.kilograms_per_cubic_metre();
    let [by_volume, by_mass] = [published.volume_fraction().share(), published.mass_fraction().share()];
    let unmixed = (1.0 - by_volume) * water / (1.0 - by_mass);
    let lost = 1.0 - unmixed / published.density(AT)?.kilograms_per_cubic_metre();
    let towards_undiluted = ((1.0 - mixture(share)?.volume_fraction().share()) / (1.0 - GREATEST_VOLUME_SHARE)).min(1.0);
    Ok(lost * towards_undiluted)
}

/// What volumes of these strengths lose when they become one, mL.
///
/// # Errors
///
/// As [`lost_share`].
pub(super) fn lost(base: Base, parts: &[(f64, f64)]) -> Result<Estimate, CoolantError> {
    let (mut unmixed, mut concentrate, mut measured) = (0.0, 0.0, 0.0);
    for &(volume, share) in parts {
        let part = volume / (1.0 - lost_share(base, share)?);
        unmixed += part;
        concentrate += share * part;
        measured += volume;
    }
    let share = if unmixed > 0.0 { (concentrate / unmixed).clamp(0.0, 1.0) } else { 0.0 };
    let lost = (measured - unmixed * (1.0 - lost_share(base, share)?)).max(0.0);
    Ok(Estimate::normal(lost, LOSS_SHARE * lost, Unit::Millilitre))
}
