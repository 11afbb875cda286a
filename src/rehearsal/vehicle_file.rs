//! The vehicle file that the owner of a made run's vehicle would write.

use super::scenario::Scenario;
use crate::vehicle::{Base, Control, Fuel, ReservoirKind, Side};

/// The file's text, with what the scenario says is stated.
pub fn vehicle_toml(scenario: &Scenario) -> String {
    let fuel = match scenario.engine.fuel {
        Fuel::Petrol => "petrol",
        Fuel::Diesel => "diesel",
        Fuel::Gas => "gas",
    };
    let name = scenario.name.replace(['"', '\\'], "'");
    let mut text = format!("name = \"{name}\"\n");
    if scenario.stated.reservoir {
        text += &format!("capacity = \"{:.1} L\"\n", scenario.circuit.capacity);
    }
    text += &format!("fuel = \"{fuel}\"\n");
    if scenario.stated.thermostat {
        let side = match scenario.valve.side {
            Side::Outlet => "outlet",
            Side::Inlet => "inlet",
            Side::Unknown => "unknown",
        };
        let control = match scenario.valve.control {
            Control::Wax => "wax",
            Control::Heated => "heated",
            Control::Driven => "driven",
            Control::Unknown => "unknown",
        };
        text += &format!("\n[thermostat]\nrating = \"{:.0} degC\"\nside = \"{side}\"\ncontrol = \"{control}\"\n", scenario.valve.rating);
    }
    if scenario.stated.reservoir {
        let tank = &scenario.reservoir;
        let kind = match tank.kind {
            ReservoirKind::ExpansionTank => "expansion tank",
            ReservoirKind::OverflowBottle => "overflow bottle",
        };
        text += &format!(
            "\n[reservoir]\nkind = \"{kind}\"\ntotal = \"{:.0} mL\"\nmin_mark = \"{:.0} mL\"\nmax_mark = \"{:.0} mL\"\nper_mm = \"{:.1} mL\"\ncap = \"{:.0} kPa\"\n",
            tank.total, tank.min_mark, tank.max_mark, tank.per_mm, tank.cap
        );
        let base = match scenario.coolant.base {
            Base::EthyleneGlycol => "ethylene glycol",
            Base::PropyleneGlycol => "propylene glycol",
        };
        text += &format!("\n[coolant]\nbase = \"{base}\"\nvolume_percent = {:.0}\n", 100.0 * scenario.coolant.volume_fraction);
    }
    text
}
