//! The program: reads the command line, runs the verb, turns a failure into words and exit code 2.

use clap::Parser;
use std::io::Write;
use std::process::ExitCode;
use wellbled::cli::Cli;
use wellbled::commands;

fn main() -> ExitCode {
    match commands::run(Cli::parse()) {
        Ok(code) => code,
        Err(failure) => {
            // Nobody may be left to read it (`2>&1 | head`); the exit code still tells.
            let _ = write!(std::io::stderr(), "{failure}");
            ExitCode::from(2)
        }
    }
}
