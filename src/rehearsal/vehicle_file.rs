//! The vehicle file that the owner of a made run's vehicle would write, and a scenario with a vehicle as its owner states it.

use super::scenario::{Circuit, Engine, Fan, Scenario};
use crate::vehicle::{Base, Control, Fuel, ReservoirKind, Side, Vehicle};

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
        text += &format!(
            "\n[thermostat]\nrating = \"{:.0} degC\"\nside = \"{side}\"\ncontrol = \"{control}\"\n",
            scenario.valve.rating + scenario.stated.rating_error
        );
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

/// Litres that fall to a litre of displacement, roughly; an engine for a stated capacity is guessed by it.
fn engine_for(capacity: f64, fuel: Fuel) -> Engine {
    let displacement = if fuel == Fuel::Diesel { (capacity - 4.0) / 3.1 } else { (capacity - 2.8) / 1.9 };
    let [least, most] = if fuel == Fuel::Diesel { [1.2, 14.0] } else { [0.8, 5.0] };
    Engine::of_size(fuel, displacement.clamp(least, most))
}

/// Makes a scenario's vehicle the stated one, as far as it is stated. Another fuel or capacity brings an engine and a circuit of
/// that size.
pub fn apply(vehicle: &Vehicle, scenario: &mut Scenario) {
    if let Some(name) = &vehicle.name {
        scenario.name.clone_from(name);
    }
    if vehicle.fuel.is_some() || vehicle.capacity.is_some() {
        let fuel = vehicle.fuel.unwrap_or(scenario.engine.fuel);
        let litres = vehicle.capacity.map_or(scenario.circuit.capacity, |volume| volume.litres().clamp(2.0, 100.0));
        let ratio = litres / scenario.circuit.capacity;
        scale_contents(scenario, ratio);
        scenario.engine = engine_for(litres, fuel);
        scenario.circuit = Circuit { capacity: litres, ..Circuit::of_engine(&scenario.engine) };
    }
    let thermostat = &vehicle.thermostat;
    if let Some(rating) = thermostat.rating {
        let change = rating.celsius() - scenario.valve.rating;
        scenario.valve.rating += change;
        // The fan's thresholds belong to the valve.
        if let Fan::Electric { on, off, .. } = &mut scenario.fan {
            (*on, *off) = (*on + change, *off + change);
        }
    }
    if thermostat.side != Side::Unknown {
        scenario.valve.side = thermostat.side;
        if thermostat.side == Side::Inlet {
            scenario.circuit.bypass_share = scenario.circuit.bypass_share.max(0.5);
            scenario.valve.bypass_closing = scenario.valve.bypass_closing.max(0.9);
        }
    }
    if thermostat.control == Control::Heated && scenario.valve.control != Control::Heated {
        (scenario.valve.control, scenario.valve.heating) = (Control::Heated, 20.0);
    }
    reservoir(vehicle, scenario);
    if let Some(coolant) = vehicle.coolant {
        (scenario.coolant.base, scenario.coolant.volume_fraction) = (coolant.base, coolant.volume_fraction.clamp(0.0, 0.6));
    }
}

/// What a story put into its own circuit, for a circuit `ratio` times as large.
fn scale_contents(scenario: &mut Scenario, ratio: f64) {
    for pocket in &mut scenario.air.pockets {
        pocket.millilitres *= ratio;
    }
    if let Some(refill) = &mut scenario.notes.refill {
        refill.drained *= ratio;
    }
    let tank = &mut scenario.reservoir;
    for volume in [&mut tank.total, &mut tank.min_mark, &mut tank.max_mark, &mut tank.per_mm, &mut tank.cold_level, &mut tank.purged] {
        *volume *= ratio;
    }
}

fn reservoir(vehicle: &Vehicle, scenario: &mut Scenario) {
    let (stated, tank) = (&vehicle.reservoir, &mut scenario.reservoir);
    if let Some(kind) = stated.kind {
        tank.kind = kind;
    }
    let share = (tank.cold_level - tank.min_mark) / (tank.max_mark - tank.min_mark).max(1.0);
    let marks = [tank.min_mark, tank.max_mark].map(|mark| mark / tank.total);
    let millilitres = |volume: Option<crate::units::Volume>| volume.map(|volume| volume.millilitres());
    tank.total = millilitres(stated.total).unwrap_or(tank.total).max(100.0);
    tank.min_mark = millilitres(stated.min_mark).unwrap_or(marks[0] * tank.total).clamp(0.0, tank.total);
    tank.max_mark = millilitres(stated.max_mark).unwrap_or(marks[1] * tank.total).clamp(tank.min_mark, tank.total);
    tank.cold_level = tank.min_mark + share * (tank.max_mark - tank.min_mark);
    tank.per_mm = stated.millilitres_per_mm.unwrap_or(tank.per_mm).max(0.5);
    tank.cap = stated.cap.map_or(tank.cap, |cap| cap.kilopascals().clamp(5.0, 250.0));
    scenario.circuit.vent_share = match tank.kind {
        ReservoirKind::OverflowBottle => 0.0,
        ReservoirKind::ExpansionTank => {
            if scenario.circuit.vent_share > 0.0 {
                scenario.circuit.vent_share
            } else {
                0.015
            }
        }
    };
}
