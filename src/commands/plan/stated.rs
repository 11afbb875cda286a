//! From the flags of `plan` to a job.

use crate::cli::plan::{GlycolBase, PlanArgs, ProductType};
use crate::commands::failure::Failure;
use crate::planning::Job;
use crate::planning::typed::{Field, Typed};
use crate::vehicle::Vehicle;

/// What was typed, a text a field.
pub(super) fn typed(args: &PlanArgs) -> Typed {
    let number = |number: Option<u32>| number.map(|number| number.to_string());
    let texts = [
        (Field::Capacity, args.capacity.clone()),
        (Field::Cap, args.cap.clone()),
        (Field::Present, args.present.clone()),
        (Field::PresentType, args.present_type.map(product)),
        (Field::PresentBase, args.present_base.map(glycol)),
        (Field::Wanted, args.wanted.clone()),
        (Field::WantedNew, args.wanted_new.clone()),
        (Field::Drained, args.drained.clone()),
        (Field::Drains, args.drains.clone()),
        (Field::Concentrate, args.concentrate.clone()),
        (Field::Ready, args.ready.clone()),
        (Field::Base, args.base.map(glycol)),
        (Field::Rinses, number(args.rinses)),
        (Field::Rounds, number(args.rounds)),
        (Field::Filled, args.filled.clone()),
        (Field::Price, args.price.clone()),
        (Field::Product, args.product.map(product)),
        (Field::Life, args.life.clone()),
        (Field::Odometer, args.odometer.clone()),
        (Field::Date, args.date.clone()),
        (Field::Air, args.air.clone()),
        (Field::Altitude, args.altitude.clone()),
        (Field::Pressure, args.pressure.clone()),
    ];
    texts.into_iter().filter_map(|(field, text)| Some((field, text?))).collect()
}

/// The job; a failure names the flag, what was there, and the way out.
pub(super) fn job(typed: &Typed, vehicle: &Vehicle) -> Result<Job, Failure> {
    let read = typed.job(vehicle, || chrono::Local::now().date_naive());
    read.map_err(|misread| Failure::new(format_args!("{} {}: {}", flag(misread.field), misread.text, misread.what), misread.hint))
}

/// A field's flag.
pub(super) fn flag(field: Field) -> String {
    format!("--{}", field.name())
}

fn product(typed: ProductType) -> String {
    match typed {
        ProductType::Inorganic => "inorganic",
        ProductType::Organic => "organic",
        ProductType::Hybrid => "hybrid",
    }
    .to_owned()
}

fn glycol(typed: GlycolBase) -> String {
    match typed {
        GlycolBase::Ethylene => "ethylene",
        GlycolBase::Propylene => "propylene",
    }
    .to_owned()
}
