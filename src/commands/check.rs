//! `check`: one log from bytes to verdict.

use super::failure::Failure;
use super::{earlier, input, keep, output, samples, stated, summary as page};
use crate::analysis::trapped_air;
use crate::archive::Archive;
use crate::check::{Beside, Checked};
use crate::cli::{CheckArgs, Format, Units};
use crate::keeping::Judging;
use crate::keeping::earlier::Now;
use crate::report::document::Document;
use crate::report::summary::{self, Facts};
use crate::report::{csv, customary, html, json, text};
use crate::run::Run;
use std::borrow::Cow;
use std::io::{IsTerminal, Write};
use std::process::ExitCode;

/// Widest text printed on a terminal, in columns.
const WIDEST: usize = 80;

/// Checks a log and prints the report.
///
/// # Errors
///
/// [`Failure`] if a file cannot be read, understood or written.
pub fn run(args: &CheckArgs) -> Result<ExitCode, Failure> {
    let endings = Endings::of(args)?;
    let typed = page::typed(&args.page)?;
    let Gathered { run, log, vehicle_toml } = gather(args)?;
    let air_prior = args.stated.air_prior.unwrap_or(trapped_air::PRIOR);
    let now = Now { run: &run, id: &Archive::id_of(&log) };
    let against = args.against.as_deref().map(|asked| earlier::named(asked, &args.store, &now)).transpose()?;
    let before_work = if args.alone || args.stated.before_work { None } else { earlier::before_work(&args.store, &now) };
    let beside = Beside { air_prior, before_work: before_work.as_ref(), against: against.as_ref() };
    let Checked { judgement, document, .. } = Checked::of(&run, &beside);
    if let Some(path) = &args.samples {
        samples::write(&run, path)?;
    }
    let facts = typed.or(Facts::of(&run));
    // Programs read SI whatever people read.
    let (read, facts) = match args.units {
        Units::Si => (Cow::Borrowed(&document), facts),
        Units::Us => (Cow::Owned(customary::document(&document)), customary::facts(&facts)),
    };
    write_files(args, &endings, &read, &facts)?;
    // Kept before it is printed: an answer that was read is kept.
    let kept = if args.keep {
        Some(keep::keep(
            args,
            &log,
            &Judging { run: &run, vehicle_toml, air_prior, before_work: args.stated.before_work, document: &document },
        )?)
    } else {
        None
    };
    print(args.format, if args.format == Format::Text { &read } else { &document })?;
    kept.iter().for_each(keep::Told::tell);
    Ok(ExitCode::from(judgement.verdict.exit_code()))
}

/// What was given to check.
struct Gathered {
    run: Run,
    /// The log's bytes; empty where level notes are judged alone.
    log: Vec<u8>,
    /// The vehicle file's text.
    vehicle_toml: Option<String>,
}

/// Reads the log and what is stated beside it.
fn gather(args: &CheckArgs) -> Result<Gathered, Failure> {
    let (mut run, log) = match &args.log {
        Some(log) => input::log(log, &args.reading).map(|(read, bytes)| (read.run, bytes))?,
        None => (Run { source: "level notes".to_owned(), ..Run::default() }, Vec::new()),
    };
    let stated = stated::read(&args.stated)?;
    let (vehicle, vehicle_toml) = stated.vehicle.unzip();
    run.vehicle = vehicle.unwrap_or_default();
    run.levels = [stated.noted, stated.flagged].concat();
    Ok(Gathered { run, log, vehicle_toml })
}

/// What the endings of the names ask for: settled before anything is read, so that a slip costs no wait and leaves no half of
/// the files behind.
struct Endings {
    plot: Option<&'static str>,
}

impl Endings {
    fn of(args: &CheckArgs) -> Result<Self, Failure> {
        args.report.as_deref().map(|path| output::ending(path, &["html", "htm"], "a report")).transpose()?;
        args.page.summary.as_deref().map(|path| output::ending(path, &["html", "htm"], "a summary")).transpose()?;
        args.samples.as_deref().map(samples::format).transpose()?;
        let plot = args.plot.as_deref().map(|path| output::ending(path, &["png", "svg"], "a plot")).transpose()?;
        Ok(Self { plot })
    }
}

fn write_files(args: &CheckArgs, endings: &Endings, document: &Document, facts: &Facts) -> Result<(), Failure> {
    if let Some(path) = &args.report {
        output::write(path, html::render(document).map_err(output::undrawn)?.as_bytes())?;
    }
    if let Some(path) = &args.page.summary {
        output::write(path, summary::render(document, facts).map_err(output::undrawn)?.as_bytes())?;
    }
    if let (Some(path), Some(ending)) = (&args.plot, endings.plot) {
        output::plot(path, ending, &document.chart)?;
    }
    Ok(())
}

fn print(format: Format, document: &Document) -> Result<(), Failure> {
    let text = match format {
        Format::Text => text::render(document, style()),
        Format::Json => json::render(document).map_err(|error| Failure::new(error, ""))?,
        Format::Csv => csv::render(document).map_err(|error| Failure::new(error, ""))?,
    };
    say(&text)
}

/// Prints to standard output; a reader that has gone away (`| head`) is no failure.
pub(super) fn say(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Failure::new(format_args!("cannot print: {error}"), "")),
        _ => Ok(()),
    }
}

/// Colours only on a terminal and never with NO_COLOR; as wide as the terminal, to eighty columns.
pub(super) fn style() -> text::Style {
    let colour = std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
    let width = terminal_width().unwrap_or(WIDEST).min(WIDEST);
    text::Style { color: colour, width }
}

/// Width of the terminal, if there is one.
fn terminal_width() -> Option<usize> {
    terminal_size::terminal_size().map(|(width, _)| usize::from(width.0))
}
