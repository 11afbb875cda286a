//! Quantities that know what they are.
//!
//! A point on a temperature scale and a difference of temperatures are different types: two points subtract to a
//! difference, and their sum does not compile. Everything is kept in the unit that the JSON contract uses (°C, K, s, mL,
//! kPa), so that a value which comes in as 90 goes out as 90. Customary units are converted at the edge, by [`parse`].
//!
//! # References
//!
//! - NIST Special Publication 811 (2008), appendix B.8: exact conversion factors (US gallon 3.785 411 784 L, inch 25.4 mm,
//!   pound-force per square inch 6.894 757 kPa, mile 1.609 344 km).

use serde::{Deserialize, Serialize};
use std::ops::{Add, Mul, Neg, Sub};

pub mod parse;

/// A point on the Celsius scale, in °C.
///
/// Two temperatures subtract to a [`TemperatureDifference`]; their sum has no meaning and does not compile:
///
/// ```compile_fail
/// # use wellbled::units::Temperature;
/// let nonsense = Temperature::from_celsius(82.0) + Temperature::from_celsius(8.0);
/// ```
///
/// ```
/// # use wellbled::units::{Temperature, TemperatureDifference};
/// let rise = Temperature::from_celsius(90.0) - Temperature::from_celsius(82.0);
/// assert_eq!(rise, TemperatureDifference::from_kelvin(8.0));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Temperature(f64);

/// How far two temperatures lie apart, in kelvin.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct TemperatureDifference(f64);

/// A span of time or a moment counted from the first row of the log, in seconds.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Seconds(f64);

/// A volume, in millilitres.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Volume(f64);

/// A pressure, in kilopascals; the name of the variable says whether it is absolute or gauge.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Pressure(f64);

/// Share of concentrate by volume, both parts measured unmixed at 20 °C; 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct VolumeFraction(f64);

/// Share of concentrate by mass; 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct MassFraction(f64);

/// Zero of the Celsius scale, in kelvin (exact by definition).
const ZERO_CELSIUS: f64 = 273.15;

impl Temperature {
    /// From degrees Celsius.
    pub const fn from_celsius(celsius: f64) -> Self {
        Self(celsius)
    }
    /// From degrees Fahrenheit.
    pub fn from_fahrenheit(fahrenheit: f64) -> Self {
        Self((fahrenheit - 32.0) / 1.8)
    }
    /// From kelvin.
    pub fn from_kelvin(kelvin: f64) -> Self {
        Self(kelvin - ZERO_CELSIUS)
    }
    /// In degrees Celsius.
    pub const fn celsius(self) -> f64 {
        self.0
    }
    /// In degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }
    /// In kelvin.
    pub fn kelvin(self) -> f64 {
        self.0 + ZERO_CELSIUS
    }
}

impl TemperatureDifference {
    /// From kelvin.
    pub const fn from_kelvin(kelvin: f64) -> Self {
        Self(kelvin)
    }
    /// In kelvin.
    pub const fn kelvin(self) -> f64 {
        self.0
    }
}

impl Seconds {
    /// From seconds.
    pub const fn new(seconds: f64) -> Self {
        Self(seconds)
    }
    /// In seconds.
    pub const fn seconds(self) -> f64 {
        self.0
    }
}

impl Volume {
    /// From millilitres.
    pub const fn from_millilitres(millilitres: f64) -> Self {
        Self(millilitres)
    }
    /// From litres.
    pub fn from_litres(litres: f64) -> Self {
        Self(litres * 1000.0)
    }
    /// In millilitres.
    pub const fn millilitres(self) -> f64 {
        self.0
    }
    /// In litres.
    pub fn litres(self) -> f64 {
        self.0 / 1000.0
    }
}

impl Pressure {
    /// From kilopascals.
    pub const fn from_kilopascals(kilopascals: f64) -> Self {
        Self(kilopascals)
    }
    /// In kilopascals.
    pub const fn kilopascals(self) -> f64 {
        self.0
    }
}

impl VolumeFraction {
    /// From a share between 0 and 1; `None` outside.
    pub fn new(share: f64) -> Option<Self> {
        (0.0..=1.0).contains(&share).then_some(Self(share))
    }
    /// As a share between 0 and 1.
    pub const fn share(self) -> f64 {
        self.0
    }
}

impl MassFraction {
    /// From a share between 0 and 1; `None` outside.
    pub fn new(share: f64) -> Option<Self> {
        (0.0..=1.0).contains(&share).then_some(Self(share))
    }
    /// As a share between 0 and 1.
    pub const fn share(self) -> f64 {
        self.0
    }
}

impl Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}

impl Add<TemperatureDifference> for Temperature {
    type Output = Self;
    fn add(self, difference: TemperatureDifference) -> Self {
        Self(self.0 + difference.0)
    }
}

impl Sub<TemperatureDifference> for Temperature {
    type Output = Self;
    fn sub(self, difference: TemperatureDifference) -> Self {
        Self(self.0 - difference.0)
    }
}

/// Sum, difference, negation and scaling of a quantity that has a natural zero.
macro_rules! arithmetic_with_a_zero {
    ($($quantity:ident),*) => {$(
        impl Add for $quantity {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self(self.0 + other.0) }
        }
        impl Sub for $quantity {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self(self.0 - other.0) }
        }
        impl Neg for $quantity {
            type Output = Self;
            fn neg(self) -> Self { Self(-self.0) }
        }
        impl Mul<f64> for $quantity {
            type Output = Self;
            fn mul(self, factor: f64) -> Self { Self(self.0 * factor) }
        }
    )*};
}
arithmetic_with_a_zero!(TemperatureDifference, Seconds, Volume, Pressure);
