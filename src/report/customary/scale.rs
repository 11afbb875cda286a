//! From SI to US customary: which unit, by which factor, with how many digits.
//!
//! # References
//!
//! - NIST Special Publication 811 (2008), appendix B.8: US gallon 3.785 411 784 L (128 fluid ounces, 4 quarts), inch 25.4 mm,
//!   pound-force per square inch 6.894 757 kPa, mile 1.609 344 km, degree Fahrenheit 5/9 K.

use crate::estimate::spoken::number;

/// A unit that people read and what it becomes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// As it is written.
    pub si: &'static str,
    /// As it becomes.
    pub customary: &'static str,
    /// Customary units to one of SI.
    factor: f64,
    /// Customary reading of zero.
    offset: f64,
    /// Decimals more than before: a fluid ounce is thirty times a millilitre, and an inch twenty-five times a millimetre.
    more_decimals: usize,
}

const fn scale(si: &'static str, customary: &'static str, factor: f64, more_decimals: usize) -> Scale {
    Scale { si, customary, factor, offset: 0.0, more_decimals }
}

const QUART_L: f64 = 0.946_352_946;

/// From here on, in L, a volume is told in gallons: four of them, as in lorries and buses.
const GALLONS_FROM_L: f64 = 16.0 * QUART_L;

const GALLON: Scale = scale("L", "gal", 1.0 / (4.0 * QUART_L), 1);

/// Units in the order in which they are tried: a longer one before what it begins with.
const SCALES: [Scale; 9] = [
    Scale { si: "°C", customary: "°F", factor: 1.8, offset: 32.0, more_decimals: 0 },
    scale("K/min", "°F/min", 1.8, 0),
    scale("K", "°F", 1.8, 0),
    scale("mL", "fl oz", 1.0 / 29.573_529_562_5, 1),
    scale("L", "qt", 1.0 / QUART_L, 0),
    scale("km/h", "mph", 1.0 / 1.609_344, 0),
    scale("km", "mi", 1.0 / 1.609_344, 0),
    scale("kPa", "psi", 1.0 / 6.894_757, 1),
    scale("mm", "in", 1.0 / 25.4, 2),
];

/// Largest share by which rounding may move a printed number; beyond it a further decimal is written (own choice).
const ROUNDING_SHARE: f64 = 0.05;

impl Scale {
    /// The unit with which the text begins, if it is one of these and ends there.
    pub fn at_start(text: &str) -> Option<Self> {
        SCALES.into_iter().find(|scale| {
            let ends = |rest: &str| !rest.starts_with(|c: char| c.is_alphanumeric() || matches!(c, '/' | '·' | '²' | '³' | '_'));
            text.strip_prefix(scale.si).is_some_and(ends)
        })
    }

    /// The unit of this name.
    pub fn named(unit: &str) -> Option<Self> {
        SCALES.into_iter().find(|scale| scale.si == unit)
    }

    /// The same for a quantity of this size: large volumes are told in gallons.
    pub fn for_size(self, value: f64) -> Self {
        if self.si == GALLON.si && value.abs() >= GALLONS_FROM_L { GALLON } else { self }
    }

    /// A value in the customary unit.
    pub fn of(&self, si: f64) -> f64 {
        si * self.factor + self.offset
    }

    /// A distance between two values.
    pub fn span(&self, si: f64) -> f64 {
        si * self.factor
    }

    /// How many decimals the converted values take where those of SI had `decimals`.
    pub fn decimals(&self, si: &[f64], decimals: usize) -> usize {
        let decimals = decimals + self.more_decimals;
        let coarse = |value: f64| {
            let (exact, step) = (self.of(value), 10f64.powi(decimals as i32));
            ((exact * step).round() / step - exact).abs() > ROUNDING_SHARE * exact.abs()
        };
        // On a scale whose zero is no nothing, shares mean nothing.
        let refine = self.offset == 0.0 && si.iter().any(|value| value.is_finite() && coarse(*value));
        decimals + usize::from(refine)
    }

    /// A value as people read it, without its unit.
    pub fn written(&self, si: f64, decimals: usize) -> String {
        number(self.of(si), decimals)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_longer_unit_is_not_taken_for_what_it_begins_with() {
        for (text, unit) in
            [("K/min.", Some("K/min")), ("K (1 to 2)", Some("K")), ("km/h", Some("km/h")), ("km,", Some("km")), ("L.", Some("L"))]
        {
            assert_eq!(Scale::at_start(text).map(|scale| scale.si), unit, "{text}");
        }
        for text in ["kg", "Log", "mL/K", "Kelvin", "L/100km", "mmHg", "K·s", "min", ""] {
            assert_eq!(Scale::at_start(text), None, "{text}");
        }
    }
}
