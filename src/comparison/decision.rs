//! The decision: where does the interval of a difference lie against its margin?
//!
//! ```text
//! alike          −margin ≤ low and high ≤ margin       both one-sided tests reject, each at 2.5 %
//! changed        high < −margin or low > margin
//! inconclusive   else
//! ```
//!
//! An interval of 95 % inside the margin is the two one-sided tests at 2.5 % each, stricter than the 5 % that is usual for equivalence
//! (a 90 % interval): the same interval serves "changed", so that one number in the report stands behind both answers.
//!
//! # References
//!
//! - Schuirmann, D. J. (1987). *J. Pharmacokinet. Biopharm.* 15, 657–680 (two one-sided tests; from memory).
//! - Berger, R. L. and Hsu, J. C. (1996). Bioequivalence trials, intersection–union tests and equivalence confidence sets. *Statist. Sci.* 11,
//!   283–319 (tests and intervals; from memory).

use crate::estimate::{Estimate, Unit, student_quantile};
use serde::Serialize;

/// What a comparison decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// The difference is beyond the margin.
    Changed,
    /// The difference is shown to lie inside the margin.
    Alike,
    /// Neither is shown.
    Inconclusive,
}

impl Decision {
    /// In a word, for tables.
    pub fn spoken(self) -> &'static str {
        match self {
            Decision::Changed => "changed",
            Decision::Alike => "alike",
            Decision::Inconclusive => "cannot be told",
        }
    }
}

/// Decides a difference by its 95 % interval and a margin either way; what is not a number decides nothing.
pub fn decide(difference: &Estimate, margin: f64) -> Decision {
    let [low, high] = difference.interval_95;
    match (low >= -margin && high <= margin, low > margin || high < -margin) {
        (true, _) => Decision::Alike,
        (_, true) => Decision::Changed,
        _ => Decision::Inconclusive,
    }
}

/// A difference whose standard error is known from `degrees_of_freedom`, with Student's interval.
pub fn student(difference: f64, standard_error: f64, degrees_of_freedom: f64, unit: Unit) -> Estimate {
    let half = student_quantile(0.975, degrees_of_freedom) * standard_error;
    Estimate { value: difference, standard_uncertainty: standard_error, interval_95: [difference - half, difference + half], unit }
}

/// Later over earlier less 1, from the difference of the logarithms and its standard uncertainty.
pub(super) fn ratio(log_difference: f64, log_uncertainty: f64) -> Estimate {
    let of = |log: f64| log.clamp(-20.0, 20.0).exp_m1();
    let half = crate::estimate::normal_quantile(0.975) * log_uncertainty;
    Estimate::from_interval(of(log_difference), [of(log_difference - half), of(log_difference + half)], Unit::One)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_whole_interval_decides() {
        let kelvin = |value: f64, u: f64| Estimate::normal(value, u, Unit::Kelvin);
        let rows = [
            (0.0, 0.5, Decision::Alike),
            (0.0, 3.0, Decision::Inconclusive),
            (1.8, 0.5, Decision::Inconclusive),
            (5.0, 0.5, Decision::Changed),
            (-5.0, 0.5, Decision::Changed),
            (5.0, 2.0, Decision::Inconclusive),
            (f64::NAN, 0.5, Decision::Inconclusive),
        ];
        for (value, u, expected) in rows {
            assert_eq!(decide(&kelvin(value, u), 2.0), expected, "{value} ± {u}");
        }
    }

    #[test]
    fn a_ratio_keeps_its_interval_lopsided() {
        let third_less = ratio((2.0f64 / 3.0).ln(), 0.1);
        assert!((third_less.value + 1.0 / 3.0).abs() < 1e-12);
        assert!(third_less.interval_95[1] - third_less.value > third_less.value - third_less.interval_95[0]);
    }
}
