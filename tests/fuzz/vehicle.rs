//! The vehicle file, and what is planned and judged by what it states; behind a line of dashes, the numbers of a job.

use super::bounds;
use super::engine::{Seen, Target};
use wellbled::check::{Beside, Checked};
use wellbled::coolant::Base;
use wellbled::planning::job::{Drain, Drains, Fill, Measured, Present, Price, Wanted};
use wellbled::planning::product::{Life, Product};
use wellbled::planning::strength::Strength;
use wellbled::planning::{Job, Plan};
use wellbled::report::{job_card, plan, text};
use wellbled::run::Run;
use wellbled::units::{Pressure, Temperature, Volume};
use wellbled::vehicle::Vehicle;

pub const TARGET: Target = Target {
    name: "vehicle",
    most: 1500,
    words: &[
        "name = ",
        "capacity = \"7.2 L\"",
        "fuel = \"diesel\"",
        "[thermostat]",
        "rating = \"87 degC\"",
        "side = \"inlet\"",
        "control = \"driven\"",
        "[reservoir]",
        "kind = \"overflow bottle\"",
        "total = \"1.5 L\"",
        "min_mark = \"400 mL\"",
        "max_mark = \"800 mL\"",
        "per_mm = \"12 mL\"",
        "marks_apart = \"33 mm\"",
        "cap = \"110 kPa\"",
        "[coolant]",
        "base = \"propylene glycol\"",
        "volume_percent = 50",
        "[sensor]",
        "offset = \"-1.8 degF\"",
        "\"\"\"",
        "''",
        "{",
        "[[",
        "= [",
        "nan",
        "inf",
        "0x7F",
        "1979-05-27",
        "\n-----\n",
        "200 L",
        "0.5 L",
        "1,500 mL",
    ],
    run,
};

fn run(input: &[u8]) -> Seen {
    let text = String::from_utf8_lossy(input);
    let (file, job) = text.split_once("-----").unwrap_or((&text, ""));
    let vehicle = match Vehicle::from_toml(file) {
        Ok(vehicle) => vehicle,
        Err(error) => {
            bounds::says(&error.to_string(), &error.hint());
            return vec![bounds::kind(&error.to_string())];
        }
    };
    let litres = |volume: Option<Volume>, [low, high]: [f64; 2]| volume.is_none_or(|volume| (low..=high).contains(&volume.litres()));
    assert!(litres(vehicle.capacity, [0.5, 200.0]) && litres(vehicle.reservoir.total, [0.0, 50.0]), "{vehicle:?}");
    assert!(vehicle.thermostat.rating.is_none_or(|rating| (40.0..=130.0).contains(&rating.celsius())), "{vehicle:?}");
    assert!(vehicle.coolant.is_none_or(|coolant| (0.0..=1.0).contains(&coolant.volume_fraction)), "{vehicle:?}");
    assert!(vehicle.sensor_offset.kelvin().abs() <= 20.0, "{vehicle:?}");
    let mut seen = vec![format!(
        "{} {:?} {:?} {:?} {}",
        vehicle.capacity.is_some(),
        vehicle.fuel,
        vehicle.thermostat.side,
        vehicle.reservoir.kind,
        vehicle.reservoir.millilitres_per_mm.is_some()
    )];
    seen.push(planned(&vehicle, job));
    let checked = Checked::of(&Run { vehicle, ..Run::default() }, &Beside::default());
    bounds::quantities(&checked.document.findings, "");
    seen
}

/// A plan by the numbers in a text, in the order in which they stand; what is not there is not stated.
fn planned(vehicle: &Vehicle, text: &str) -> String {
    let mut numbers = text.split([',', ' ', '\n', ';']).filter(|text| !text.is_empty()).map(|text| text.parse::<f64>().ok());
    let mut next = || numbers.next().flatten();
    let measured = |litres: f64| Measured {
        within: Some(Volume::from_litres(litres / 50.0)),
        temperature: Some(Temperature::from_celsius(litres * 9.0)),
        ..Measured::of(Volume::from_litres(litres))
    };
    let strength = |number: f64| match number {
        below if below < 0.0 => Strength::FreezesAt(Temperature::from_celsius(below)),
        odd if odd.fract() != 0.0 => Strength::MassPercent(odd),
        whole => Strength::VolumePercent(whole),
    };
    let whole = |number: f64| number as u32;
    let base = |number: f64| if number > 0.0 { Base::PropyleneGlycol } else { Base::EthyleneGlycol };
    let job = Job {
        drain: Drain {
            measured: next().map(measured),
            share: next(),
            opened: next().map(|number| if number > 0.0 { Drains::RadiatorOnly } else { Drains::RadiatorAndBlock }),
        },
        present: Present {
            strength: next().map(strength),
            base: next().map(base),
            product: next().map(|number| if number > 0.0 { Product::Organic } else { Product::Inorganic }),
        },
        wanted: next().map(|number| match strength(number) {
            Strength::FreezesAt(temperature) => Wanted::ProtectedTo(temperature),
            strength => Wanted::Strength(strength),
        }),
        fill: next().map_or(Fill::Concentrate { percent: 100.0 }, |number| {
            if number < 0.0 { Fill::Concentrate { percent: -number } } else { Fill::ReadyMix { strength: strength(number) } }
        }),
        rinses: next().map_or(0, whole),
        rounds: next().map_or(1, whole),
        capacity: next().map(measured),
        base: next().map(base),
        wanted_new: next(),
        price: next().map(|per_litre| Price { per_litre, currency: "EUR".to_owned() }),
        filled: next().map(measured),
        product: next().map(|_| Product::HybridOrganic),
        life: next().map(|years| Life { km: next(), years: Some(years) }),
        odometer_km: next(),
        date: next().and_then(|days| chrono::NaiveDate::from_num_days_from_ce_opt(days as i32)),
        ambient: next().map(Temperature::from_celsius),
        altitude_m: next(),
        air_pressure: next().map(Pressure::from_kilopascals),
        cap: next().map(Pressure::from_kilopascals),
    };
    match Plan::of(vehicle, &job) {
        Ok(plan) => {
            let sheet = plan::Sheet::of(&plan, vehicle, &job);
            let page = plan::text::render(&sheet, text::Style { color: false, width: 40 });
            let card = job_card::render(&sheet);
            assert!(page.len() < 60_000 && card.len() < 400_000, "{} and {} bytes", page.len(), card.len());
            assert!(!page.contains("NaN") && !card.contains("NaN"), "{page}");
            bounds::quantities(&serde_json::to_value(&plan).expect("a plan is JSON"), "");
            format!(
                "planned {:?}",
                plan.remarks
                    .iter()
                    .map(|remark| format!("{remark:?}").split([' ', '(']).next().unwrap_or_default().to_owned())
                    .collect::<Vec<_>>()
            )
        }
        Err(error) => {
            bounds::says(&error.to_string(), &error.hint());
            bounds::kind(&error.to_string())
        }
    }
}
