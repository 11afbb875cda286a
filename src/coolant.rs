//! What the coolant does: density, heat capacity, growth, freezing and boiling of glycol and water.
//!
//! Every property is asked of a [`Mixture`] and comes from a published correlation or table; where two publications differ,
//! the difference is part of the answer. Outside its range a property is an error, never a number.
//!
//! # Limits
//!
//! - Pure mixtures are described. Inhibitors, dyes and dissolved gas are not: the inhibited mixtures that ASHRAE tabulates
//!   are up to 1.1 % denser than pure ones.
//! - Fractions by volume are of the unmixed parts at 20 °C, as a person pours them.
//! - Density up to 60 % by volume, which is where the tables end; boiling up to 70 %.
//! - Pressure is left out of density: 150 kPa more make water 0.007 % denser.
//! - The publications end at 100 °C. Thermostats may regulate above that, so the correlations are carried on to
//!   [`HIGHEST_CELSIUS`], and [`expansion`] widens its interval there.

use crate::units::Temperature;

pub mod boiling;
mod ethylene_glycol;
pub mod expansion;
pub mod freezing;
mod glycol;
mod mixture;
mod propylene_glycol;
pub mod water;

pub use mixture::Mixture;

/// Highest temperature, in °C, at which density and heat capacity are given.
pub const HIGHEST_CELSIUS: f64 = 120.0;

/// Greatest share by volume at which density, heat capacity and freezing point are given.
pub const GREATEST_VOLUME_SHARE: f64 = 0.60;

/// Base of the coolant's concentrate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Base {
    /// 1,2-ethanediol.
    EthyleneGlycol,
    /// 1,2-propanediol.
    PropyleneGlycol,
}

impl Base {
    /// As people say it: `ethylene glycol`.
    pub fn spoken(self) -> &'static str {
        match self {
            Base::EthyleneGlycol => "ethylene glycol",
            Base::PropyleneGlycol => "propylene glycol",
        }
    }

    fn glycol(self) -> &'static glycol::Glycol {
        match self {
            Base::EthyleneGlycol => &ethylene_glycol::ETHYLENE_GLYCOL,
            Base::PropyleneGlycol => &propylene_glycol::PROPYLENE_GLYCOL,
        }
    }
}

/// Mass of a volume, in kg/m³ (the same number as g/L).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Density(f64);

impl Density {
    /// In kg/m³.
    pub const fn kilograms_per_cubic_metre(self) -> f64 {
        self.0
    }
}

/// Heat that warms a mass by one kelvin at constant pressure, in J/(kg·K).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SpecificHeat(f64);

impl SpecificHeat {
    /// In J/(kg·K).
    pub const fn joules_per_kilogram_kelvin(self) -> f64 {
        self.0
    }
}

/// Why a property is not given. Each variant holds what was asked and the range that has an answer.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CoolantError {
    /// More concentrate than the property is published for.
    #[error("{} at {percent:.0} % by volume: its {property} is published up to {greatest:.0} % only", base.spoken())]
    TooStrong {
        /// What the concentrate is made of.
        base: Base,
        /// The property that was asked for.
        property: &'static str,
        /// Share by volume, in percent.
        percent: f64,
        /// Greatest share by volume that has an answer, in percent.
        greatest: f64,
    },
    /// A share outside 0 to 1.
    #[error("{0} is not a share of concentrate: it lies outside 0 to 1")]
    NotAShare(f64),
    /// A temperature outside the range in which the coolant is described as a liquid.
    #[error("{celsius:.1} °C lies outside the range of the coolant's {property} ({low:.1} to {high:.0} °C)")]
    Temperature {
        /// The property that was asked for.
        property: &'static str,
        /// The temperature, in °C.
        celsius: f64,
        /// Freezing point of the mixture, in °C.
        low: f64,
        /// Highest temperature that has an answer, in °C.
        high: f64,
    },
    /// A pressure outside the range of the boiling point.
    #[error("{kilopascals:.1} kPa lies outside the range of the boiling point ({low:.0} to {high:.0} kPa absolute)")]
    Pressure {
        /// The pressure, absolute, in kPa.
        kilopascals: f64,
        /// Lowest pressure that has an answer, in kPa.
        low: f64,
        /// Highest pressure that has an answer, in kPa.
        high: f64,
    },
    /// An altitude that no road reaches.
    #[error("{metres:.0} m lies outside the range of altitudes ({low:.0} to {high:.0} m)")]
    Altitude {
        /// The altitude, in m.
        metres: f64,
        /// Lowest altitude that has an answer, in m.
        low: f64,
        /// Highest altitude that has an answer, in m.
        high: f64,
    },
}

impl CoolantError {
    /// The way out, as a sentence for the person.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::TooStrong { property: freezing::PROPERTY, .. } => {
                "the published tables end there, and more concentrate no longer protects better (from memory): dilute to what the maker states"
            }
            Self::TooStrong { .. } => {
                "the published tables end there: measure the mix with a refractometer, dilute it to what the maker states"
            }
            Self::NotAShare(_) => "give the share of concentrate between 0 (water) and 1 (undiluted)",
            Self::Temperature { celsius, low, .. } if celsius < low => {
                "the mixture may be frozen there: correct the temperature or the share of concentrate"
            }
            Self::Temperature { .. } => "correct the temperature; above the range no published figure is known",
            Self::Pressure { .. } => {
                "give the pressure absolute and in kPa: the reading of a gauge plus the air pressure (about 101 kPa at the sea)"
            }
            Self::Altitude { .. } => "give the altitude in metres above the sea",
        }
    }
}

/// A range check that no NaN passes.
fn within(value: f64, low: f64, high: f64, otherwise: CoolantError) -> Result<(), CoolantError> {
    if (low..=high).contains(&value) { Ok(()) } else { Err(otherwise) }
}

/// The check that density and heat capacity share: a published share of concentrate, and liquid.
fn liquid(mixture: &Mixture, property: &'static str, at: Temperature) -> Result<f64, CoolantError> {
    mixture.at_most(GREATEST_VOLUME_SHARE, property)?;
    let (celsius, low) = (at.celsius(), freezing::typical_celsius(mixture));
    within(celsius, low, HIGHEST_CELSIUS, CoolantError::Temperature { property, celsius, low, high: HIGHEST_CELSIUS })?;
    Ok(celsius)
}
