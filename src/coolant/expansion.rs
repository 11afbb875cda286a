//! How much a fixed mass of coolant grows between two temperatures.
//!
//! ```text
//! growth = ρ(from)/ρ(to) − 1
//! ```
//!
//! Melinder (pure glycol) and ASHRAE (inhibited glycol) are both asked. They differ by about a tenth of the growth of the
//! usual ethylene glycol mixtures, and which of them a given coolant follows is unknown. The value is their middle; the
//! half-width is half their distance, taken as a rectangular distribution (JCGM 100:2008, 4.3.7).
//!
//! The two curves cross, near 10 % of ethylene glycol and near 100 °C for propylene glycol, and where they cross their
//! agreement is an accident. The half-width is therefore never less than 3 % of the growth, and twice that
//! above 100 °C, where neither has tables.
//!
//! Limits: the liquid alone, not the metal and hoses around it; up to 60 % by volume; from the freezing point to 120 °C.

use super::{CoolantError, Mixture, liquid};
use crate::estimate::{Estimate, Unit};
use crate::units::Temperature;

/// Least half-width as a share of the growth: about the root mean square of half the relative distance of the two sources
/// from 20 to 90 °C over 10 to 60 % of either glycol. Scaled down in proportion below 10 %, water being well known.
const LEAST_HALF_WIDTH: f64 = 0.03;

/// What Kell's density leaves open of the growth of water.
const WATER_HALF_WIDTH: f64 = 3e-5;

/// Where the publications end, in °C.
const TABLES_END_CELSIUS: f64 = 100.0;

/// Growth of a fixed mass of coolant as a share of its volume at `from`; negative when it cools.
///
/// # Errors
///
/// [`CoolantError`] above 60 % by volume, below the freezing point and above 120 °C.
pub fn growth(mixture: &Mixture, from: Temperature, to: Temperature) -> Result<Estimate, CoolantError> {
    let [melinder, ashrae] = published(mixture, from, to)?;
    let middle = (melinder + ashrae) / 2.0;
    let carried_on = from.celsius().max(to.celsius()) > TABLES_END_CELSIUS;
    let least = LEAST_HALF_WIDTH * if carried_on { 2.0 } else { 1.0 } * (mixture.volume_fraction().share() / 0.1).min(1.0);
    let half = ((melinder - ashrae).abs() / 2.0).max(least * middle.abs()) + if from == to { 0.0 } else { WATER_HALF_WIDTH };
    Ok(Estimate::normal(middle, half / 3f64.sqrt(), Unit::One))
}

/// The growth after Melinder and after ASHRAE, in this order.
///
/// # Errors
///
/// As [`growth`].
pub fn published(mixture: &Mixture, from: Temperature, to: Temperature) -> Result<[f64; 2], CoolantError> {
    let (from, to) = (liquid(mixture, "expansion", from)?, liquid(mixture, "expansion", to)?);
    let ashrae = &mixture.base().glycol().ashrae;
    let share = mixture.volume_fraction().share();
    Ok([mixture.density_at(from) / mixture.density_at(to) - 1.0, ashrae.density(from, share) / ashrae.density(to, share) - 1.0])
}
