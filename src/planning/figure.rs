//! Figures in units that a check has no use for (kilometres, years, money), and how shares and volumes are said.

use crate::estimate::spoken::number;
use crate::estimate::{Estimate, Unit};
use serde::Serialize;

/// Value, standard uncertainty, 95 % interval and unit, as in [`Estimate`], for kilometres, millimetres, years and money.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// Best value, in `unit`.
    pub value: f64,
    /// Standard uncertainty, in `unit`.
    pub standard_uncertainty: f64,
    /// Interval meant to hold the truth in 95 of 100 cases; low end first.
    pub interval_95: [f64; 2],
    /// `km`, `mm`, `a` (years) or what the price was stated in.
    pub unit: String,
}

impl Figure {
    /// An estimate times an exactly known positive factor.
    pub fn scaled(estimate: &Estimate, factor: f64, unit: &str) -> Self {
        Self {
            value: factor * estimate.value,
            standard_uncertainty: factor * estimate.standard_uncertainty,
            interval_95: estimate.interval_95.map(|end| factor * end),
            unit: unit.to_owned(),
        }
    }

    /// The same figure counted from a known start.
    pub fn from_start(mut self, start: f64) -> Self {
        self.value += start;
        self.interval_95 = self.interval_95.map(|end| end + start);
        self
    }
}

/// A share as people say it: `47 % (45 to 49)`.
pub fn percent(share: &Estimate) -> String {
    let scaled = Estimate {
        value: 100.0 * share.value,
        standard_uncertainty: 100.0 * share.standard_uncertainty,
        interval_95: share.interval_95.map(|end| 100.0 * end),
        unit: Unit::One,
    };
    let decimals = if scaled.value < 9.95 { 1 } else { 0 };
    let value = number(scaled.value, decimals);
    if scaled.standard_uncertainty <= 0.0 {
        return format!("{value} %");
    }
    let [low, high] = scaled.interval_95.map(|end| number(end, decimals));
    format!("{value} % ({low} to {high})")
}

/// A volume as people measure it out, to 10 mL under a litre and to 50 mL from there: `3.55 L (3.25 to 3.85)`, `740 mL (620 to 860)`.
pub fn volume(volume: &Estimate) -> String {
    let litres = volume.value.abs() >= 995.0;
    let said = |millilitres: f64| {
        if litres { number((millilitres / 50.0).round() * 0.05, 2) } else { number((millilitres / 10.0).round() * 10.0, 0) }
    };
    let unit = if litres { "L" } else { "mL" };
    if volume.standard_uncertainty <= 0.0 {
        return format!("{} {unit}", said(volume.value));
    }
    format!("{} {unit} ({} to {})", said(volume.value), said(volume.interval_95[0]), said(volume.interval_95[1]))
}

/// A large whole number with a no-break space between thousands.
pub fn grouped(value: f64) -> String {
    let text = number(value, 0);
    let (sign, digits) = text.strip_prefix('−').map_or(("", text.as_str()), |digits| ("−", digits));
    if digits.len() <= 4 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return text;
    }
    let mut grouped = String::from(sign);
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            grouped.push('\u{a0}');
        }
        grouped.push(digit);
    }
    grouped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_volumes_and_distances_are_said_as_people_use_them() {
        assert_eq!(percent(&Estimate::normal(0.4712, 0.011, Unit::One)), "47 % (45 to 49)");
        assert_eq!(percent(&Estimate::normal(0.0198, 0.0, Unit::One)), "2.0 %");
        assert_eq!(volume(&Estimate::normal(3551.0, 150.0, Unit::Millilitre)), "3.55 L (3.25 to 3.85)");
        assert_eq!(volume(&Estimate::normal(742.0, 60.0, Unit::Millilitre)), "740 mL (620 to 860)");
        assert_eq!(grouped(94_117.6), "94\u{a0}118");
        assert_eq!(grouped(-1234567.0), "−1\u{a0}234\u{a0}567");
    }
}
