//! The published correlations in the form that both glycols share.
//!
//! ```text
//! Melinder   y(T, w) = Σᵢⱼ cᵢⱼ (T − T₀)ⁱ (w − w₀)ʲ      w by mass
//! ASHRAE     ρ(T, v) = c₀ + c₁ t + c₂ t²                 t in °C, v = 10, 20 … 60 % by volume, straight lines between
//! Antoine    lg(p/kPa) = A − B/(T + C)
//! ```
//!
//! The quadratics are our own fit of the ASHRAE density tables: every entry is met within 0.006 kg/m³, half a digit of the
//! print, except ethylene glycol 10 %, 30 °C, which stands 0.3 kg/m³ off its own neighbours and was left out of the fit.
//!
//! # References
//!
//! - Melinder, Å. (2010). *Properties of Secondary Working Fluids for Indirect Systems*, 2nd ed. International Institute of
//!   Refrigeration, Paris. Coefficients as the CoolProp project restates them (MIT licence).
//! - ASHRAE (2001). *Handbook: Fundamentals*, chapter 21, Physical properties of secondary coolants; as restated there too.

use super::water;

/// Everything that is tabulated about one glycol and its mixtures with water.
pub(super) struct Glycol {
    /// Molar mass, in g/mol.
    pub molar_mass: f64,
    /// Density unmixed at 20 °C, in kg/m³.
    pub density_at_20: f64,
    /// Antoine's A, B, C for kPa and K.
    pub antoine: [f64; 3],
    /// Melinder's polynomials.
    pub melinder: Melinder,
    /// ASHRAE's tables.
    pub ashrae: Ashrae,
    /// How far activity models stand below and above Raoult's law, in K, at each of `BAND_SHARES`; worst pressure of 81 to 251 kPa.
    pub boiling_band: [[f64; 6]; 2],
}

/// Shares by volume at which `boiling_band` is given.
pub(super) const BAND_SHARES: [f64; 6] = [0.0, 0.3, 0.4, 0.5, 0.6, 0.7];

/// Polynomials in temperature and mass fraction about a base point; a row per power of temperature.
pub(super) struct Melinder {
    /// T₀, in K.
    pub base_kelvin: f64,
    /// w₀.
    pub base_fraction: f64,
    /// Density, in kg/m³.
    pub density: [&'static [f64]; 4],
    /// Specific heat, in J/(kg·K).
    pub specific_heat: [&'static [f64]; 4],
    /// Freezing point, in K.
    pub freezing: [f64; 6],
}

/// Tables of inhibited glycols by volume.
pub(super) struct Ashrae {
    /// c₀, c₁, c₂ of the density, in kg/m³, at 10, 20 … 60 % by volume.
    pub density: [[f64; 3]; 6],
    /// Shares, in percent by volume, at which `freezing` is given.
    pub freezing_percent: [f64; 45],
    /// Freezing points, in °C.
    pub freezing: [f64; 45],
}

impl Glycol {
    /// Vapour pressure of the unmixed glycol, in kPa.
    pub fn vapour_pressure(&self, kelvin: f64) -> f64 {
        let [a, b, c] = self.antoine;
        10f64.powf(a - b / (kelvin + c))
    }
}

impl Melinder {
    /// Density, in kg/m³.
    pub fn density(&self, kelvin: f64, mass_share: f64) -> f64 {
        self.surface(&self.density, kelvin, mass_share)
    }

    /// Specific heat, in J/(kg·K).
    pub fn specific_heat(&self, kelvin: f64, mass_share: f64) -> f64 {
        self.surface(&self.specific_heat, kelvin, mass_share)
    }

    /// Freezing point, in K.
    pub fn freezing(&self, mass_share: f64) -> f64 {
        polynomial(&self.freezing, mass_share - self.base_fraction)
    }

    fn surface(&self, rows: &[&[f64]], kelvin: f64, mass_share: f64) -> f64 {
        let (t, w) = (kelvin - self.base_kelvin, mass_share - self.base_fraction);
        rows.iter().rev().fold(0.0, |sum, row| sum * t + polynomial(row, w))
    }
}

impl Ashrae {
    /// Density, in kg/m³. Towards zero the line ends at water.
    pub fn density(&self, celsius: f64, volume_share: f64) -> f64 {
        let [c10, c20, c30, c40, c50, c60] = self.density.each_ref().map(|column| polynomial(column, celsius));
        let columns = [water::density_at(celsius), c10, c20, c30, c40, c50, c60];
        interpolate(&[0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6], &columns, volume_share)
    }

    /// Freezing point, in °C; past the last entry, that entry.
    pub fn freezing(&self, volume_share: f64) -> f64 {
        interpolate(&self.freezing_percent, &self.freezing, 100.0 * volume_share)
    }
}

/// c₀ + c₁x + c₂x² + …
pub(super) fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// Straight lines through the points, which lie in rising order of x; level beyond either end.
pub(super) fn interpolate(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let points = || xs.iter().zip(ys);
    let below = points().take_while(|(at, _)| **at <= x).last();
    let above = points().find(|(at, _)| **at > x);
    match (below, above) {
        (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
        (Some((_, y)), None) | (None, Some((_, y))) => *y,
        (None, None) => f64::NAN,
    }
}
