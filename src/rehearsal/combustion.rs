//! Fuel, air and heat of the engine for one second.
//!
//! Fuel follows the Willans line: indicated work (brake work, rubbing, pumping) over an indicated efficiency that hardly
//! changes. Cold oil raises rubbing (to about double at 20 °C, fourfold at −25 °C; memory), a cold engine idles faster and a
//! petrol one runs richer and heats its catalyst with late ignition for half a minute: that is why the first kelvins come
//! quickest. Of the fuel's heat a share that falls with load goes into the walls; rubbing ends as heat in oil and block.
//!
//! # References
//!
//! - Heywood, J. B. *Internal Combustion Engine Fundamentals*: Willans line, friction mean pressure, heat balance (figures
//!   from memory).

use super::arithmetic::{exp_minus, share_between};
use super::scenario::Engine;
use crate::vehicle::Fuel;

/// What the drive asks of the engine in one second.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Demand {
    /// Whether the engine turns.
    pub running: bool,
    /// Engine speed from the gearbox, rpm; 0 with the clutch open.
    pub speed: f64,
    /// Brake power, kW.
    pub power: f64,
    /// Whether the injection is cut on the overrun.
    pub fuel_cut: bool,
}

/// What the engine does in that second.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Burn {
    /// Engine speed, rpm.
    pub speed: f64,
    /// Fuel, g/s.
    pub fuel: f64,
    /// Air, g/s.
    pub air: f64,
    /// Intake manifold absolute pressure, kPa.
    pub manifold: f64,
    /// Calculated load, %.
    pub load: f64,
    /// Heat to the head's metal, kW.
    pub head: f64,
    /// Heat to the block's metal, kW.
    pub block: f64,
    /// Heat to the oil, kW.
    pub oil: f64,
    /// Heat to the coolant through thin walls, head jacket and block jacket, kW.
    pub direct: [f64; 2],
}

/// Lower heating value in kJ/g, stoichiometric air, density in kg/L: petrol, diesel, LPG (handbook).
pub fn fuel_facts(fuel: Fuel) -> (f64, f64, f64) {
    match fuel {
        Fuel::Petrol => (43.0, 14.5, 0.745),
        Fuel::Diesel => (42.8, 14.5, 0.835),
        Fuel::Gas => (46.0, 15.6, 0.54),
    }
}

/// Rubbing at an oil temperature against that at 90 °C.
fn thickness(oil: f64) -> f64 {
    let cold = ((90.0 - oil) / 70.0).clamp(0.0, 1.8);
    1.0 + 0.3 * cold + 0.7 * cold * cold
}

/// The governed idling speed, rpm.
fn idling_speed(engine: &Engine, coolant: f64, since_start: f64) -> f64 {
    let cold = share_between(-coolant, -75.0, -20.0) * engine.cold_enrichment;
    let petrol = engine.fuel != Fuel::Diesel;
    let flare = if petrol { 0.45 * exp_minus(since_start / 18.0) } else { 0.1 * exp_minus(since_start / 8.0) };
    engine.idle_speed * (1.0 + if petrol { 0.45 } else { 0.2 } * cold + flare)
}

/// One second of the engine. `oil` and `coolant` in °C, `pressure` of the outside air in kPa, `intake` air in °C.
pub fn burn(engine: &Engine, demand: &Demand, oil: f64, coolant: f64, since_start: f64, pressure: f64, intake: f64) -> Burn {
    if !demand.running {
        return Burn { manifold: pressure, ..Burn::default() };
    }
    let petrol = engine.fuel != Fuel::Diesel;
    let (heating_value, stoichiometric, _) = fuel_facts(engine.fuel);
    let speed =
        demand.speed.max(if demand.fuel_cut { 0.0 } else { idling_speed(engine, coolant, since_start) }).min(engine.rated_speed * 1.1);
    // A mean pressure of 1 bar in 1 L at n rpm is n/1200 kW (four-stroke).
    let per_bar = engine.displacement * speed / 1200.0;
    let share = (demand.power / engine.rated_power).clamp(0.0, 1.0);
    let rubbing = per_bar * engine.friction * (1.0 + 0.25 * (speed / 3000.0) * (speed / 3000.0)) * thickness(oil);
    let pumping = per_bar * engine.pumping * (1.0 - share);
    let cold = share_between(-coolant, -65.0, -10.0) * engine.cold_enrichment;
    let (richer, late) = if petrol { (0.18 * cold, 0.5 * cold * exp_minus(since_start / 25.0)) } else { (0.0, 0.1 * cold) };
    let work = (demand.power.max(0.0) + rubbing + pumping) / engine.indicated_efficiency;
    let heat = if demand.fuel_cut { 0.0 } else { work * (1.0 + richer + late) };
    let fuel = heat / heating_value;
    // Heat to the walls; what late ignition burns goes to the exhaust port, half of it into the head.
    let share_to_walls = engine.wall_share * (0.55 + 0.45 / (1.0 + 6.0 * share));
    let walls = work * share_to_walls * f64::from(u8::from(!demand.fuel_cut)) + 0.5 * work * late * f64::from(u8::from(!demand.fuel_cut));
    let gas_density = 3.484e-3 / (273.15 + intake); // kg/L a kPa: 1/(R·T), R = 287 J/(kg K)
    let swallowed = engine.displacement * speed / 120.0 * 0.85 * gas_density * 1000.0; // g/s a kPa of manifold pressure
    let (air, manifold) = if petrol {
        let air = if demand.fuel_cut { swallowed * 13.0 } else { fuel * stoichiometric / (1.0 + 0.6 * richer) };
        // Burnt gas left in the cylinder keeps the manifold some 5 kPa above what the fresh air alone would need.
        (air, (5.0 + air / swallowed.max(1e-9)).clamp(18.0, pressure * 1.7))
    } else {
        let manifold = pressure * (1.0 + 1.1 * share * share_between(speed, engine.idle_speed, engine.rated_speed * 0.5));
        (swallowed * manifold, manifold)
    };
    let load = if petrol {
        (100.0 * manifold / pressure).clamp(0.0, 100.0)
    } else {
        // Fuel a stroke against that of full torque.
        let full = engine.rated_power / engine.rated_speed * 1.25 / engine.indicated_efficiency / heating_value;
        (100.0 * fuel / speed.max(1.0) / full).clamp(0.0, 100.0)
    };
    Burn {
        speed,
        fuel,
        air,
        manifold,
        load,
        head: 0.5 * walls,
        block: 0.05 * walls + 0.15 * rubbing,
        oil: 0.4 * rubbing,
        direct: [0.15 * walls, 0.3 * walls + 0.45 * rubbing],
    }
}
