//! Completion scripts and the manual page, from the command line's own declaration.

use super::failure::Failure;
use crate::cli::Cli;
use clap::CommandFactory;
use std::io::Write;
use std::process::ExitCode;

fn printed(bytes: &[u8]) -> Result<ExitCode, Failure> {
    match std::io::stdout().lock().write_all(bytes) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Failure::new(format_args!("cannot print: {error}"), "")),
        _ => Ok(ExitCode::SUCCESS),
    }
}

/// Prints a completion script.
///
/// # Errors
///
/// [`Failure`] if it cannot be printed.
pub fn completions(shell: clap_complete::Shell) -> Result<ExitCode, Failure> {
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "wellbled", &mut bytes);
    printed(&bytes)
}

/// Prints the manual page in roff, one section a verb.
///
/// # Errors
///
/// [`Failure`] if it cannot be printed.
pub fn page() -> Result<ExitCode, Failure> {
    let mut bytes = Vec::new();
    let mut render = || -> std::io::Result<()> {
        let mut command = Cli::command();
        command.build();
        clap_mangen::Man::new(command.clone()).render(&mut bytes)?;
        for verb in command.get_subcommands().filter(|verb| !verb.is_hide_set()) {
            clap_mangen::Man::new(verb.clone()).render(&mut bytes)?;
        }
        Ok(())
    };
    render().map_err(|error| Failure::new(error, ""))?;
    printed(&bytes)
}
