//! Where the first ice forms.
//!
//! ASHRAE's table by volume, which trade practice follows, gives the typical value; Melinder's polynomial the other end of
//! the band. For ethylene glycol the two lie up to 3 K apart. Tables in whole degrees, service manuals and the limit in
//! ASTM D3306 (from memory) lie up to 1.2 K outside them, so the band is widened by 1 K.
//!
//! Limits: up to 60 % by volume. ASHRAE ends at 57.8 % of ethylene glycol, and its last entry stands beyond, on the safe
//! side: more concentrate still protects a little better there. A refractometer reading in degrees has its own scale.
//!
//! # References
//!
//! As in the module of the correlations (Melinder 2010, ASHRAE 2001).

use super::{CoolantError, GREATEST_VOLUME_SHARE, Mixture};
use crate::units::Temperature;

/// Name of the property in errors.
pub(super) const PROPERTY: &str = "freezing point";

/// How far other printed tables lie outside the two sources, in K; less in proportion below 10 % by volume. Our own choice.
const MARGIN_KELVIN: f64 = 1.0;

/// Where a mixture begins to freeze.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FreezingPoint {
    /// Coldest that a publication allows.
    pub low: Temperature,
    /// What trade practice reckons with.
    pub typical: Temperature,
    /// Warmest that a publication allows: what to rely on.
    pub high: Temperature,
}

/// The freezing point with the band of its publications.
///
/// # Errors
///
/// [`CoolantError::TooStrong`] above 60 % by volume, where the tables end.
pub fn freezing_point(mixture: &Mixture) -> Result<FreezingPoint, CoolantError> {
    let [melinder, ashrae] = published(mixture)?.map(Temperature::celsius);
    let margin = MARGIN_KELVIN * (mixture.volume_fraction().share() / 0.1).min(1.0);
    Ok(FreezingPoint {
        low: Temperature::from_celsius(ashrae.min(melinder) - margin),
        typical: Temperature::from_celsius(ashrae),
        high: Temperature::from_celsius((ashrae.max(melinder) + margin).min(0.0)),
    })
}

/// The freezing point after Melinder and after ASHRAE, in this order.
///
/// # Errors
///
/// As [`freezing_point`].
pub fn published(mixture: &Mixture) -> Result<[Temperature; 2], CoolantError> {
    mixture.at_most(GREATEST_VOLUME_SHARE, PROPERTY)?;
    let melinder = mixture.base().glycol().melinder.freezing(mixture.mass_fraction().share());
    Ok([Temperature::from_kelvin(melinder), Temperature::from_celsius(typical_celsius(mixture))])
}

/// The freezing point in °C after ASHRAE.
pub(super) fn typical_celsius(mixture: &Mixture) -> f64 {
    mixture.base().glycol().ashrae.freezing(mixture.volume_fraction().share())
}
