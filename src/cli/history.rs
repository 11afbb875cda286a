//! `history`: what can be typed.

use super::compare::MovedArgs;
use super::stated::StatedArgs;
use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Heading of what has to do with kept runs.
pub const KEPT: &str = "Kept runs";

const EXAMPLES: &str = "Examples:
  wellbled check drive.csv --levels notes.csv --keep
  wellbled history
  wellbled history show 3f9a
  wellbled history add last --cold-after 39mm
  wellbled history trend bakery

A run is named by the beginning of its name, or `last` for the one kept last.";

/// Where runs are kept.
#[derive(Args, Clone, Debug, Default)]
pub struct StoreArg {
    /// Folder of kept runs, in place of your data folder's.
    #[arg(long = "store", value_name = "FOLDER", env = "WELLBLED_STORE", hide_env = true, global = true, help_heading = KEPT)]
    pub folder: Option<PathBuf>,
}

/// `history`.
#[derive(Args, Debug)]
#[command(after_help = EXAMPLES, disable_help_subcommand = true)]
pub struct HistoryArgs {
    /// What to do; without it the runs are listed.
    #[command(subcommand)]
    pub verb: Option<HistoryVerb>,
    /// List only runs of vehicles whose name holds this.
    #[arg(long, value_name = "NAME")]
    pub vehicle: Option<String>,
    /// What is printed: text (the default) or json.
    #[arg(long, value_enum, hide_possible_values = true)]
    pub format: Option<HistoryFormat>,
    /// Where runs are kept.
    #[command(flatten)]
    pub store: StoreArg,
}

/// Formats of what `history` prints.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum HistoryFormat {
    /// For reading on a terminal.
    #[default]
    Text,
    /// For programs (docs/store.md).
    Json,
}

/// What can be done with kept runs.
#[derive(Debug, Subcommand)]
pub enum HistoryVerb {
    /// Show a kept run: when it was driven and judged, and the report.
    Show(ShowArgs),
    /// Add notes or later readings to a kept run and judge it again; the earlier findings are kept.
    Add(Box<AddArgs>),
    /// Write a kept run's files into a folder: log, notes, readings, findings, report.
    Export(ExportArgs),
    /// Remove a kept run with all that belongs to it.
    Remove(RemoveArgs),
    /// Show how a vehicle's measures move over its kept runs.
    Trend(TrendArgs),
    /// Read every byte that is kept and name what is damaged.
    Verify,
}

/// `history trend`.
#[derive(Args, Debug)]
pub struct TrendArgs {
    /// The vehicle: its name or a part of it.
    pub vehicle: String,
    /// How what moved is given out.
    #[command(flatten)]
    pub out: MovedArgs,
}

/// `history show`.
#[derive(Args, Debug)]
pub struct ShowArgs {
    /// The run.
    pub id: String,
    /// An earlier judging, by its number, in place of the latest.
    #[arg(long, value_name = "NUMBER")]
    pub judging: Option<u32>,
    /// What is printed: text or json.
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: HistoryFormat,
}

/// `history add`.
#[derive(Args, Debug)]
pub struct AddArgs {
    /// The run.
    pub id: String,
    /// What is added. Level notes come after those that are kept; a vehicle file or a chance takes the place of the kept one.
    #[command(flatten)]
    pub stated: StatedArgs,
    /// What is printed: text or json.
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: HistoryFormat,
}

/// `history export`.
#[derive(Args, Debug)]
pub struct ExportArgs {
    /// The run.
    pub id: String,
    /// Folder to write into; it is made if it is not there.
    #[arg(long, value_name = "FOLDER")]
    pub out: PathBuf,
}

/// `history remove`.
#[derive(Args, Debug)]
pub struct RemoveArgs {
    /// The run.
    pub id: String,
    /// Do not ask.
    #[arg(long, short)]
    pub yes: bool,
}
