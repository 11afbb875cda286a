//! The program: reads the command line, runs the verb, turns a failure into words and exit code 2.

use clap::Parser;
use std::process::ExitCode;
use wellbled::cli::Cli;
use wellbled::commands;

fn main() -> ExitCode {
    match commands::run(Cli::parse()) {
        Ok(code) => code,
        Err(failure) => {
            eprint!("{failure}");
            ExitCode::from(2)
        }
    }
}
