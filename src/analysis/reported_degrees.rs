//! Reported degrees: where above or below a reported temperature does the true one lie?
//!
//! A control unit reports whole degrees (or some other step) of a finer number. Which way it drops the rest is its maker's choice
//! and does not show in the log, so three ways are held possible:
//!
//! ```text
//! nearest          truth − reading  even over (−½, ½) steps
//! cut off          truth − reading  even over (0, 1) steps
//! cut off twice    truth − reading  the sum of an even part over (0, ⅝) and one of 0, ⅛ … ⅞
//! ```
//!
//! The last is a count of 0.625 K that is cut off first, and to whole degrees then.
//!
//! A quantity that lands anywhere within its step with equal chance (a percentile of a slow signal does: the steps know nothing
//! of the signal) lies where the mixture of the three says. The same holds for every reading of one unit, so differences of
//! readings are free of it.
//!
//! Limits: the shares of the three ways are our own choice (`WAYS`); a log does not tell them apart.
//!
//! # References
//!
//! - JCGM 100:2008, F.2.2.1: resolution of a digital indication as an even distribution (clause from memory).

/// Share of control units that round to nearest, cut off, and cut off twice. Public warm-ups show all three; the shares are our
/// own choice.
const WAYS: [f64; 3] = [0.5, 0.3, 0.2];

/// Width of the inner count, in kelvin: five eighths of a degree, as seen in public warm-ups.
const INNER_COUNT: f64 = 0.625;

/// Where a multiple of the inner count lies above the whole degree below it: eight places, all as frequent.
const COUNT_PLACES: [f64; 8] = [0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875];

/// How far a sensor's own noise and the delay of polling carry a reading beyond its step, in kelvin, and the least half-width
/// that is left where steps are fine (our own choice; held against made runs in `docs/detectors/regulation.md`).
const NOISE: f64 = 0.025;
const LEAST_HALF_WIDTH: f64 = 0.15;

/// Mean of truth less reading for readings in steps of `step` kelvin.
pub fn mean_excess(step: f64) -> f64 {
    step.max(0.0) * (WAYS[1] * 0.5 + WAYS[2] * 0.5 * (INNER_COUNT + COUNT_PLACES[7]))
}

/// Chance that truth less reading is below `difference` kelvin, for readings in steps of `step` kelvin.
pub fn chance_below(difference: f64, step: f64) -> f64 {
    let step = step.max(0.0);
    let noise = NOISE.max(LEAST_HALF_WIDTH - 0.5 * step);
    let even = |low: f64, high: f64| ((difference - low + noise) / (high - low + 2.0 * noise)).clamp(0.0, 1.0);
    let counted =
        COUNT_PLACES.iter().map(|place| even(place * step, (place + INNER_COUNT) * step)).sum::<f64>() / COUNT_PLACES.len() as f64;
    WAYS[0] * even(-0.5 * step, 0.5 * step) + WAYS[1] * even(0.0, step) + WAYS[2] * counted
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
        // By hand: half of the units, a twentieth of the way from −0.525 to 0.525. At the upper end only units that cut twice are
        // left; they reach 1.5.
        assert!((chance_below(-0.4725, 1.0) - 0.025).abs() < 1e-12);
        assert!((1.1..1.25).contains(&solved(0.975)), "{}", solved(0.975));
    }

    /// The difference below which this share lies, for whole degrees.
    fn solved(share: f64) -> f64 {
        (0..3000).map(|i| f64::from(i) * 1e-3 - 1.0).find(|x| chance_below(*x, 1.0) >= share).unwrap_or(f64::NAN)
    }
}
