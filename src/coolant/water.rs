//! Water: density, specific heat and the line on which it boils.
//!
//! Density is Kell's rational polynomial; specific heat is our own quintic through IAPWS-95 at air pressure (250 kPa above
//! 100 °C), which it meets within 0.6 J/(kg·K) from 0 to 125 °C; saturation is region 4 of IAPWS-IF97, which is one
//! quadratic equation read either for pressure or for temperature.
//!
//! Limits: Kell's density stands within 0.015 kg/m³ of IAPWS-95 from 0 to 100 °C and, along the saturation line, within
//! 0.03 kg/m³ up to 120 °C. A thin mixture is liquid a little below 0 °C; the formula is carried on there, to about −4 °C.
//!
//! # References
//!
//! - Kell, G. S. (1975). Density, thermal expansivity, and compressibility of liquid water from 0 to 150 °C. *J. Chem. Eng.
//!   Data* 20(1), 97–105, eq. 16.
//! - Wagner, W., Pruß, A. (2002). The IAPWS formulation 1995. *J. Phys. Chem. Ref. Data* 31, 387–535.
//! - IAPWS R7-97(2012), *Industrial Formulation 1997*, eqs. 30 and 31, table 34.

use super::glycol::polynomial;
use crate::units::{Pressure, Temperature};

/// Molar mass, in g/mol.
pub(super) const MOLAR_MASS: f64 = 18.015_28;

/// Density at 20 °C and 101.325 kPa after IAPWS-95, in kg/m³; the reference for pouring by volume.
pub(super) const DENSITY_AT_20: f64 = 998.207;

/// n₁ … n₁₀ of IAPWS-IF97 region 4.
const REGION_4: [f64; 10] = [
    1_167.052_145_276_7,
    -724_213.167_032_06,
    -17.073_846_940_092,
    12_020.824_702_47,
    -3_232_555.032_233_3,
    14.915_108_613_53,
    -4_823.265_736_159_1,
    405_113.405_420_57,
    -0.238_555_575_678_49,
    650.175_348_447_98,
];

/// Temperature at which water boils at an absolute pressure; `None` outside 0.611 213 to 22 064 kPa.
pub fn saturation_temperature(absolute: Pressure) -> Option<Temperature> {
    let kilopascals = absolute.kilopascals();
    (0.611_213..=22_064.0).contains(&kilopascals).then(|| Temperature::from_kelvin(saturation_kelvin(kilopascals)))
}

/// Absolute pressure at which water boils at a temperature; `None` outside 0 °C to the critical point at 373.946 °C.
pub fn saturation_pressure(at: Temperature) -> Option<Pressure> {
    (273.15..=647.096).contains(&at.kelvin()).then(|| Pressure::from_kilopascals(saturation_kilopascals(at.kelvin())))
}

/// Kell's density, in kg/m³.
pub(super) fn density_at(celsius: f64) -> f64 {
    const ABOVE: [f64; 6] = [999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12];
    polynomial(&ABOVE, celsius) / (1.0 + 16.879850e-3 * celsius)
}

/// Specific heat, in J/(kg·K).
pub(super) fn specific_heat_at(celsius: f64) -> f64 {
    polynomial(&[4218.889, -307.837, 859.387, -1109.335, 737.027, -182.787], celsius / 100.0)
}

/// Saturation temperature, in K (eq. 31).
pub(super) fn saturation_kelvin(kilopascals: f64) -> f64 {
    let [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = REGION_4;
    let beta = (kilopascals / 1000.0).powf(0.25);
    let e = polynomial(&[n6, n3, 1.0], beta);
    let f = polynomial(&[n7, n4, n1], beta);
    let g = polynomial(&[n8, n5, n2], beta);
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    (n10 + d - ((n10 + d).powi(2) - 4.0 * (n9 + n10 * d)).sqrt()) / 2.0
}

/// Saturation pressure, in kPa (eq. 30).
pub(super) fn saturation_kilopascals(kelvin: f64) -> f64 {
    let [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = REGION_4;
    let theta = kelvin + n9 / (kelvin - n10);
    let a = polynomial(&[n2, n1, 1.0], theta);
    let b = polynomial(&[n5, n4, n3], theta);
    let c = polynomial(&[n8, n7, n6], theta);
    1000.0 * (2.0 * c / (-b + (b * b - 4.0 * a * c).sqrt())).powi(4)
}
