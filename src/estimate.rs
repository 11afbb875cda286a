//! A value with how well it is known.
//!
//! Every number the program prints about a vehicle is an [`Estimate`]: the value, its standard uncertainty and an interval
//! that should hold the truth 95 times in 100. The interval is kept beside the uncertainty because it need not be symmetric:
//! a profile interval seldom is.
//!
//! # References
//!
//! - JCGM 100:2008 (GUM), 2.3.1 standard uncertainty, 7.2.6 digits of a reported uncertainty (at most two).
//! - JCGM 101:2008, coverage interval.

pub mod spoken;

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Unit of an estimate, as the JSON contract spells it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Unit {
    /// Degrees Celsius.
    #[serde(rename = "degC")]
    Celsius,
    /// Kelvin, for differences.
    #[serde(rename = "K")]
    Kelvin,
    /// Seconds.
    #[serde(rename = "s")]
    Second,
    /// Millilitres.
    #[serde(rename = "mL")]
    Millilitre,
    /// Kelvin per minute.
    #[serde(rename = "K/min")]
    KelvinPerMinute,
    /// Kilopascals.
    #[serde(rename = "kPa")]
    Kilopascal,
    /// A pure number.
    #[serde(rename = "1")]
    One,
}

impl Unit {
    /// The unit as people read it, with the space that goes before it; empty for a pure number.
    pub fn spoken(self) -> &'static str {
        match self {
            Unit::Celsius => " °C",
            Unit::Kelvin => " K",
            Unit::Second => " s",
            Unit::Millilitre => " mL",
            Unit::KelvinPerMinute => " K/min",
            Unit::Kilopascal => " kPa",
            Unit::One => "",
        }
    }
}

/// A measured quantity: value, standard uncertainty, 95 % coverage interval, unit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Estimate {
    /// Best value, in `unit`.
    pub value: f64,
    /// Standard uncertainty (one sigma), in `unit`; never negative.
    pub standard_uncertainty: f64,
    /// Interval meant to hold the truth in 95 of 100 cases; low end first.
    pub interval_95: [f64; 2],
    /// Unit of all four numbers.
    pub unit: Unit,
}

impl Estimate {
    /// From a value and a standard uncertainty known as well as that of a normal distribution.
    pub fn normal(value: f64, standard_uncertainty: f64, unit: Unit) -> Self {
        let half = normal_quantile(0.975) * standard_uncertainty;
        Self { value, standard_uncertainty, interval_95: [value - half, value + half], unit }
    }

    /// From a value and an interval that was found directly (a likelihood profile, a bootstrap): the standard uncertainty
    /// is the interval's width over 2 · 1.96.
    pub fn from_interval(value: f64, interval_95: [f64; 2], unit: Unit) -> Self {
        let standard_uncertainty = (interval_95[1] - interval_95[0]) / (2.0 * normal_quantile(0.975));
        Self { value, standard_uncertainty, interval_95, unit }
    }

    /// The same estimate with an independent standard uncertainty added in quadrature; the interval widens on both sides in
    /// proportion to its own halves.
    pub fn widened(self, more: f64) -> Self {
        if more <= 0.0 {
            return self;
        }
        let z = normal_quantile(0.975);
        let grown = |half: f64| half.hypot(z * more);
        Self {
            value: self.value,
            standard_uncertainty: self.standard_uncertainty.hypot(more),
            interval_95: [self.value - grown(self.value - self.interval_95[0]), self.value + grown(self.interval_95[1] - self.value)],
            unit: self.unit,
        }
    }

    /// The same estimate with an independent standard uncertainty added that is larger on one side: `down` below the value, `up` above.
    pub fn widened_unevenly(self, down: f64, up: f64) -> Self {
        let (below, above) = (self.widened(down), self.widened(up));
        Self {
            standard_uncertainty: below.standard_uncertainty.midpoint(above.standard_uncertainty),
            interval_95: [below.interval_95[0], above.interval_95[1]],
            ..self
        }
    }

    /// The same quantity counted the other way.
    pub fn negated(self) -> Self {
        let [low, high] = self.interval_95;
        Self { value: -self.value, interval_95: [-high, -low], ..self }
    }

    /// The same estimate moved by a known amount.
    pub fn shifted(self, by: f64) -> Self {
        Self { value: self.value + by, interval_95: self.interval_95.map(|end| end + by), ..self }
    }

    /// How many decimals to print: the standard uncertainty to two digits where they begin with 1 or 2, to one digit
    /// otherwise (GUM 7.2.6: at most two digits; the finer split is our own), and never more than two decimals, of a pure number
    /// three.
    pub fn decimals(&self) -> usize {
        let u = self.standard_uncertainty;
        if u.is_nan() || u <= 0.0 {
            return 1;
        }
        let power = u.log10().floor();
        let leading = u / 10f64.powf(power);
        let digits = if leading < 2.95 { 1.0 } else { 0.0 };
        let most = if self.unit == Unit::One { 3.0 } else { 2.0 };
        (digits - power).clamp(0.0, most) as usize
    }
}

/// Quantile of the standard normal distribution; `probability` strictly between 0 and 1.
pub fn normal_quantile(probability: f64) -> f64 {
    Normal::standard().inverse_cdf(probability)
}

/// Quantile of Student's t; fewer than one degree of freedom counts as one.
pub fn student_quantile(probability: f64, degrees_of_freedom: f64) -> f64 {
    match StudentsT::new(0.0, 1.0, degrees_of_freedom.max(1.0)) {
        Ok(t) => t.inverse_cdf(probability),
        Err(_) => normal_quantile(probability),
    }
}
