//! What is stated beside a log, read: the vehicle file with its text, level notes from a file and from flags.

use super::failure::Failure;
use super::input;
use crate::cli::stated::StatedArgs;
use crate::run::{LevelReading, Occasion};
use crate::vehicle::Vehicle;

/// What was stated.
#[derive(Debug, Default)]
pub struct Stated {
    /// The vehicle, and the file's text.
    pub vehicle: Option<(Vehicle, String)>,
    /// Rows of the file of level notes.
    pub noted: Vec<LevelReading>,
    /// Levels given as flags.
    pub flagged: Vec<LevelReading>,
}

/// Reads what was typed.
///
/// # Errors
///
/// [`Failure`] if a file cannot be read or a text is no level.
pub fn read(args: &StatedArgs) -> Result<Stated, Failure> {
    Ok(Stated {
        vehicle: args.vehicle.as_deref().map(input::vehicle_with_text).transpose()?,
        noted: args.levels.as_deref().map(input::levels).transpose()?.unwrap_or_default(),
        flagged: flagged(args)?,
    })
}

fn flagged(args: &StatedArgs) -> Result<Vec<LevelReading>, Failure> {
    let flags = [
        ("--cold-before", Occasion::ColdBefore, &args.cold_before),
        ("--hot-after", Occasion::HotAfterDrive, &args.hot_after),
        ("--cold-after", Occasion::ColdAfter, &args.cold_after),
        ("--added", Occasion::ToppedUp, &args.added),
    ];
    flags.into_iter().filter_map(|(flag, occasion, text)| Some(input::quick_level(flag, occasion, text.as_ref()?))).collect()
}
