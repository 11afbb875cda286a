//! Weights of the signs, written by the calibration (`docs/calibration.md` says how).

use super::signs::Numbers;

/// Weight of each sign: natural logarithm of odds per unit.
#[rustfmt::skip]
pub const WEIGHTS: Numbers = [
    0.2582,
    0.7519,
    0.7349,
    0.4299,
    -0.4595,
    -1.1149,
    -0.5798,
    0.4107,
    0.1461,
    0.2562,
    -0.4047,
    0.2664,
    0.2311,
    -0.0562,
    0.5194,
    -0.8300,
    1.1630,
    1.3229,
    -0.8017,
    1.2183,
    0.7641,
    0.6182,
];

/// Log odds and weights of each place (sensor, thermostat, heater, radiator's top) among runs with gas above the threshold.
#[rustfmt::skip]
pub const PLACES: [(f64, Numbers); 4] = [
    (0.0, [0.0; 22]),
    (0.0, [0.0; 22]),
    (0.0, [0.0; 22]),
    (0.0, [0.0; 22]),
];

/// What runs without pockets show on the average, where they have the sign.
#[rustfmt::skip]
pub const TYPICAL: Numbers = [
    1.0000,
    0.3208,
    0.0504,
    0.3252,
    0.1657,
    0.9130,
    1.0000,
    0.2177,
    0.5639,
    0.7534,
    1.0000,
    0.6549,
    0.8338,
    1.0000,
    0.6128,
    1.0000,
    -0.2441,
    -0.5187,
    1.0000,
    0.4689,
    0.4879,
    1.3168,
];
