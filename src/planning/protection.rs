//! What the mix stands: cold, heat, and the ends of what is published.
//!
//! Freezing is given as a band: ASHRAE's table, which trade practice follows, and Melinder's polynomial, each at the strength with its own
//! uncertainty, and the margin of `coolant::freezing` about both. What to rely on is the warm end. Boiling is given at local
//! air pressure and at the cap's pressure on top; the latter is a ceiling and no promise, because pressure builds up only if the cap
//! holds and the system is tight.
//!
//! Where old and new coolant have different bases, both are asked and the answers joined.
//!
//! Limits: freezing up to 60 % by volume and boiling up to 70 %. Beyond 60 % protection no longer grows and then falls (from memory):
//! there is no number there.

use super::error::{PlanError, within};
use super::job::Job;
use crate::analysis::boiling_margin::{CAP_WITHIN, HIGHEST_M, WEATHER_KPA};
use crate::coolant::boiling::{air_pressure_at_altitude, boiling_point};
use crate::coolant::freezing::{freezing_point, published};
use crate::coolant::{Base, CoolantError, GREATEST_VOLUME_SHARE, Mixture};
use crate::estimate::{Estimate, Unit};
use crate::units::{Pressure, VolumeFraction};
use serde::Serialize;

/// Half-width of a stated air pressure, in kPa (own choice: a weather report is often of the sea level, and read to the whole).
const STATED_KPA: f64 = 1.0;

/// Air pressures on roads, absolute, in kPa.
const AIR_KPA: [f64; 2] = [50.0, 110.0];

/// Opening pressures of caps, gauge, in kPa, as the vehicle file takes them.
const CAPS_KPA: [f64; 2] = [10.0, 400.0];

/// Greatest share by volume that has a boiling point.
const BOILING_SHARE: f64 = 0.70;

/// Pressures that have a boiling point, absolute, in kPa.
const BOILING_KPA: [f64; 2] = [50.0, 350.0];

/// What the mix stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Protection {
    /// Where the first ice may form, °C: trade practice's value, and the band of all publications at all strengths that it may have.
    /// The high end is what to rely on. `None` beyond 60 %.
    pub freezing: Option<Estimate>,
    /// By ASHRAE's table, with the strength's uncertainty, °C.
    pub freezing_ashrae: Option<Estimate>,
    /// By Melinder's polynomial, with the strength's uncertainty, °C.
    pub freezing_melinder: Option<Estimate>,
    /// Boiling at local air pressure, °C. `None` beyond 70 %.
    pub boils_at_air: Option<Estimate>,
    /// Boiling at the cap's pressure, °C: a ceiling.
    pub boils_at_cap: Option<Estimate>,
    /// Local air pressure, absolute, kPa.
    pub air_pressure: Estimate,
    /// Whether the air pressure was assumed: sea level to 1500 m.
    pub air_assumed: bool,
}

impl Protection {
    /// Of a mix of this strength made of these bases.
    pub(super) fn of(bases: &[Base], strength: &Estimate, job: &Job, cap: Option<Pressure>) -> Result<Self, PlanError> {
        let (air, air_assumed) = air_pressure(job)?;
        let cap = cap.map(|cap| within("cap's opening pressure", cap.kilopascals(), CAPS_KPA, "kPa")).transpose()?;
        let at_cap = cap.map(|cap| air.shifted(cap)).map(|sum| stretched(sum, CAP_WITHIN * (sum.value - air.value)));
        let [ashrae, melinder] = [1, 0].map(|which| by_one(bases, strength, which));
        Ok(Self {
            freezing: freezing(bases, strength)?,
            freezing_ashrae: ashrae?,
            freezing_melinder: melinder?,
            boils_at_air: boils(bases, strength, &air)?,
            boils_at_cap: at_cap.map(|pressure| boils(bases, strength, &pressure)).transpose()?.flatten(),
            air_pressure: air,
            air_assumed,
        })
    }

    /// Temperature down to which the publications agree that no ice forms, °C.
    pub fn relied_on(&self) -> Option<f64> {
        self.freezing.map(|freezing| freezing.interval_95[1])
    }
}

/// The interval widened by an independent half-width.
fn stretched(estimate: Estimate, half: f64) -> Estimate {
    estimate.widened(half / crate::estimate::normal_quantile(0.975))
}

fn air_pressure(job: &Job) -> Result<(Estimate, bool), PlanError> {
    let interval = |value: f64, half: f64| Estimate::from_interval(value, [value - half, value + half], Unit::Kilopascal);
    if let Some(stated) = job.air_pressure {
        return Ok((interval(within("air pressure", stated.kilopascals(), AIR_KPA, "kPa")?, STATED_KPA), false));
    }
    if let Some(metres) = job.altitude_m {
        return Ok((interval(air_pressure_at_altitude(metres)?.kilopascals(), WEATHER_KPA), false));
    }
    let (sea, high) = (air_pressure_at_altitude(0.0)?.kilopascals(), air_pressure_at_altitude(HIGHEST_M)?.kilopascals());
    Ok((Estimate::from_interval(sea, [high - WEATHER_KPA, sea + WEATHER_KPA], Unit::Kilopascal), true))
}

fn mixture(base: Base, share: f64) -> Result<Mixture, CoolantError> {
    Mixture::by_volume(base, VolumeFraction::new(share).ok_or(CoolantError::NotAShare(share))?)
}

/// The least, the likely and the greatest strength, the last kept inside the tables; `None` where the likely one lies outside.
fn strengths(strength: &Estimate, greatest: f64) -> Option<[f64; 3]> {
    let [low, high] = strength.interval_95;
    (strength.value <= greatest).then(|| [low.clamp(0.0, greatest), strength.value, high.clamp(0.0, greatest)])
}

/// The whole band.
fn freezing(bases: &[Base], strength: &Estimate) -> Result<Option<Estimate>, CoolantError> {
    let Some([weak, likely, strong]) = strengths(strength, GREATEST_VOLUME_SHARE) else { return Ok(None) };
    let mut band = [f64::INFINITY, f64::NEG_INFINITY];
    let mut value = f64::NEG_INFINITY;
    for &base in bases {
        let at = |share: f64| freezing_point(&mixture(base, share)?);
        band = [band[0].min(at(strong)?.low.celsius()), band[1].max(at(weak)?.high.celsius())];
        value = value.max(at(likely)?.typical.celsius());
    }
    Ok((!bases.is_empty()).then(|| Estimate::from_interval(value, band, Unit::Celsius)))
}

/// By one publication alone: Melinder 0, ASHRAE 1; the warmer of the bases.
fn by_one(bases: &[Base], strength: &Estimate, which: usize) -> Result<Option<Estimate>, CoolantError> {
    let Some(shares) = strengths(strength, GREATEST_VOLUME_SHARE) else { return Ok(None) };
    let mut points = [f64::NEG_INFINITY; 3];
    for &base in bases {
        for (point, share) in points.iter_mut().zip(shares) {
            *point = point.max(published(&mixture(base, share)?)?[which].celsius());
        }
    }
    let [weak, likely, strong] = points;
    Ok((!bases.is_empty()).then(|| Estimate::from_interval(likely, [strong, weak], Unit::Celsius)))
}

/// Boiling point at a pressure: what strength, pressure and the law leave open, in quadrature; the lower of the bases.
pub(super) fn boils(bases: &[Base], strength: &Estimate, pressure: &Estimate) -> Result<Option<Estimate>, CoolantError> {
    let Some([weak, likely, strong]) = strengths(strength, BOILING_SHARE) else { return Ok(None) };
    let mut lowest: Option<Estimate> = None;
    for &base in bases {
        let at = |share: f64, kilopascals: f64| {
            let [low, high] = BOILING_KPA;
            boiling_point(&mixture(base, share)?, Pressure::from_kilopascals(kilopascals.clamp(low, high)))
        };
        let middle = at(likely, pressure.value)?;
        let [thin, dense] = [at(likely, pressure.interval_95[0])?.value, at(likely, pressure.interval_95[1])?.value];
        let below = (middle.value - middle.interval_95[0]).hypot(middle.value - at(weak, pressure.value)?.value).hypot(middle.value - thin);
        let above =
            (middle.interval_95[1] - middle.value).hypot(at(strong, pressure.value)?.value - middle.value).hypot(dense - middle.value);
        let found = Estimate::from_interval(middle.value, [middle.value - below, middle.value + above], Unit::Celsius);
        lowest = Some(match lowest {
            Some(other) => {
                let ends = [other.interval_95[0].min(found.interval_95[0]), other.interval_95[1].max(found.interval_95[1])];
                Estimate::from_interval(other.value.min(found.value), ends, Unit::Celsius)
            }
            None => found,
        });
    }
    Ok(lowest)
}
