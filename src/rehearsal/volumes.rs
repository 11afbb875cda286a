//! How coolant and gas fill the circuit: growth of the liquid, vapour above it, volume of a trapped amount of gas.
//!
//! Amounts of gas are stated as the millilitres that they fill, moist, at the local air pressure and 20 °C. Inside, the gas
//! shares its space with vapour from the coolant (Raoult: water's pressure times its mole fraction; the glycol adds less than
//! 1 %) and follows the gas law with what pressure is left:
//!
//! ```text
//! V = V₂₀ · T/293.15 K · (p_air − p_v(20 °C)) / (p − p_v(T))
//! ```
//!
//! Limits: gas does not dissolve; where the coolant boils, the pressure left for the gas is held at [`LEAST_DRY`], so that a
//! pocket grows to some ten times its size and no further.
//!
//! # References
//!
//! - Wagner, W., Pruß, A. (2002). The IAPWS formulation 1995. *J. Phys. Chem. Ref. Data* 31, 387–535 (density and vapour
//!   pressure of water).
//! - Melinder, Å. (2010). *Properties of Secondary Working Fluids for Indirect Systems* (glycol).

use super::arithmetic::share_between;
use super::scenario::Mix;
use crate::vehicle::Base;

/// Relative volume against 20 °C, two coefficients (1/K, 1/K²) each for water and for 50 % by volume: through 60 and 90 °C
/// of IAPWS-95 (water) and Melinder 2010 (ethylene glycol 47 % by volume, scaled to 50; propylene glycol grows about 8 %
/// more, from memory).
const WATER: [f64; 2] = [2.55e-4, 3.32e-6];
const HALF: [[f64; 2]; 2] = [[5.22e-4, 1.89e-6], [5.75e-4, 2.0e-6]];

/// Pressure that a pocket's gas keeps when its vapour takes all the rest, kPa (choice).
pub const LEAST_DRY: f64 = 8.0;

/// Volume of a litre (at 20 °C) of coolant at a temperature, L.
pub fn relative_volume(mix: &Mix, celsius: f64) -> f64 {
    let half = HALF[usize::from(mix.base == Base::PropyleneGlycol)];
    let x = celsius - 20.0;
    let share = mix.volume_fraction / 0.5;
    let [a, b] = [0, 1].map(|order| WATER[order] + share * (half[order] - WATER[order]));
    1.0 + mix.growth_scale * (a * x + b * x * x)
}

/// Vapour pressure of water, kPa, from −40 to 160 °C: parabolas through the fourth roots of steam-table values every 20 K
/// (within 0.3 % from 20 °C up).
pub fn water_vapour(celsius: f64) -> f64 {
    const ROOTS: [f64; 11] = [0.37127, 0.59532, 0.88423, 1.23672, 1.64849, 2.11331, 2.62408, 3.17344, 3.75434, 4.36053, 4.98634];
    let place = share_between(celsius, -40.0, 160.0) * 10.0;
    let middle = (place.round() as usize).clamp(1, 9);
    let (before, here, after) = (ROOTS[middle - 1], ROOTS[middle], ROOTS[middle + 1]);
    let x = place - middle as f64;
    let value = here + 0.5 * x * (after - before) + 0.5 * x * x * (after - 2.0 * here + before);
    (value * value) * (value * value)
}

/// Vapour over the coolant, and the state in which amounts of gas are stated.
#[derive(Clone, Copy, Debug)]
pub struct Vapour {
    water: f64,
    outside: f64,
    dry_at_20: f64,
}

impl Vapour {
    /// Over a mixture, at a local air pressure in kPa.
    pub fn over(mix: &Mix, outside: f64) -> Self {
        // Density at 20 °C in g/L and molar mass in g/mol: ethylene glycol, propylene glycol, water (handbook).
        let (density, mass) = if mix.base == Base::PropyleneGlycol { (1036.0, 76.09) } else { (1113.0, 62.07) };
        let share = mix.volume_fraction.clamp(0.0, 1.0);
        let (glycol, water) = (share * density / mass, (1.0 - share) * 998.2 / 18.015);
        let water = water / (glycol + water);
        Self { water, outside, dry_at_20: outside - water * water_vapour(20.0) }
    }

    /// Vapour pressure at a temperature, kPa.
    pub fn pressure(&self, celsius: f64) -> f64 {
        self.water * water_vapour(celsius)
    }

    /// A spot at a temperature.
    pub fn at(&self, celsius: f64) -> Spot {
        Spot { warmth: (273.15 + celsius) / 293.15 * self.dry_at_20, vapour: self.pressure(celsius) }
    }

    /// Local air pressure, kPa.
    pub fn outside(&self) -> f64 {
        self.outside
    }
}

/// Where gas stands: turns amounts into volumes and back.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    warmth: f64,
    vapour: f64,
}

impl Spot {
    /// Volume of an amount of gas at an absolute pressure in kPa, mL.
    pub fn volume(&self, amount: f64, absolute: f64) -> f64 {
        amount * self.warmth / (absolute - self.vapour).max(LEAST_DRY)
    }

    /// Amount of the gas that fills a volume at an absolute pressure.
    pub fn amount(&self, volume: f64, absolute: f64) -> f64 {
        volume * (absolute - self.vapour).max(LEAST_DRY) / self.warmth
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coolant::water::saturation_pressure;
    use crate::units::Temperature;

    #[test]
    fn vapour_pressure_is_that_of_the_steam_tables() {
        for celsius in [20.0, 33.0, 47.0, 60.0, 71.0, 85.0, 90.0, 99.0, 108.0, 120.0] {
            let expected = saturation_pressure(Temperature::from_celsius(celsius)).unwrap().kilopascals();
            assert!((water_vapour(celsius) - expected).abs() < 0.003 * expected, "{celsius} °C: {} for {expected}", water_vapour(celsius));
        }
    }

    /// Gas law with Raoult over half ethylene glycol at 101.325 kPa: 100 mL trapped at 20 °C are about 127 mL at 90 °C and
    /// 150 kPa absolute, 84 mL at 200 kPa.
    #[test]
    fn trapped_gas_follows_pressure_temperature_and_vapour() {
        let mix = Mix { base: Base::EthyleneGlycol, volume_fraction: 0.5, growth_scale: 1.0 };
        let vapour = Vapour::over(&mix, 101.325);
        assert!((vapour.at(20.0).volume(100.0, 101.325) - 100.0).abs() < 1e-9);
        assert!((vapour.at(90.0).volume(100.0, 150.0) - 127.0).abs() < 1.0, "{}", vapour.at(90.0).volume(100.0, 150.0));
        assert!((vapour.at(90.0).volume(100.0, 200.0) - 84.0).abs() < 0.5, "{}", vapour.at(90.0).volume(100.0, 200.0));
        assert!((vapour.at(90.0).amount(84.0, 200.0) - 100.0).abs() < 0.5);
    }
}
