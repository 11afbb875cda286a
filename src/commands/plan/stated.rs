//! From what is typed to a job.

use super::quantities::{self, Misread};
use crate::cli::plan::{GlycolBase, PlanArgs, ProductType};
use crate::commands::failure::Failure;
use crate::coolant::Base;
use crate::planning::Job;
use crate::planning::job::{Drain, Fill, Present, Wanted};
use crate::planning::product::Product;
use crate::planning::strength::Strength;
use crate::units::parse;
use crate::vehicle::Vehicle;

/// The job; what is wanted falls back on the strength in the vehicle file.
pub(super) fn job(args: &PlanArgs, vehicle: &Vehicle) -> Result<Job, Failure> {
    let temperature = |text: &str| parse::temperature(text).map_err(Misread::from);
    let pressure = |text: &str| parse::pressure(text).map_err(Misread::from);
    let base = args.base.map(glycol);
    Ok(Job {
        capacity: read("--capacity", &args.capacity, quantities::measured)?,
        drain: drain(args)?,
        present: Present {
            base: args.present_base.map(glycol),
            strength: read("--present", &args.present, quantities::strength)?,
            product: args.present_type.map(product),
        },
        base,
        fill: fill(args)?,
        wanted: wanted(args, vehicle, base)?,
        rinses: args.rinses.unwrap_or(0),
        rounds: args.rounds.unwrap_or(1),
        wanted_new: read("--wanted-new", &args.wanted_new, quantities::share)?,
        price: read("--price", &args.price, quantities::price)?,
        filled: read("--filled", &args.filled, quantities::measured)?,
        product: args.product.map(product),
        life: read("--life", &args.life, quantities::life)?,
        odometer_km: read("--odometer", &args.odometer, quantities::distance)?,
        date: read("--date", &args.date, |text| quantities::date(text, || chrono::Local::now().date_naive()))?,
        ambient: read("--air", &args.air, temperature)?,
        altitude_m: read("--altitude", &args.altitude, quantities::height)?,
        air_pressure: read("--pressure", &args.pressure, pressure)?,
        cap: read("--cap", &args.cap, pressure)?,
    })
}

/// Reads one flag's text; a failure names the flag, what was there, and the way out.
fn read<T>(flag: &str, text: &Option<String>, read: impl Fn(&str) -> Result<T, Misread>) -> Result<Option<T>, Failure> {
    let Some(text) = text else { return Ok(None) };
    read(text).map(Some).map_err(|misread| Failure::new(format_args!("{flag} {text}: {}", misread.what), misread.hint))
}

fn drain(args: &PlanArgs) -> Result<Drain, Failure> {
    let which = read("--drains", &args.drains, quantities::drains)?.unwrap_or_default();
    Ok(Drain { measured: read("--drained", &args.drained, quantities::measured)?, ..which })
}

fn fill(args: &PlanArgs) -> Result<Fill, Failure> {
    if let Some(strength) = read("--ready", &args.ready, quantities::strength)? {
        return Ok(Fill::ReadyMix { strength });
    }
    let percent = read("--concentrate", &args.concentrate, quantities::percent)?.unwrap_or(100.0);
    Ok(Fill::Concentrate { percent })
}

/// What is wanted: as typed, else what the vehicle file has of the same glycol, else nothing.
fn wanted(args: &PlanArgs, vehicle: &Vehicle, base: Option<Base>) -> Result<Option<Wanted>, Failure> {
    let typed = read("--wanted", &args.wanted, quantities::strength)?.map(|strength| match strength {
        Strength::FreezesAt(temperature) => Wanted::ProtectedTo(temperature),
        share => Wanted::Strength(share),
    });
    let written = vehicle.coolant.filter(|coolant| args.ready.is_none() && base.is_none_or(|base| base == coolant.base));
    Ok(typed.or(written.map(|coolant| Wanted::Strength(Strength::VolumePercent(100.0 * coolant.volume_fraction)))))
}

fn product(typed: ProductType) -> Product {
    match typed {
        ProductType::Inorganic => Product::Inorganic,
        ProductType::Organic => Product::Organic,
        ProductType::Hybrid => Product::HybridOrganic,
    }
}

fn glycol(typed: GlycolBase) -> Base {
    match typed {
        GlycolBase::Ethylene => Base::EthyleneGlycol,
        GlycolBase::Propylene => Base::PropyleneGlycol,
    }
}
