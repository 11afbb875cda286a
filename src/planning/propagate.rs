//! How far what is stated uncertainly reaches into what is computed from it.
//!
//! Each input is moved to both ends of its own 95 % interval while the others stay, and the deviations of the result are added in
//! quadrature, downward and upward apart: the law of propagation with differences in place of derivatives, so that an answer that
//! bends (a fill that is full of concentrate cannot take more) keeps a lopsided interval.
//!
//! Limits: inputs are taken as independent; where the answer bends sharply within an interval, the interval is one of linear pieces.
//!
//! # References
//!
//! - JCGM 100:2008 (GUM), 5.1.2; 5.1.3 note 2 for differences (clauses from memory).

use crate::estimate::{Estimate, Unit, normal_quantile};

/// What is stated: value and standard uncertainty.
pub(super) type Input = (f64, f64);

/// The estimate of `f` at the inputs.
pub(super) fn propagate<const N: usize>(inputs: [Input; N], unit: Unit, f: impl Fn([f64; N]) -> f64) -> Estimate {
    let z = normal_quantile(0.975);
    let middle = inputs.map(|(value, _)| value);
    let value = f(middle);
    let (mut below, mut above, mut variance) = (0.0f64, 0.0f64, 0.0f64);
    for (index, (_, u)) in inputs.iter().enumerate().filter(|(_, (_, u))| *u > 0.0) {
        let [down, up] = [-z, z].map(|k| {
            let mut moved = middle;
            moved[index] += k * u;
            f(moved) - value
        });
        below = below.hypot(down.min(up).min(0.0));
        above = above.hypot(down.max(up).max(0.0));
        variance += ((up - down) / (2.0 * z)).powi(2);
    }
    Estimate { value, standard_uncertainty: variance.sqrt(), interval_95: [value - below, value + above], unit }
}

/// A quantity known within ± `half` and nothing more: its standard uncertainty (JCGM 100:2008, 4.3.7).
pub(super) fn rectangular(half: f64) -> f64 {
    half / 3f64.sqrt()
}

/// An estimate as an input.
pub(super) fn input(estimate: &Estimate) -> Input {
    (estimate.value, estimate.standard_uncertainty)
}

/// The estimate with its interval kept inside what the quantity can be.
pub(super) fn clamped(estimate: Estimate, low: f64, high: f64) -> Estimate {
    Estimate { interval_95: estimate.interval_95.map(|end| end.clamp(low, high)), ..estimate }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_product_has_the_law_of_propagation() {
        let area = propagate([(4.0, 0.1), (3.0, 0.2)], Unit::One, |[a, b]| a * b);
        assert_eq!(area.value, 12.0);
        assert!((area.standard_uncertainty - (3.0f64 * 0.1).hypot(4.0 * 0.2)).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_grow_has_no_upper_half() {
        let full = propagate([(5.0, 0.5)], Unit::One, |[x]| x.min(5.0));
        assert_eq!(full.interval_95[1], 5.0);
        assert!(full.interval_95[0] < 4.1);
    }
}
