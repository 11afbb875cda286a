//! The command line: what can be typed.
//!
//! Only the shape is declared here; each verb's work is in the file of its name under `commands`.

pub mod compare;
pub mod fleet;
pub mod history;
pub mod plan;
pub mod serve;
pub mod stated;
pub mod summary;

use crate::channel::Channel;
use crate::rehearsal::scenario::Road;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Reads the log of the drive after a coolant refill and says whether the system is bled.
#[derive(Debug, Parser)]
#[command(name = "wellbled", version, max_term_width = 80, disable_help_subcommand = true, after_help = EXIT_CODES)]
pub struct Cli {
    /// The verb.
    #[command(subcommand)]
    pub verb: Verb,
}

const EXIT_CODES: &str = "Exit codes: 0 pass, 1 recheck, 2 could not run, 3 inconclusive.\n\
The maker's procedure, local regulations and a licensed technician outrank anything printed here.";

/// What the program can do.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Check a log: pass, recheck or inconclusive, with reasons and what to do next.
    Check(Box<CheckArgs>),
    /// Show how a log was understood: layout, clock, columns, gaps.
    Columns(ColumnsArgs),
    /// Plan a refill: what to pour, what it stands, when it is due again; and the job card.
    Plan(Box<plan::PlanArgs>),
    /// Compare two runs of a vehicle, or several over time: what moved.
    Compare(Box<compare::CompareArgs>),
    /// Check many logs: one table, worst first; or ask what is kept.
    Fleet(Box<fleet::FleetArgs>),
    /// List, show, add to, export and remove kept runs.
    History(Box<history::HistoryArgs>),
    /// Serve the page: the same for a browser, here or in the yard.
    Serve(serve::ServeArgs),
    /// Make a log with known truth, for trying the program and for teaching.
    Rehearse(RehearseArgs),
    /// Print a completion script for a shell.
    #[command(hide = true)]
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page.
    #[command(hide = true)]
    Manual,
}

/// Formats of a report on standard output.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For reading on a terminal.
    #[default]
    Text,
    /// The published contract (docs/json-schema.md).
    Json,
    /// One finding a row.
    Csv,
}

/// Units of what people read. JSON and CSV are always in SI.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// °C, mL, L, km, kPa, mm.
    #[default]
    Si,
    /// °F, US fl oz, qt and gal, mi, psi, in.
    Us,
}

/// How to read a log.
#[derive(Args, Debug, Default)]
pub struct Reading {
    /// Which column holds a channel: coolant-temperature="temp 1". May be repeated.
    #[arg(long = "column", value_name = "CHANNEL=NAME", value_parser = column, help_heading = "Reading the log")]
    pub columns: Vec<(Channel, String)>,
    /// Which column is the clock.
    #[arg(long, value_name = "NAME", help_heading = "Reading the log")]
    pub time_column: Option<String>,
    /// Seconds between rows, for a log without a clock.
    #[arg(long, value_name = "SECONDS", value_parser = seconds, help_heading = "Reading the log")]
    pub period: Option<f64>,
    /// Dates are day-month-year (yes) or month-day-year (no).
    #[arg(long, value_name = "YES|NO", value_parser = yes_or_no, help_heading = "Reading the log")]
    pub day_first: Option<bool>,
}

/// `check`.
#[derive(Args, Debug)]
pub struct CheckArgs {
    /// The log (CSV, also gzipped); `-` reads standard input. Without one the level notes are judged alone.
    #[arg(required_unless_present_any = ["levels", "cold_before"])]
    pub log: Option<PathBuf>,
    /// What is printed: text, json or csv.
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// Units for people: si or us (°F, fl oz).
    #[arg(long, value_enum, default_value_t, hide_possible_values = true, value_name = "SI|US")]
    pub units: Units,
    /// Where runs are kept.
    #[command(flatten)]
    pub store: history::StoreArg,
    /// Compare with `last` (of the vehicle), a run, a log.
    #[arg(long, value_name = "RUN", requires = "log", help_heading = history::KEPT)]
    pub against: Option<String>,
    /// Do not weigh in a kept drive from before the work.
    #[arg(long, help_heading = history::KEPT)]
    pub alone: bool,
    /// Write the whole report as one HTML file.
    #[arg(long, value_name = "FILE.html", help_heading = "Files to write")]
    pub report: Option<PathBuf>,
    /// Write the plot; the ending decides: .png or .svg.
    #[arg(long, value_name = "FILE", help_heading = "Files to write")]
    pub plot: Option<PathBuf>,
    /// Write the readings as understood, on one clock; the ending decides: .csv or .parquet.
    #[arg(long, value_name = "FILE", help_heading = "Files to write")]
    pub samples: Option<PathBuf>,
    /// Keep log, notes, readings and findings (`history`).
    #[arg(long, requires = "log", help_heading = history::KEPT)]
    pub keep: bool,
    /// What is stated beside the log.
    #[command(flatten)]
    pub stated: stated::StatedArgs,
    /// The customer's page.
    #[command(flatten)]
    pub page: summary::SummaryArgs,
    /// How to read the log.
    #[command(flatten)]
    pub reading: Reading,
}

/// `columns`.
#[derive(Args, Debug)]
pub struct ColumnsArgs {
    /// The log (CSV, also gzipped); `-` reads standard input.
    pub log: PathBuf,
    /// What is printed: text, json or csv.
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// How to read the log.
    #[command(flatten)]
    pub reading: Reading,
}

/// `rehearse`.
#[derive(Args, Debug)]
pub struct RehearseArgs {
    /// Which story; without one, they are listed.
    #[arg(long, value_name = "NAME")]
    pub story: Option<String>,
    /// Seed: the same seed gives the same bytes.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Drive it on another road: idle, town, rural, motorway, hill, mixed or traffic.
    #[arg(long, value_name = "ROAD", value_parser = road, help_heading = "Another telling of the story")]
    pub drive: Option<Road>,
    /// Air temperature, °C.
    #[arg(long, value_name = "CELSIUS", allow_negative_numbers = true, value_parser = air, help_heading = "Another telling of the story")]
    pub ambient: Option<f64>,
    /// A vehicle as its owner states it.
    #[arg(long, value_name = "FILE.toml", help_heading = "Another telling of the story")]
    pub vehicle: Option<PathBuf>,
    /// Folder to write log, notes, vehicle file and truth into; it is made if it is not there.
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
}

/// Reads a kind of road.
fn road(text: &str) -> Result<Road, String> {
    let found = Road::NAMED.iter().find(|(name, _)| *name == text).map(|(_, road)| *road);
    found.ok_or_else(|| format!("`{text}` is none of {}", Road::NAMED.map(|(name, _)| name).join(", ")))
}

/// Reads an air temperature that a vehicle can be driven in.
fn air(text: &str) -> Result<f64, String> {
    let celsius: f64 = text.parse().map_err(|_| format!("`{text}` is no number of degrees Celsius"))?;
    if (-40.0..=55.0).contains(&celsius) { Ok(celsius) } else { Err(format!("{celsius} °C is no weather to drive in (−40 to 55)")) }
}

/// Reads a number of seconds; whether it makes a clock is for the reader of logs to say.
fn seconds(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| format!("`{text}` is no number of seconds; write 0.5"))
}

/// Reads yes or no, in the usual ways of saying it.
fn yes_or_no(text: &str) -> Result<bool, String> {
    match text.trim().to_ascii_lowercase().as_str() {
        "yes" | "y" | "true" | "t" | "on" | "1" => Ok(true),
        "no" | "n" | "false" | "f" | "off" | "0" => Ok(false),
        _ => Err(format!("`{text}` is neither yes nor no")),
    }
}

/// Reads `channel=name`.
fn column(text: &str) -> Result<(Channel, String), String> {
    let (channel, name) = text.split_once('=').ok_or_else(|| format!("`{text}` has no `=`; write CHANNEL=NAME"))?;
    let known = || Channel::all().map(|channel| channel.name().replace('_', "-")).collect::<Vec<_>>().join(", ");
    let channel = Channel::from_name(channel).ok_or_else(|| format!("`{channel}` is no channel; known: {}", known()))?;
    Ok((channel, name.trim().trim_matches('"').to_owned()))
}
