//! `plan`: what to pour, what it stands, when it is due again, and the job card.

use super::check::{say, style};
use super::failure::Failure;
use super::{input, output};
use crate::cli::plan::{PlanArgs, PlanFormat};
use crate::planning::{Plan, PlanError, Typed};
use crate::report::job_card;
use crate::report::plan::{Sheet, json, text};
use std::process::ExitCode;

mod stated;

/// Plans a refill, prints the plan, and writes the job card if one is asked for.
///
/// # Errors
///
/// [`Failure`] if a flag or the vehicle file cannot be read, if the job cannot be planned, or if the card cannot be written.
pub fn run(args: &PlanArgs) -> Result<ExitCode, Failure> {
    args.card.as_deref().map(|path| output::ending(path, &["html", "htm"], "a job card")).transpose()?;
    let vehicle = args.vehicle.as_deref().map(input::vehicle).transpose()?.unwrap_or_default();
    let typed = stated::typed(args);
    let job = stated::job(&typed, &vehicle)?;
    let plan = Plan::of(&vehicle, &job).map_err(|error| refused(&error, &typed))?;
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
fn refused(error: &PlanError, typed: &Typed) -> Failure {
    let write = match error {
        PlanError::NoCapacity => "with a flag: --capacity 7.2L",
        PlanError::NoDrain => "with a flag: --drained 4.5L, or --drains radiator, or --drains 60%",
        PlanError::NothingWanted => "with a flag: --wanted -30C, or --wanted 50%, or --ready 50% for a ready mixture",
        _ => "",
    };
    let given = typed.stating(error).into_iter().map(|(field, text)| format!("{} {text}", stated::flag(field)));
    let flags: Vec<String> = given.collect();
    let place = if flags.is_empty() { String::new() } else { format!("{}: ", flags.join(", ")) };
    Failure::new(format_args!("{place}{error}"), format!("{}\n{write}", error.hint()))
}
