//! Coolant volume, reservoir level, and a person who reads it.
//!
//! Each lump of coolant grows with its own temperature; the metal cavity around it takes part back, hoses and tank widen with
//! pressure. What is left moves the level. In a pressurised tank the pressure follows from the gas above the coolant
//! (compressed, warmed, with vapour) up to the cap's; in an overflow bottle the level moves only by what passes the cap.
//!
//! Limits: gas does not dissolve; vapour only as a share of water's (Raoult is left to the coolant module); the vehicle
//! stands level.

use super::circuit::{HEAD, JACKET, OUTLET, Plant, TANK};
use super::integrator::State;
use super::random::Random;
use super::scenario::{Mix, Scenario, Start};
use super::truth::LevelTruth;
use crate::run::{LevelReading, NoteTime, Occasion, ReadingUnit};
use crate::vehicle::{Base, ReservoirKind};
use chrono::{NaiveDateTime, TimeDelta};

/// Relative volume against 20 °C, two coefficients (1/K, 1/K²) each for water and for 50 % by volume: through 60 and 90 °C
/// of IAPWS-95 (water) and Melinder 2010 (ethylene glycol 47 % by volume, scaled to 50; propylene glycol grows about 8 %
/// more, from memory).
const WATER: [f64; 2] = [2.55e-4, 3.32e-6];
const HALF: [[f64; 2]; 2] = [[5.22e-4, 1.89e-6], [5.75e-4, 2.0e-6]];

/// Linear growth of the metal around the coolant, 1/K: aluminium 23e-6, cast iron 11e-6 (handbook); a mean of both.
const METAL_LINEAR: f64 = 19e-6;

/// Volume of a litre (at 20 °C) of coolant at a temperature, L.
pub fn relative_volume(mix: &Mix, celsius: f64) -> f64 {
    let half = HALF[usize::from(mix.base == Base::PropyleneGlycol)];
    let x = celsius - 20.0;
    let share = mix.volume_fraction / 0.5;
    let [a, b] = [0, 1].map(|order| WATER[order] + share * (half[order] - WATER[order]));
    1.0 + mix.growth_scale * (a * x + b * x * x)
}

/// Vapour pressure of water, kPa, by straight lines between steam-table values; the mixture has about 0.8 of it (memory).
fn vapour(celsius: f64) -> f64 {
    const TABLE: [(f64, f64); 9] =
        [(-40.0, 0.0), (0.0, 0.6), (20.0, 2.3), (40.0, 7.4), (60.0, 19.9), (80.0, 47.4), (90.0, 70.2), (100.0, 101.4), (120.0, 198.7)];
    let above = TABLE.iter().position(|&(t, _)| t >= celsius).unwrap_or(TABLE.len() - 1).max(1);
    let ((t0, p0), (t1, p1)) = (TABLE[above - 1], TABLE[above]);
    0.8 * (p0 + (p1 - p0) * ((celsius - t0) / (t1 - t0)).clamp(0.0, 1.0))
}

/// Volumes of the circuit in one state, mL against the state at the fill.
struct Growth {
    coolant: f64,
    metal: f64,
}

fn growth(scenario: &Scenario, plant: &Plant, cold: &State, now: &State) -> Growth {
    let mut coolant = 0.0;
    let mut volume = 0.0;
    for node in JACKET..=TANK {
        let litres = plant.volumes[node] / relative_volume(&scenario.coolant, cold[node]);
        coolant += litres * (relative_volume(&scenario.coolant, now[node]) - relative_volume(&scenario.coolant, cold[node]));
        volume += plant.volumes[node];
    }
    let metal_warming = 0.5 * (now[HEAD] + now[OUTLET] - cold[HEAD] - cold[OUTLET]);
    Growth { coolant: 1000.0 * coolant, metal: 1000.0 * volume * 0.8 * 3.0 * METAL_LINEAR * metal_warming }
}

/// Level of the reservoir in a state, mL, `purged` mL of gas having left the circuit into it; and gauge pressure, kPa.
fn level(scenario: &Scenario, plant: &Plant, cold: &State, now: &State, purged: f64) -> (f64, f64) {
    let tank = &scenario.reservoir;
    let grown = growth(scenario, plant, cold, now);
    let outside = super::airflow::air_pressure(scenario.weather.altitude);
    let rise_at = |gauge: f64| grown.coolant - grown.metal - scenario.circuit.compliance * gauge - purged;
    match tank.kind {
        ReservoirKind::OverflowBottle => {
            // No gas inside: pressure rises with the first growth until the cap lifts, and the rest goes into the bottle. A
            // cold system draws back as much as it then lacks.
            let free = rise_at(0.0) + purged;
            let gauge = (free / scenario.circuit.compliance.max(0.01)).clamp(0.0, tank.cap);
            let rise = if free > 0.0 { (rise_at(gauge) + purged).max(0.0) } else { free };
            (tank.cold_level + rise - purged, gauge)
        }
        ReservoirKind::ExpansionTank => {
            let gas_cold = (tank.total - tank.cold_level).max(20.0);
            let dry = outside - vapour(cold[TANK]);
            let pressure_at = |gauge: f64| {
                let gas = (gas_cold - rise_at(gauge)).max(5.0);
                let amount = dry * (gas_cold + purged) / (273.15 + cold[TANK]);
                amount * (273.15 + now[TANK]) / gas + vapour(now[TANK]) - outside
            };
            // The gauge pressure that gas and walls agree on, by halving between vacuum valve and cap.
            let (mut low, mut high) = (-5.0, tank.cap);
            for _ in 0..50 {
                let middle = 0.5 * (low + high);
                if pressure_at(middle) > middle { low = middle } else { high = middle }
            }
            (tank.cold_level + rise_at(low), low)
        }
    }
}

/// True levels before, hot and after.
pub fn levels(scenario: &Scenario, plant: &Plant, states: &[State; 3]) -> LevelTruth {
    let [cold, hot, after] = states;
    let purged = scenario.reservoir.purged;
    let bring_to_20 = |level: f64, state: &State| {
        let at_20 = [20.0; super::integrator::SIZE];
        let to_20 = growth(scenario, plant, cold, &at_20);
        let here = growth(scenario, plant, cold, state);
        level + to_20.coolant - to_20.metal - here.coolant + here.metal
    };
    let before = level(scenario, plant, cold, cold, 0.0).0;
    let hot_level = level(scenario, plant, cold, hot, purged).0;
    let cold_after = level(scenario, plant, cold, after, purged).0;
    LevelTruth {
        cold_before: before,
        hot: hot_level,
        cold_after,
        coolant_growth: growth(scenario, plant, cold, hot).coolant,
        loss_at_20: bring_to_20(before, cold) - bring_to_20(cold_after, after),
    }
}

/// What the person writes down: whole millimetres, each wrong by up to the stated half-width.
pub fn notes(scenario: &Scenario, truth: &LevelTruth, key_off: usize) -> Vec<LevelReading> {
    if !scenario.notes.taken {
        return Vec::new();
    }
    let mut random = Random::new(scenario.seed, 3);
    let started = scenario.started.parse::<NaiveDateTime>().ok();
    let at = |seconds: f64| {
        let moved = started.and_then(|started| started.checked_add_signed(TimeDelta::seconds(seconds.round() as i64)));
        moved.map_or(NoteTime::Order, NoteTime::Full)
    };
    let per_mm = scenario.reservoir.per_mm.max(0.1);
    let mut note = |seconds: f64, occasion: Occasion, level: f64, remark: &str| LevelReading {
        time: at(seconds),
        occasion,
        reading: (level / per_mm + scenario.notes.error_mm * (2.0 * random.unit() - 1.0)).round().max(0.0),
        unit: ReadingUnit::Millimetre,
        ambient: Some(scenario.weather.ambient.round()),
        cap_opened: (occasion != Occasion::ColdBefore).then_some(false),
        method: None,
        note: remark.to_owned(),
    };
    let off = key_off as f64;
    // Before a restart it was read the evening before.
    let before = if scenario.drive.start == Start::Cold { -600.0 } else { -43_200.0 };
    vec![
        note(before, Occasion::ColdBefore, truth.cold_before, "same spot in the yard"),
        note(off + scenario.notes.hot_after, Occasion::HotAfterDrive, truth.hot, "from outside"),
        note(off + scenario.notes.cold_after, Occasion::ColdAfter, truth.cold_after, "before anything was opened"),
    ]
}

/// The notes as a file.
pub fn notes_csv(notes: &[LevelReading]) -> String {
    let mut text = String::from("time,occasion,reading,unit,ambient,cap,note\n");
    for note in notes {
        let time = match note.time {
            NoteTime::Full(time) => time.format("%Y-%m-%dT%H:%M").to_string(),
            NoteTime::OfDay(time) => time.format("%H:%M").to_string(),
            NoteTime::Order => String::new(),
        };
        let occasion = match note.occasion {
            Occasion::ColdBefore => "cold before",
            Occasion::HotAfterDrive => "hot after drive",
            Occasion::ColdAfter => "cold after",
            Occasion::ToppedUp => "topped up",
            Occasion::Drained => "drained",
            Occasion::Filled => "filled",
            Occasion::PressureTestStart => "pressure test start",
            Occasion::PressureTestEnd => "pressure test end",
        };
        let unit = match note.unit {
            ReadingUnit::Millimetre => "mm",
            ReadingUnit::Millilitre => "mL",
            ReadingUnit::Percent => "%",
            ReadingUnit::Marks => "marks",
            ReadingUnit::Kilopascal => "kPa",
        };
        let ambient = note.ambient.map_or(String::new(), |celsius| format!("{celsius:.0} degC"));
        let cap = match note.cap_opened {
            Some(true) => "opened",
            Some(false) => "closed",
            None => "",
        };
        text += &format!("{time},{occasion},{:.0},{unit},{ambient},{cap},{}\n", note.reading, note.note);
    }
    text
}
