//! Ethylene glycol (1,2-ethanediol): the coefficients.

use super::glycol::{Ashrae, Glycol, Melinder};

/// Ethylene glycol and its mixtures with water.
pub(super) static ETHYLENE_GLYCOL: Glycol = Glycol {
    molar_mass: 62.067_84,
    // Liquid density correlation of the thermo library 0.6.1 at 293.15 K.
    density_at_20: 1113.389,
    // NIST Chemistry WebBook, 1,2-ethanediol, 323 to 473 K; first constant raised by 2 from bar to kPa. Agrees within 2 %
    // with the equation of state from 350 to 430 K; 2 % of it moves the boiling point of the mixture by less than 0.01 K.
    antoine: [6.970_12, 1914.951, -84.996],
    // Melinder (2010).
    melinder: Melinder {
        base_kelvin: 304.878,
        base_fraction: 0.308462,
        density: [
            &[1034.0, 131.1, 0.749, -106.2, -96.23, 489.1],
            &[-0.4781, -0.6876, 0.7855, 1.229, -7.211],
            &[-2.692e-3, 4.805e-3, -3.995e-3, -1.153e-2],
            &[4.725e-6, 1.69e-6, 4.982e-5],
        ],
        specific_heat: [
            &[3737.0, -1799.0, -993.3, 2610.0, 1537.0, -16180.0],
            &[2.93, 10.46, 3.516, -1.189, -42.72],
            &[-4.675e-3, -4.147e-2, 5.109e-2, -0.1643],
            &[-1.389e-5, 1.847e-5, -7.138e-4],
        ],
        freezing: [257.9, -80.8, -133.4, -72.93, 100.6, 11.4],
    },
    // ASHRAE (2001), inhibited ethylene glycol.
    ashrae: Ashrae {
        density: [
            [1018.731, -0.220790, -2.43293e-3],
            [1035.667, -0.248599, -2.43250e-3],
            [1051.780, -0.277748, -2.43159e-3],
            [1066.804, -0.307336, -2.43288e-3],
            [1081.082, -0.338155, -2.43187e-3],
            [1094.637, -0.369825, -2.43251e-3],
        ],
        freezing_percent: [
            0.0, 4.4, 8.9, 13.6, 18.1, 19.2, 20.1, 21.0, 22.0, 22.9, 23.9, 24.8, 25.8, 26.7, 27.7, 28.7, 29.6, 30.6, 31.6, 32.6, 33.5,
            34.5, 35.5, 36.5, 37.5, 38.5, 39.5, 40.5, 41.5, 42.5, 43.5, 44.5, 45.5, 46.6, 47.6, 48.6, 49.6, 50.6, 51.6, 52.7, 53.7, 54.7,
            55.7, 56.8, 57.8,
        ],
        freezing: [
            0.0, -1.4, -3.2, -5.4, -7.8, -8.4, -8.9, -9.5, -10.2, -10.7, -11.4, -12.0, -12.7, -13.3, -14.1, -14.8, -15.4, -16.2, -17.0,
            -17.9, -18.6, -19.4, -20.3, -21.3, -22.3, -23.2, -24.3, -25.3, -26.4, -27.5, -28.8, -29.8, -31.1, -32.6, -33.8, -35.1, -36.4,
            -37.9, -39.3, -41.1, -42.6, -44.2, -45.6, -47.1, -48.3,
        ],
    },
    // UNIFAC and modified UNIFAC (Dortmund, 2016 parameters) against Raoult, by the thermo library 0.6.1.
    boiling_band: [[0.0, -0.18, -0.29, -0.40, -0.49, -0.52], [0.0, 0.04, 0.08, 0.14, 0.23, 0.36]],
};
