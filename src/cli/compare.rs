//! `compare`: what can be typed.

use super::history::StoreArg;
use super::{Reading, Units};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  wellbled compare last-year.csv this-year.csv --vehicle van.toml
  wellbled compare 3f9a last --report moved.html
  wellbled compare 3f9a 77b0 51ce e04d last

A run is a log, or a kept run by the beginning of its name, or `last` for the one kept last.";

/// Formats of what `compare` prints.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum CompareFormat {
    /// For reading on a terminal.
    #[default]
    Text,
    /// For programs (docs/comparison.md).
    Json,
}

/// How what moved is given out.
#[derive(Args, Clone, Debug, Default)]
pub struct MovedArgs {
    /// What is printed: text or json.
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: CompareFormat,
    /// Units for people: si or us (°F, fl oz).
    #[arg(long, value_enum, default_value_t, hide_possible_values = true, value_name = "SI|US")]
    pub units: Units,
    /// Write it as one HTML file.
    #[arg(long, value_name = "FILE.html", help_heading = "Files to write")]
    pub report: Option<PathBuf>,
    /// Write the picture; the ending decides: .png or .svg.
    #[arg(long, value_name = "FILE", help_heading = "Files to write")]
    pub plot: Option<PathBuf>,
}

/// `compare`.
#[derive(Args, Debug)]
#[command(after_help = EXAMPLES)]
pub struct CompareArgs {
    /// The runs of one vehicle: two against each other, three or more over time.
    #[arg(required = true, num_args = 2.., value_name = "RUN")]
    pub runs: Vec<String>,
    /// What the owner states of the vehicle of the logs (docs/vehicle-file.md); kept runs have their own.
    #[arg(long, value_name = "FILE.toml", help_heading = "What is known of the vehicle")]
    pub vehicle: Option<PathBuf>,
    /// Where runs are kept.
    #[command(flatten)]
    pub store: StoreArg,
    /// How what moved is given out.
    #[command(flatten)]
    pub out: MovedArgs,
    /// How to read the logs.
    #[command(flatten)]
    pub reading: Reading,
}
