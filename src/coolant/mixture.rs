//! Glycol and water, by volume as people pour or by mass as the correlations want it.
//!
//! Volumes are those of the unmixed parts at 20 °C. Mixing loses volume (about 1.2 % at half and half), so a litre of each
//! gives less than two litres; the fraction by volume never means that of the finished mixture.
//!
//! Density and specific heat are Melinder's. His density polynomial does not end at water: at zero glycol it stands 0.09 %
//! low, and its loss of volume on mixing falls to nothing at 3 % already. Below 10 % by mass a straight line in mass fraction
//! therefore joins water to the polynomials. They end at 60 % by mass and are carried on for the 2.6 points that 60 % by
//! volume of ethylene glycol needs; ASHRAE's tables, which go that far, stand 1.1 % off there in density (0.9 % at half).
//!
//! # References
//!
//! Melinder (2010) and ASHRAE (2001), named in full beside the correlations.

use super::{Base, CoolantError, Density, SpecificHeat, liquid, water};
use crate::units::{MassFraction, Temperature, VolumeFraction};

/// Mass share from which the polynomials are used as published. There the loss of volume on mixing (0.19 % for ethylene
/// glycol) agrees with the 2 % by which a little glycol shrinks in much water (from memory). Our own choice.
const LOWEST_POLYNOMIAL_SHARE: f64 = 0.10;

/// A coolant: what the concentrate is made of and how much of it there is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mixture {
    base: Base,
    by_volume: VolumeFraction,
    by_mass: MassFraction,
}

impl Mixture {
    /// From the share of concentrate by volume.
    ///
    /// # Errors
    ///
    /// [`CoolantError::NotAShare`] if the fraction did not come through its checked constructor.
    pub fn by_volume(base: Base, fraction: VolumeFraction) -> Result<Self, CoolantError> {
        let share = weighed(fraction.share(), base.glycol().density_at_20, water::DENSITY_AT_20);
        let by_mass = MassFraction::new(share).ok_or(CoolantError::NotAShare(fraction.share()))?;
        Ok(Self { base, by_volume: fraction, by_mass })
    }

    /// From the share of concentrate by mass.
    ///
    /// # Errors
    ///
    /// [`CoolantError::NotAShare`] if the fraction did not come through its checked constructor.
    pub fn by_mass(base: Base, fraction: MassFraction) -> Result<Self, CoolantError> {
        let share = weighed(fraction.share(), 1.0 / base.glycol().density_at_20, 1.0 / water::DENSITY_AT_20);
        let by_volume = VolumeFraction::new(share).ok_or(CoolantError::NotAShare(fraction.share()))?;
        Ok(Self { base, by_volume, by_mass: fraction })
    }

    /// What the concentrate is made of.
    pub fn base(&self) -> Base {
        self.base
    }

    /// Share of concentrate by volume, unmixed at 20 °C.
    pub fn volume_fraction(&self) -> VolumeFraction {
        self.by_volume
    }

    /// Share of concentrate by mass.
    pub fn mass_fraction(&self) -> MassFraction {
        self.by_mass
    }

    /// Density of the pure mixture at air pressure. Inhibited coolant is denser, by up to 1.1 % in the ASHRAE tables.
    ///
    /// # Errors
    ///
    /// [`CoolantError`] above 60 % by volume, below the freezing point and above 120 °C.
    pub fn density(&self, at: Temperature) -> Result<Density, CoolantError> {
        liquid(self, "density", at).map(|celsius| Density(self.density_at(celsius)))
    }

    /// Specific heat at constant pressure. The ASHRAE tables stand within 1 % for propylene glycol, within 3 % for ethylene
    /// glycol from 0 °C up; at −35 °C they are 5 % (at half) to 7 % (at 60 %) higher.
    ///
    /// # Errors
    ///
    /// As [`Mixture::density`].
    pub fn specific_heat(&self, at: Temperature) -> Result<SpecificHeat, CoolantError> {
        let celsius = liquid(self, "specific heat", at)?;
        let kelvin = at.kelvin();
        let melinder = &self.base.glycol().melinder;
        Ok(SpecificHeat(self.joined_to_water(water::specific_heat_at(celsius), |share| melinder.specific_heat(kelvin, share))))
    }

    /// Density in kg/m³ where the range has been checked.
    pub(super) fn density_at(&self, celsius: f64) -> f64 {
        let kelvin = Temperature::from_celsius(celsius).kelvin();
        let melinder = &self.base.glycol().melinder;
        self.joined_to_water(water::density_at(celsius), |share| melinder.density(kelvin, share))
    }

    /// Refuses a mixture with more concentrate than `greatest`, a share by volume.
    pub(super) fn at_most(&self, greatest: f64, property: &'static str) -> Result<(), CoolantError> {
        let share = self.by_volume.share();
        let error = CoolantError::TooStrong { base: self.base, property, percent: 100.0 * share, greatest: 100.0 * greatest };
        super::within(share, 0.0, greatest, error)
    }

    fn joined_to_water(&self, water: f64, polynomial: impl Fn(f64) -> f64) -> f64 {
        let share = self.by_mass.share();
        if share >= LOWEST_POLYNOMIAL_SHARE {
            return polynomial(share);
        }
        water + (polynomial(LOWEST_POLYNOMIAL_SHARE) - water) * share / LOWEST_POLYNOMIAL_SHARE
    }
}

/// The share that a part has after both parts are weighed by a factor of their own.
fn weighed(share: f64, part: f64, rest: f64) -> f64 {
    share * part / (share * part + (1.0 - share) * rest)
}
