//! What gas shut in the circuit does between the cold and the hot reading.
//!
//! ```text
//! V_hot / V_cold = (p_cold − x·p_w(T_cold)) / (p_hot − x·p_w(T_hot)) · T_hot / T_cold        absolute pressures, kelvin
//! ```
//!
//! The dry gas follows the gas law; the vapour in it that of Raoult over the mixture, x being the mole fraction of water. 100 mL
//! shut in at 20 °C under half ethylene glycol are 127 mL at 90 °C and 150 kPa, and 84 mL at 200 kPa: gas can raise the hot level as
//! well as lower it.
//!
//! Limits: glycol's own vapour (under 1 kPa at 100 °C) and gas that dissolves are left out.

use crate::coolant::{Base, Mixture, water};
use crate::units::{Pressure, Temperature};

/// Molar masses, in g/mol.
const WATER: f64 = 18.015;
const ETHYLENE_GLYCOL: f64 = 62.068;
const PROPYLENE_GLYCOL: f64 = 76.094;

/// Least partial pressure of the dry gas that has an answer, in kPa: nearer to boiling, vapour fills any space.
const LEAST_DRY_KPA: f64 = 10.0;

/// Partial pressure of the water over the mixture, in kPa.
pub fn vapour(mixture: &Mixture, at: Temperature) -> f64 {
    let glycol = match mixture.base() {
        Base::EthyleneGlycol => ETHYLENE_GLYCOL,
        Base::PropyleneGlycol => PROPYLENE_GLYCOL,
    };
    let mass = mixture.mass_fraction().share();
    let (water_moles, glycol_moles) = ((1.0 - mass) / WATER, mass / glycol);
    // Under 0 °C it is less than 0.6 kPa, which moves nothing here.
    let liquid = Temperature::from_celsius(at.celsius().max(0.01));
    water_moles / (water_moles + glycol_moles) * water::saturation_pressure(liquid).map_or(0.0, Pressure::kilopascals)
}

/// Hot over cold volume of gas shut in, both pressures absolute; `None` where the hot state is nearly boiling.
pub fn growth_factor(mixture: &Mixture, cold: (Temperature, Pressure), hot: (Temperature, Pressure)) -> Option<f64> {
    let dry = |(at, pressure): (Temperature, Pressure)| pressure.kilopascals() - vapour(mixture, at);
    let (before, after) = (dry(cold), dry(hot));
    (before >= LEAST_DRY_KPA && after >= LEAST_DRY_KPA).then(|| before / after * hot.0.kelvin() / cold.0.kelvin())
}
