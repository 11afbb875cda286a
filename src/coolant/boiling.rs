//! Where the coolant boils at a pressure.
//!
//! Raoult's law: the mixture boils where the partial pressures of its parts add up to the pressure on it,
//!
//! ```text
//! x·p_water(T) + (1 − x)·p_glycol(T) = p          x = mole fraction of water
//! ```
//!
//! solved by bisection, the left side rising with T. Vapour pressures: IAPWS-IF97 for water, Antoine for the glycol.
//!
//! How far real mixtures stand off the law is the uncertainty. Two activity models (UNIFAC and its Dortmund form) stand
//! within 0.5 K of it for ethylene glycol; for propylene glycol they stand below it, by 1 to 2 K at 30 % and 5 to 11 K at
//! 70 %, and none was checked against measurements. The interval spans the law and both models, and 0.5 K more; the
//! standard uncertainty is the root mean square distance from the value over that interval, taken as rectangular.
//!
//! Limits: up to 70 % by volume, 50 to 350 kPa absolute (the band was computed from 81 to 251 kPa). Inhibitors, dissolved
//! gas and the metal surface, which is hotter than the coolant, are not in it: a first bubble comes earlier.
//!
//! # References
//!
//! - IAPWS R7-97(2012); NIST Chemistry WebBook (Antoine constants).
//! - ISO 2533:1975, ICAO Doc 7488: standard atmosphere, troposphere.

use super::glycol::{BAND_SHARES, Glycol, interpolate};
use super::{CoolantError, Mixture, water, within};
use crate::estimate::{Estimate, Unit};
use crate::units::{Pressure, Temperature};

/// Greatest share by volume at which the boiling point is given.
const GREATEST_VOLUME_SHARE: f64 = 0.70;

/// Absolute pressures that have an answer, in kPa.
const PRESSURES: [f64; 2] = [50.0, 350.0];

/// Added to the band on either side, in K, growing from zero for water to this at 30 %: the printed boiling points known for
/// half ethylene glycol (107.8 and 108 °C at air pressure, 129 °C at 103 kPa above it, against 129.7 °C by the law) are
/// rounded to whole degrees and confirm nothing finer. Our own choice.
const MARGIN_KELVIN: f64 = 0.5;

/// Least half-width, in K: the steam tables for water and the solution of the equation.
const WATER_HALF_WIDTH_KELVIN: f64 = 0.01;

/// Altitudes that have an answer, in m: below the lowest and above the highest road.
const ALTITUDES: [f64; 2] = [-500.0, 6000.0];

/// Temperature at which the first bubble forms, in °C.
///
/// The interval is lopsided: the value is Raoult's law, which is the warm end of what is possible for propylene glycol.
///
/// # Errors
///
/// [`CoolantError`] above 70 % by volume and outside 50 to 350 kPa absolute.
pub fn boiling_point(mixture: &Mixture, absolute: Pressure) -> Result<Estimate, CoolantError> {
    mixture.at_most(GREATEST_VOLUME_SHARE, "boiling point")?;
    let (kilopascals, [low, high]) = (absolute.kilopascals(), PRESSURES);
    within(kilopascals, low, high, CoolantError::Pressure { kilopascals, low, high })?;

    let value = Temperature::from_kelvin(raoult_kelvin(mixture, kilopascals)).celsius();
    let [below, above] = band(mixture.base().glycol(), mixture.volume_fraction().share());
    Ok(Estimate {
        value,
        standard_uncertainty: ((below * below + below * above + above * above) / 3.0).sqrt(),
        interval_95: [value + below, value + above],
        unit: Unit::Celsius,
    })
}

/// Air pressure at an altitude above the sea in the standard atmosphere. Weather moves it by 3 kPa either way (from memory).
///
/// # Errors
///
/// [`CoolantError::Altitude`] outside −500 to 6000 m.
pub fn air_pressure_at_altitude(metres: f64) -> Result<Pressure, CoolantError> {
    let [low, high] = ALTITUDES;
    within(metres, low, high, CoolantError::Altitude { metres, low, high })?;
    // p₀ (1 − L h/T₀)^(g M/(R L)) with p₀ 101.325 kPa, T₀ 288.15 K, L 6.5 K/km.
    Ok(Pressure::from_kilopascals(101.325 * (1.0 - 0.0065 * metres / 288.15).powf(5.25588)))
}

/// Lower and upper distance from Raoult's law, in K.
fn band(glycol: &Glycol, volume_share: f64) -> [f64; 2] {
    let margin = MARGIN_KELVIN * (volume_share / 0.3).min(1.0) + WATER_HALF_WIDTH_KELVIN;
    let [below, above] = glycol.boiling_band.each_ref().map(|edge| interpolate(&BAND_SHARES, edge, volume_share));
    [below - margin, above + margin]
}

/// The law solved for temperature, in K.
fn raoult_kelvin(mixture: &Mixture, kilopascals: f64) -> f64 {
    let glycol = mixture.base().glycol();
    let mass_share = mixture.mass_fraction().share();
    let (water_moles, glycol_moles) = ((1.0 - mass_share) / water::MOLAR_MASS, mass_share / glycol.molar_mass);
    let x = water_moles / (water_moles + glycol_moles);
    let pressure = |kelvin: f64| x * water::saturation_kilopascals(kelvin) + (1.0 - x) * glycol.vapour_pressure(kelvin);
    // Glycol only raises the boiling point, and by less than 60 K where x is 0.5 or more.
    let water_boils = water::saturation_kelvin(kilopascals);
    let (mut low, mut high) = (water_boils - 0.1, water_boils + 60.0);
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        if pressure(middle) < kilopascals { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}
