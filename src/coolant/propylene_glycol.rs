//! Propylene glycol (1,2-propanediol): the coefficients.

use super::glycol::{Ashrae, Glycol, Melinder};

/// Propylene glycol and its mixtures with water.
pub(super) static PROPYLENE_GLYCOL: Glycol = Glycol {
    molar_mass: 76.094_42,
    // Liquid density correlation of the thermo library 0.6.1 at 293.15 K.
    density_at_20: 1036.383,
    // NIST Chemistry WebBook, propylene glycol, 319 to 461 K; first constant raised by 2 from bar to kPa. Agrees within 5 %
    // with the thermo library from 370 to 430 K; 5 % of it moves the boiling point of the mixture by less than 0.1 K.
    antoine: [8.079_36, 2692.187, -17.94],
    // Melinder (2010).
    melinder: Melinder {
        base_kelvin: 305.8583,
        base_fraction: 0.307031,
        density: [
            &[1018.0, 76.04, -24.98, -155.0, -113.1, 234.2],
            &[-0.5406, -0.945, 0.27, 2.829, -2.221],
            &[-2.666e-3, 5.541e-3, -4.018e-3, -7.175e-3],
            &[1.347e-5, -1.343e-5, 3.376e-5],
        ],
        specific_heat: [
            &[3882.0, -1304.0, -1598.0, 353.9, 5000.0, -4959.0],
            &[2.699, 5.07, 0.9534, 31.02, -71.35],
            &[-1.659e-3, -4.752e-3, 0.1167, -0.295],
            &[-1.032e-5, 1.522e-4, -4.87e-4],
        ],
        freezing: [259.9, -66.31, -109.4, -228.3, -340.9, 146.5],
    },
    // ASHRAE (2001), inhibited propylene glycol.
    ashrae: Ashrae {
        density: [
            [1013.854, -0.237086, -2.44649e-3],
            [1025.843, -0.291399, -2.51429e-3],
            [1036.239, -0.343338, -2.55441e-3],
            [1045.120, -0.392631, -2.57181e-3],
            [1052.704, -0.440404, -2.56643e-3],
            [1058.998, -0.486703, -2.53904e-3],
        ],
        freezing_percent: [
            0.0, 4.8, 9.6, 14.5, 19.4, 20.4, 21.4, 22.4, 23.4, 24.4, 25.3, 26.4, 27.4, 28.4, 29.4, 30.4, 31.4, 32.4, 33.5, 34.4, 35.5,
            36.5, 37.5, 38.5, 39.6, 40.6, 41.6, 42.6, 43.7, 44.7, 45.7, 46.8, 47.8, 48.9, 49.9, 50.9, 51.9, 53.0, 54.0, 55.0, 56.0, 57.0,
            58.0, 59.0, 60.0,
        ],
        freezing: [
            0.0, -1.6, -3.3, -5.1, -7.1, -7.6, -8.0, -8.6, -9.1, -9.6, -10.2, -10.8, -11.4, -12.0, -12.7, -13.4, -14.1, -14.8, -15.6,
            -16.4, -17.3, -18.2, -19.1, -20.1, -21.1, -22.1, -23.2, -24.3, -25.5, -26.7, -27.9, -29.3, -30.6, -32.1, -33.5, -35.0, -36.6,
            -38.2, -39.8, -41.6, -43.3, -45.2, -47.1, -49.0, -51.1,
        ],
    },
    // UNIFAC and modified UNIFAC (Dortmund, 2016 parameters) against Raoult, by the thermo library 0.6.1. Both stand below it
    // everywhere, so the upper edge is Raoult's law itself.
    boiling_band: [[0.0, -2.20, -3.60, -5.52, -8.04, -11.33], [0.0; 6]],
};
