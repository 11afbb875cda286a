//! `rehearse`: writes a made run, with its notes, vehicle file and truth.

use super::check::say;
use super::failure::Failure;
use super::{input, output};
use crate::cli::RehearseArgs;
use crate::rehearsal::{self, STORIES};
use std::process::ExitCode;

/// Writes a story's files, or lists the stories.
///
/// # Errors
///
/// [`Failure`] if there is no such story or its files cannot be written.
pub fn run(args: &RehearseArgs) -> Result<ExitCode, Failure> {
    let Some(name) = &args.story else {
        say(&format!("Stories (all invented):\n{}", list()))?;
        return Ok(ExitCode::SUCCESS);
    };
    let vehicle = args.vehicle.as_deref().map(input::vehicle).transpose()?;
    let scenario = rehearsal::story_with(name, args.seed, args.drive, args.ambient, vehicle.as_ref())
        .ok_or_else(|| Failure::new(format_args!("no story is named `{name}`"), format!("these are: {}", names().join(", "))))?;
    let made = rehearsal::rehearse(&scenario);
    std::fs::create_dir_all(&args.out).map_err(|cause| Failure::unwritten(&args.out, &cause))?;
    let mut files = vec![
        ("log.csv", made.log.clone()),
        ("vehicle.toml", made.vehicle_toml.clone().into_bytes()),
        ("truth.json", made.truth.to_json().into_bytes()),
    ];
    if !made.notes_csv.is_empty() {
        files.push(("levels.csv", made.notes_csv.clone().into_bytes()));
    }
    for (file, bytes) in &files {
        output::write(&args.out.join(file), bytes)?;
    }
    let written: Vec<&str> = files.iter().map(|(file, _)| *file).collect();
    say(&format!("{}: {}\n", args.out.display(), written.join(", ")))?;
    Ok(ExitCode::SUCCESS)
}

fn names() -> Vec<&'static str> {
    STORIES.iter().map(|story| story.0).collect()
}

fn list() -> String {
    STORIES.iter().map(|story| format!("  {:24} {}\n", story.0, story.1)).collect()
}
