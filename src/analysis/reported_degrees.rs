//! Reported degrees: where above or below a reported temperature does the true one lie?
//!
//! A control unit reports whole degrees (or some other step) of a finer number. Which way it drops the rest is its maker's choice and does not show
//! in the log, so three ways are held possible:
//!
//! ```text
//! nearest          truth − reading  even over (−½, ½) steps
//! cut off          truth − reading  even over (0, 1) steps
//! counted, cut     truth − reading  the sum of an even part over (0, 1) and one over (0, ⅝): a count of 0.625 K cut off, then whole degrees cut off
//! ```
//!
//! A quantity that lands anywhere within its step with equal chance (a percentile of a slow signal does: the steps know nothing of the signal) lies
//! where the mixture of the three says. The same holds for every reading of one unit, so differences of readings are free of it.
//!
//! Limits: the shares of the three ways are our own choice ([`WAYS`]); a log does not tell them apart.
//!
//! # References
//!
//! - JCGM 100:2008, F.2.2.1: resolution of a digital indication as an even distribution (clause from memory).

/// Share of control units that round to nearest, cut off, and cut off twice. Public warm-ups show all three; the shares are our own choice.
const WAYS: [f64; 3] = [0.5, 0.3, 0.2];

/// Width of the inner count, in kelvin: five eighths of a degree, as seen in public warm-ups.
const INNER_COUNT: f64 = 0.625;

/// How far a sensor's own noise and the delay of polling carry a reading beyond its step, in kelvin, and the least half-width that is left where steps are
/// fine (our own choice; held against made runs in `docs/detectors/regulation.md`).
const NOISE: f64 = 0.05;
const LEAST_HALF_WIDTH: f64 = 0.15;

/// Mean of truth less reading for readings in steps of `step` kelvin.
pub fn mean_excess(step: f64) -> f64 {
    step.max(0.0) * (WAYS[1] * 0.5 + WAYS[2] * (0.5 + 0.5 * INNER_COUNT))
}

/// Chance that truth less reading is below `difference` kelvin, for readings in steps of `step` kelvin.
pub fn chance_below(difference: f64, step: f64) -> f64 {
    let step = step.max(0.0);
    let noise = NOISE.max(LEAST_HALF_WIDTH - 0.5 * step);
    let even = |low: f64, high: f64| ((difference - low + noise) / (high - low + 2.0 * noise)).clamp(0.0, 1.0);
    let counted = if step > noise { sum_of_even(difference / step, INNER_COUNT) } else { even(0.0, (1.0 + INNER_COUNT) * step) };
    WAYS[0] * even(-0.5 * step, 0.5 * step) + WAYS[1] * even(0.0, step) + WAYS[2] * counted
}

/// Chance that the sum of an even part over (0, 1) and an even part over (0, `width`), `width` at most 1, is below `x`.
fn sum_of_even(x: f64, width: f64) -> f64 {
    let square = |y: f64| y.max(0.0).powi(2);
    ((square(x) - square(x - width) - square(x - 1.0) + square(x - 1.0 - width)) / (2.0 * width)).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_chance_rises_from_none_to_all_and_its_mean_is_the_stated_one() {
        for step in [0.0, 0.1, 0.5556, 1.0] {
            assert_eq!(chance_below(-2.0, step), 0.0);
            assert!((chance_below(2.0, step) - 1.0).abs() < 1e-12, "{step}");
            let mut last = 0.0;
            let mut mean = 0.0;
            for i in -2000..2000 {
                let x = f64::from(i) * 1e-3;
                let chance = chance_below(x, step);
                assert!(chance >= last - 1e-12, "{step} {x}");
                mean += (x - 5e-4) * (chance - last);
                last = chance;
            }
            // The sum over half-thousandths is that close.
            assert!((mean - mean_excess(step)).abs() < 2e-3, "{step}: {mean} against {}", mean_excess(step));
        }
    }

    #[test]
    fn whole_degrees_reach_from_just_below_to_more_than_one_degree_above() {
        // By hand: half of the units, a twentieth of the way from −0.55 to 0.55; and a fifth of them, (1.625 − x)²/1.25 from the end of the sum.
        assert!((chance_below(-0.495, 1.0) - 0.025).abs() < 1e-12);
        assert!((chance_below(1.2286, 1.0) - 0.975).abs() < 1e-3);
    }
}
