//! Strength: however it is stated, a share of concentrate by volume with how well it is known.
//!
//! A reading in degrees (refractometer, hydrometer, freezing-point test) is read backwards through the freezing curve. Trade
//! instruments follow ASHRAE's table, which gives the value; the shares at which the coldest and the warmest published curve pass
//! through the reading are the ends of the interval, and the reading's own error is added.
//!
//! What is *wanted* goes the other way: the share from which the warmest published curve lies at the temperature or under it.
//!
//! Limits: up to 60 % by volume, where the tables end. Beyond, freezing points rise again (from memory), so that a reading has two
//! meanings; a refractometer made for the other glycol reads wrong by several kelvin and is not known here.
//!
//! # References
//!
//! - `coolant::freezing`: the curves and their band.
//! - ASTM D6660-01(2019), clause 12: reproducibility 0.8 K of a laboratory's freezing point.

use super::error::{PlanError, within};
use super::propagate::rectangular;
use crate::coolant::freezing::{FreezingPoint, freezing_point};
use crate::coolant::{Base, CoolantError, GREATEST_VOLUME_SHARE, Mixture};
use crate::estimate::{Estimate, Unit};
use crate::units::{MassFraction, Temperature, VolumeFraction};

/// Half-width of a strength that a person states of what is in the system, as a share by volume (own choice, as the boiling margin
/// takes it).
const PRESENT_WITHIN: f64 = 0.05;

/// Half-width of the strength that a label states, as a share by volume (own choice).
const LABEL_WITHIN: f64 = 0.01;

/// Half-width of a freezing point read with an instrument held in the hand, in K: twice the reproducibility of the laboratory's method (own
/// choice).
const READING_WITHIN_K: f64 = 1.6;

/// Share and half-width of a coolant of which nothing is known (own choice: what vehicles carry).
const UNKNOWN_SHARE: (f64, f64) = (0.45, 0.15);

/// A strength as it is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Strength {
    /// Per cent of concentrate by volume, unmixed at 20 °C.
    VolumePercent(f64),
    /// Per cent of concentrate by mass.
    MassPercent(f64),
    /// The temperature at which it freezes, as read on an instrument.
    FreezesAt(Temperature),
}

impl Strength {
    /// Of coolant in a system: share by volume.
    ///
    /// # Errors
    ///
    /// [`PlanError`] outside 0 to 100 %, above 0 °C, and colder than the tables reach.
    pub fn of_system(self, base: Base) -> Result<Estimate, PlanError> {
        self.estimate(base, PRESENT_WITHIN)
    }

    /// On the label of a product: share by volume.
    ///
    /// # Errors
    ///
    /// As [`Strength::of_system`].
    pub fn of_label(self, base: Base) -> Result<Estimate, PlanError> {
        self.estimate(base, LABEL_WITHIN)
    }

    fn estimate(self, base: Base, within_share: f64) -> Result<Estimate, PlanError> {
        let share = match self {
            Self::FreezesAt(reading) => return read_backwards(base, reading),
            Self::VolumePercent(percent) => within("strength", percent, [0.0, 100.0], "%")? / 100.0,
            Self::MassPercent(percent) => {
                let mass = within("strength", percent, [0.0, 100.0], "%")? / 100.0;
                let fraction = MassFraction::new(mass).ok_or(CoolantError::NotAShare(mass))?;
                Mixture::by_mass(base, fraction)?.volume_fraction().share()
            }
        };
        // Water and undiluted concentrate are what they are.
        let half = within_share.min(2.0 * share).min(2.0 * (1.0 - share));
        Ok(bounded(share, rectangular(half)))
    }
}

/// Of a coolant of which nothing is known.
pub(super) fn unknown() -> Estimate {
    bounded(UNKNOWN_SHARE.0, rectangular(UNKNOWN_SHARE.1))
}

fn bounded(share: f64, u: f64) -> Estimate {
    super::propagate::clamped(Estimate::normal(share, u, Unit::One), 0.0, 1.0)
}

/// Share by volume that protects down to a temperature, by the warmest published curve.
///
/// # Errors
///
/// [`PlanError`] above 0 °C, and where that curve ends above the temperature.
pub fn share_for(base: Base, wanted: Temperature) -> Result<f64, PlanError> {
    let celsius = within("freezing point that is wanted", wanted.celsius(), [-100.0, 0.0], "°C")?;
    let warmest = |share: f64| curve(base, share).map(|point| point.high.celsius());
    let coldest = warmest(GREATEST_VOLUME_SHARE)?;
    if celsius < coldest {
        return Err(PlanError::BeyondTables { base, celsius, coldest, read: false });
    }
    first_at(celsius, warmest)
}

/// Share by volume whose reading this is.
fn read_backwards(base: Base, reading: Temperature) -> Result<Estimate, PlanError> {
    let celsius = within("freezing point that was read", reading.celsius(), [-100.0, 0.0], "°C")?;
    let typical = |share: f64| curve(base, share).map(|point| point.typical.celsius());
    let coldest = typical(GREATEST_VOLUME_SHARE)?;
    if celsius < coldest {
        return Err(PlanError::BeyondTables { base, celsius, coldest, read: true });
    }
    let at = |celsius: f64| first_at(celsius.clamp(coldest, 0.0), typical);
    let value = at(celsius)?;
    // A coolant that freezes colder than usual needs less for this reading, one that freezes warmer needs more.
    let least = first_at(celsius, |share| curve(base, share).map(|point| point.low.celsius()))?;
    let most = first_at(celsius, |share| curve(base, share).map(|point| point.high.celsius()))?;
    let (warmer, colder) = (at(celsius + READING_WITHIN_K)?, at(celsius - READING_WITHIN_K)?);
    let low = value - (value - least).max(0.0).hypot(value - warmer);
    let high = value + (most - value).max(0.0).hypot(colder - value);
    Ok(Estimate::from_interval(value, [low.max(0.0), high.min(1.0)], Unit::One))
}

fn curve(base: Base, share: f64) -> Result<FreezingPoint, PlanError> {
    let fraction = VolumeFraction::new(share).ok_or(CoolantError::NotAShare(share))?;
    Ok(freezing_point(&Mixture::by_volume(base, fraction)?)?)
}

/// The least share at which a falling curve has come down to `celsius`; the end of the tables if it has not.
fn first_at(celsius: f64, curve: impl Fn(f64) -> Result<f64, PlanError>) -> Result<f64, PlanError> {
    let (mut low, mut high) = (0.0, GREATEST_VOLUME_SHARE);
    if curve(low)? <= celsius {
        return Ok(low);
    }
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if curve(middle)? <= celsius { high = middle } else { low = middle }
    }
    Ok(high)
}
