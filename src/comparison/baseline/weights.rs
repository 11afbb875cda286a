//! Weights of the signs where a drive from before the work is at hand, set on made pairs of drives (`docs/comparison.md`).

use crate::analysis::trapped_air::signs::Numbers;

/// Weight of each sign of the drive after the work: natural logarithm of odds per unit.
#[rustfmt::skip]
pub(super) const AFTER: Numbers = [
    0.2175,
    1.0299,
    0.5639,
    0.4776,
    -0.4928,
    -1.1348,
    -0.8555,
    0.5320,
    0.3228,
    0.2188,
    -0.5984,
    0.2554,
    0.2385,
    0.1714,
    0.6437,
    -1.0120,
    1.2191,
    1.2442,
    -0.9319,
    1.2387,
    0.6746,
    0.6394,
];

/// Weight of what the drive before the work showed beyond what is typical: mostly negative, for what the vehicle always did speaks less.
#[rustfmt::skip]
pub(super) const BEFORE: Numbers = [
    0.0000,
    -0.2800,
    0.0165,
    -0.1451,
    0.0811,
    0.0814,
    0.0000,
    -0.3113,
    -0.1887,
    -0.2156,
    0.0000,
    -0.0358,
    -0.0707,
    0.0000,
    0.0000,
    0.0000,
    0.0000,
    0.0000,
    0.0000,
    0.0000,
    0.0000,
    0.0000,
];
