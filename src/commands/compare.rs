//! `compare`: two runs of one vehicle against each other, or several over time.

use super::check::{say, style};
use super::failure::Failure;
use super::keep::{archive, failed};
use super::{earlier, input, output};
use crate::archive::Archive;
use crate::check::Earlier;
use crate::cli::Units;
use crate::cli::compare::{CompareArgs, CompareFormat, MovedArgs};
use crate::comparison::trend::day_of;
use crate::comparison::{self, Decision, Drive};
use crate::keeping::earlier as keeping;
use crate::report::moved::{self, Moved};
use crate::report::{build, customary};
use crate::run::Run;
use crate::vehicle::Vehicle;
use chrono::NaiveDateTime;
use std::path::Path;
use std::process::ExitCode;

/// Exit code where neither a change nor a likeness could be told.
const NOTHING_TOLD: u8 = 3;

/// Compares what was named and prints what moved.
///
/// # Errors
///
/// [`Failure`] if a run cannot be found, read or compared, or a file cannot be written.
pub fn run(args: &CompareArgs) -> Result<ExitCode, Failure> {
    let plot = picture(&args.out)?;
    let vehicle = args.vehicle.as_deref().map(input::vehicle).transpose()?;
    let mut runs = args.runs.iter().map(|name| named(name, vehicle.as_ref(), args)).collect::<Result<Vec<Dated>, Failure>>()?;
    tell_apart(&mut runs, &args.runs);
    if let [then, now] = &runs[..] {
        // Two drives are taken in the order of their days; without days, as they were typed.
        let [then, now] = if then.driven.zip(now.driven).is_some_and(|(then, now)| then > now) { [now, then] } else { [then, now] };
        return two(then.it.drive(), now.it.drive(), &args.out, plot);
    }
    if let Some(undated) = runs.iter().find(|run| run.driven.is_none()) {
        return Err(Failure::new(
            format_args!("{}: the log has no date, so it has no place among several runs", undated.it.name),
            "compare two runs at a time, or keep the runs: a kept run has at least the day on which it was kept",
        ));
    }
    runs.sort_by_key(|run| run.driven);
    let name = runs.iter().rev().find_map(|run| run.it.run.vehicle.name.clone()).unwrap_or_else(|| "one vehicle".to_owned());
    over_time(&name, &runs, &args.out, plot)
}

/// A run with its day, where it is known.
pub(super) struct Dated {
    /// When it was driven.
    pub driven: Option<NaiveDateTime>,
    /// The run.
    pub it: Earlier,
}

/// A run by its file or its kept name.
fn named(asked: &str, vehicle: Option<&Vehicle>, args: &CompareArgs) -> Result<Dated, Failure> {
    if Path::new(asked).is_file() {
        let (read, _) = input::log(Path::new(asked), &args.reading)?;
        let run = Run { vehicle: vehicle.cloned().unwrap_or_default(), ..read.run };
        return Ok(Dated { driven: run.started, it: Earlier::of(run.called(), run) });
    }
    let archive = archive(&args.store)?;
    let entry = archive.find(asked).map_err(|error| earlier::not_found(asked, &archive, error))?;
    Ok(Dated { driven: Some(entry.driven()), it: kept(&archive, &entry.id)? })
}

/// A kept run, measured again.
fn kept(archive: &Archive, id: &str) -> Result<Earlier, Failure> {
    keeping::kept(archive, id).map_err(failed)
}

/// Runs whose files have one name are called with their folder as well.
fn tell_apart(runs: &mut [Dated], typed: &[String]) {
    let names: Vec<String> = runs.iter().map(|run| run.it.name.clone()).collect();
    for (run, typed) in runs.iter_mut().zip(typed) {
        if names.iter().filter(|name| **name == run.it.name).count() > 1 {
            let mut parts: Vec<_> = Path::new(typed).iter().rev().take(2).map(|part| part.to_string_lossy()).collect();
            parts.reverse();
            run.it.name = parts.join("/");
        }
    }
}

fn two(then: Drive, now: Drive, out: &MovedArgs, plot: Option<&'static str>) -> Result<ExitCode, Failure> {
    let comparison = comparison::compare(then, now);
    give(&build::comparison::between(&comparison, then, now), out, plot)?;
    let with = |decision: Decision| comparison.changes.iter().any(|change| change.decision == decision);
    Ok(ExitCode::from(match (with(Decision::Changed), with(Decision::Alike)) {
        (true, _) => 1,
        (false, true) => 0,
        (false, false) => NOTHING_TOLD,
    }))
}

/// Prints what several runs tell, in the order of their days.
pub(super) fn over_time(vehicle: &str, runs: &[Dated], out: &MovedArgs, plot: Option<&'static str>) -> Result<ExitCode, Failure> {
    let dated = runs.iter().filter_map(|run| Some((day_of(run.driven?), run.it.drive())));
    let drives: Vec<(f64, Drive)> = dated.collect();
    let all = comparison::series(&drives);
    give(&build::comparison::over_time(vehicle, &drives, &all), out, plot)?;
    let moved = all.iter().any(|series| series.matters());
    Ok(ExitCode::from(u8::from(moved)))
}

/// The ending of the picture's name, settled before anything is read.
pub(super) fn picture(out: &MovedArgs) -> Result<Option<&'static str>, Failure> {
    out.report.as_deref().map(|path| output::ending(path, &["html", "htm"], "a report")).transpose()?;
    out.plot.as_deref().map(|path| output::ending(path, &["png", "svg"], "a picture")).transpose()
}

/// Prints what moved and writes the files that were asked for.
fn give(found: &Moved, out: &MovedArgs, plot: Option<&'static str>) -> Result<(), Failure> {
    let customary = (out.units == Units::Us).then(|| customary::moved(found));
    let read = customary.as_ref().unwrap_or(found);
    if let Some(path) = &out.report {
        output::write(path, moved::html(read).map_err(output::undrawn)?.as_bytes())?;
    }
    if let (Some(path), Some(ending)) = (&out.plot, plot) {
        let Some(picture) = &read.chart else {
            return Err(Failure::new("these runs have no reading in common that could be drawn", "leave --plot out"));
        };
        output::plot(path, ending, picture)?;
    }
    say(&match out.format {
        CompareFormat::Text => moved::text(read, style()),
        CompareFormat::Json => moved::json(found).map_err(|error| Failure::new(error, ""))?,
    })
}

/// The kept runs of a vehicle, in the order of their days.
///
/// # Errors
///
/// [`Failure`] if they cannot be listed, none is of the vehicle, several vehicles are meant, or one can no longer be read.
pub(super) fn kept_of(vehicle: &str, archive: &Archive) -> Result<(String, Vec<Dated>), Failure> {
    let listing = archive.listing().map_err(failed)?;
    let wanted = vehicle.trim().to_lowercase();
    let mut entries = listing.entries;
    entries.retain(|entry| entry.vehicle.as_ref().is_some_and(|name| name.to_lowercase().contains(&wanted)));
    entries.sort_by_key(|entry| entry.driven());
    let mut names: Vec<String> = entries.iter().filter_map(|entry| entry.vehicle.clone()).collect();
    names.sort();
    names.dedup_by_key(|name| crate::vehicle::known_by(name));
    match names.as_slice() {
        [] => Err(Failure::new(
            format_args!("no run of a vehicle named `{vehicle}` is kept in {}", archive.folder().display()),
            "to see what is kept: history\nto look elsewhere: --store FOLDER",
        )),
        [name] => {
            let read = |entry: &crate::archive::Entry| Ok(Dated { driven: Some(entry.driven()), it: kept(archive, &entry.id)? });
            Ok((name.clone(), entries.iter().map(read).collect::<Result<_, Failure>>()?))
        }
        _ => Err(Failure::new(
            format_args!("`{vehicle}` is part of several vehicles' names: {}", names.join(", ")),
            "write more of the name",
        )),
    }
}
