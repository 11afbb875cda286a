//! `fleet`: what can be typed.

use super::history::{KEPT, StoreArg};
use super::stated::chance;
use super::{Format, Reading};
use crate::fleet::Part;
use clap::Args;
use std::path::PathBuf;

const FILES: &str = "Files to write";
const RUNNING: &str = "Running";

const EXAMPLES: &str = "Examples:
  wellbled fleet logs
  wellbled fleet logs --report fleet.html --table fleet.csv
  wellbled fleet logs --resume fleet.journal
  wellbled fleet logs --part 3/16 --table part-3.csv
  wellbled fleet --merge part-*.csv --report fleet.html
  wellbled fleet --from-store

Vehicle files and level notes are found by docs/fleet.md's rule.
Exit codes: 0 all pass, 1 any recheck, 2 could not run, 3 otherwise.";

/// `fleet`.
#[derive(Args, Debug)]
#[command(after_help = EXAMPLES)]
pub struct FleetArgs {
    /// Folder of logs, or a list of them (CSV: log, vehicle, levels).
    #[arg(value_name = "FOLDER|LIST", required_unless_present_any = ["from_store", "merge"], conflicts_with_all = ["from_store", "merge"])]
    pub logs: Option<PathBuf>,
    /// What is printed: text, json or csv.
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// Write the table as one HTML file.
    #[arg(long, value_name = "FILE.html", help_heading = FILES)]
    pub report: Option<PathBuf>,
    /// Write the table with every key number.
    #[arg(long, value_name = "FILE.csv", help_heading = FILES)]
    pub table: Option<PathBuf>,
    /// Write the same as Parquet, by vehicle and year.
    #[arg(long, value_name = "FOLDER", help_heading = FILES)]
    pub parquet: Option<PathBuf>,
    /// Logs checked at once; as many as there are cores if not said.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024), help_heading = RUNNING)]
    pub threads: Option<u16>,
    /// Journal of what is done; a later run goes on from it.
    #[arg(long, value_name = "FILE", requires = "logs", help_heading = RUNNING)]
    pub resume: Option<PathBuf>,
    /// Check only this part of the logs: 3/16.
    #[arg(long, value_name = "K/N", requires = "logs", help_heading = RUNNING)]
    pub part: Option<Part>,
    /// Put the tables of parts together (those of --table).
    #[arg(long, value_name = "FILES", num_args = 1.., conflicts_with = "from_store", help_heading = RUNNING)]
    pub merge: Vec<PathBuf>,
    /// Ask the kept runs: who needs a look, what drifts.
    #[arg(long, help_heading = KEPT)]
    pub from_store: bool,
    /// Where runs are kept.
    #[command(flatten)]
    pub store: StoreArg,
    /// Chance of air before each drive: 10%.
    #[arg(long, value_name = "CHANCE", value_parser = chance, requires = "logs", help_heading = "What is known of the work")]
    pub air_prior: Option<f64>,
    /// How to read the logs.
    #[command(flatten)]
    pub reading: Reading,
}
