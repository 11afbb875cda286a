//! The thin shell: one file a verb, each reading what it is given, calling the core, and writing what comes back.

pub mod check;
pub mod columns;
pub mod compare;
pub mod earlier;
pub mod failure;
pub mod fleet;
pub mod history;
pub mod input;
pub mod keep;
pub mod manual;
pub mod output;
pub mod plan;
pub mod rehearse;
pub mod samples;
pub mod serve;
pub mod stated;
pub mod summary;

use crate::cli::{Cli, Verb};
use failure::Failure;
use std::process::ExitCode;

/// Runs what was typed.
///
/// # Errors
///
/// [`Failure`] if the verb could not run; the program then exits with 2.
pub fn run(cli: Cli) -> Result<ExitCode, Failure> {
    match cli.verb {
        Verb::Check(args) => check::run(&args),
        Verb::Columns(args) => columns::run(&args),
        Verb::Plan(args) => plan::run(&args),
        Verb::Compare(args) => compare::run(&args),
        Verb::Fleet(args) => fleet::run(&args),
        Verb::History(args) => history::run(&args),
        Verb::Serve(args) => serve::run(&args),
        Verb::Rehearse(args) => rehearse::run(&args),
        Verb::Completions { shell } => manual::completions(shell),
        Verb::Manual => manual::page(),
    }
}
