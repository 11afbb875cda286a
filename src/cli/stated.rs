//! What is stated beside a log: the vehicle, the levels, the chance of air; the same flags for every verb that judges.

use clap::Args;
use std::path::PathBuf;

const VEHICLE: &str = "What is known of the vehicle";
const LEVELS: &str = "What was read on the reservoir";
const WORK: &str = "What is known of the work";

/// What is stated beside a log.
#[derive(Args, Clone, Debug, Default)]
pub struct StatedArgs {
    /// What the owner states: thermostat rating, capacity, reservoir (docs/vehicle-file.md).
    #[arg(long, value_name = "FILE.toml", help_heading = VEHICLE)]
    pub vehicle: Option<PathBuf>,
    /// Level notes (docs/level-notes.md).
    #[arg(long, value_name = "FILE.csv", help_heading = LEVELS)]
    pub levels: Option<PathBuf>,
    /// Level cold, before the drive: 42mm, 620mL, 80% …
    #[arg(long, value_name = "LEVEL", help_heading = LEVELS)]
    pub cold_before: Option<String>,
    /// Level hot, after the drive, cap closed.
    #[arg(long, value_name = "LEVEL", help_heading = LEVELS)]
    pub hot_after: Option<String>,
    /// Level cold again.
    #[arg(long, value_name = "LEVEL", help_heading = LEVELS)]
    pub cold_after: Option<String>,
    /// Coolant added after that.
    #[arg(long, value_name = "VOLUME", help_heading = LEVELS)]
    pub added: Option<String>,
    /// Driven before the work: what the car always did.
    #[arg(long, help_heading = WORK)]
    pub before_work: bool,
    /// Chance of air before it: 10%, less after a slow fill.
    #[arg(long, value_name = "CHANCE", value_parser = chance, help_heading = WORK)]
    pub air_prior: Option<f64>,
}

/// Reads a chance: a share, or per cent with its sign.
pub(super) fn chance(text: &str) -> Result<f64, String> {
    let (number, scale) = text.trim().strip_suffix('%').map_or((text, 1.0), |number| (number, 0.01));
    let share = number.trim().parse::<f64>().ok().map(|number| scale * number);
    share.filter(|share| (0.001..=0.999).contains(share)).ok_or_else(|| "a chance lies between 0.1 % and 99.9 %: 10%, or 0.1".to_owned())
}
