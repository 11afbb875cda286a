//! `plan`: what to pour, what it stands, when it is due again, and the job card.

use super::check::{say, style};
use super::failure::Failure;
use super::{input, output};
use crate::cli::plan::{PlanArgs, PlanFormat};
use crate::planning::{Plan, PlanError};
use crate::report::job_card;
use crate::report::plan::{Sheet, json, text};
use std::process::ExitCode;

mod quantities;
mod stated;

/// Plans a refill, prints the plan, and writes the job card if one is asked for.
///
/// # Errors
///
/// [`Failure`] if a flag or the vehicle file cannot be read, if the job cannot be planned, or if the card cannot be written.
pub fn run(args: &PlanArgs) -> Result<ExitCode, Failure> {
    args.card.as_deref().map(|path| output::ending(path, &["html", "htm"], "a job card")).transpose()?;
    let vehicle = args.vehicle.as_deref().map(input::vehicle).transpose()?.unwrap_or_default();
    let job = stated::job(args, &vehicle)?;
    let plan = Plan::of(&vehicle, &job).map_err(|error| refused(&error, args))?;
    let sheet = Sheet::of(&plan, &vehicle, &job);
    if let Some(path) = &args.card {
        output::write(path, job_card::render(&sheet).as_bytes())?;
    }
    say(&match args.format {
        PlanFormat::Text => text::render(&sheet, style()),
        PlanFormat::Json => json::render(&plan, &sheet).map_err(|error| Failure::new(error, ""))?,
    })?;
    Ok(ExitCode::SUCCESS)
}

/// A job that cannot be planned, with the flags that state what stands in the way.
fn refused(error: &PlanError, args: &PlanArgs) -> Failure {
    let (flags, write) = match error {
        PlanError::NoCapacity => (vec![], "with a flag: --capacity 7.2L"),
        PlanError::NoDrain => (vec![], "with a flag: --drained 4.5L, or --drains radiator, or --drains 60%"),
        PlanError::NothingWanted => (vec![], "with a flag: --wanted -30C, or --wanted 50%, or --ready 50% for a ready mixture"),
        PlanError::OutOfRange { what, .. } => (stating(what, args), ""),
        PlanError::MoreThanCapacity { .. } => (given(&[("--drained", &args.drained), ("--capacity", &args.capacity)]), ""),
        PlanError::BeyondTables { read: true, .. } => (given(&[("--present", &args.present), ("--ready", &args.ready)]), ""),
        PlanError::BeyondTables { read: false, .. } | PlanError::WantedTooStrong { .. } => (given(&[("--wanted", &args.wanted)]), ""),
        PlanError::Coolant(_) => (given(&[("--altitude", &args.altitude), ("--pressure", &args.pressure)]), ""),
    };
    let place = if flags.is_empty() { String::new() } else { format!("{}: ", flags.join(", ")) };
    Failure::new(format_args!("{place}{error}"), format!("{}\n{write}", error.hint()))
}

/// The flags that state an entry, as far as they were typed.
fn stating(what: &str, args: &PlanArgs) -> Vec<String> {
    let number = |number: Option<u32>| number.map(|number| number.to_string());
    let (rinses, rounds) = (number(args.rinses), number(args.rounds));
    match what {
        "capacity" => given(&[("--capacity", &args.capacity)]),
        "share that drains" => given(&[("--drains", &args.drains)]),
        "measured volume" | "temperature of a measured volume" => given(&[("--drained", &args.drained), ("--filled", &args.filled)]),
        "uncertainty of a volume" => given(&[("--capacity", &args.capacity), ("--drained", &args.drained), ("--filled", &args.filled)]),
        "strength" => given(&[("--present", &args.present), ("--wanted", &args.wanted), ("--ready", &args.ready)]),
        "strength of the concentrate" => given(&[("--concentrate", &args.concentrate)]),
        "freezing point that was read" => given(&[("--present", &args.present), ("--ready", &args.ready)]),
        "freezing point that is wanted" => given(&[("--wanted", &args.wanted)]),
        "share of new coolant that is wanted" => given(&[("--wanted-new", &args.wanted_new)]),
        "number of rounds" => given(&[("--rounds", &rounds)]),
        "number of drains, rinses counted" => given(&[("--rinses", &rinses), ("--rounds", &rounds)]),
        "price of a litre" => given(&[("--price", &args.price)]),
        "life of the coolant" => given(&[("--life", &args.life)]),
        "odometer" => given(&[("--odometer", &args.odometer)]),
        "air temperature" => given(&[("--air", &args.air)]),
        "air pressure" => given(&[("--pressure", &args.pressure)]),
        "cap's opening pressure" => given(&[("--cap", &args.cap)]),
        _ => vec![],
    }
}

/// Flags with what was typed for them.
fn given(flags: &[(&str, &Option<String>)]) -> Vec<String> {
    flags.iter().filter_map(|(flag, text)| Some(format!("{flag} {}", text.as_ref()?))).collect()
}
