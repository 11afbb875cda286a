//! `history`: the list.

use super::named;
use crate::archive::{Archive, Entry, Listing, NotOpened};
use crate::cli::history::{HistoryArgs, HistoryFormat};
use crate::commands::check::say;
use crate::commands::failure::Failure;
use crate::commands::keep::failed;
use crate::report::words;
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;
use std::process::ExitCode;
use unicode_width::UnicodeWidthStr;

/// The list as JSON.
#[derive(Serialize)]
struct Listed<'a> {
    store: String,
    runs: &'a [Entry],
    not_opened: &'a [NotOpened],
}

/// Prints the list, latest drive first.
///
/// # Errors
///
/// [`Failure`] if the runs cannot be listed.
pub fn run(archive: &Archive, args: &HistoryArgs) -> Result<ExitCode, Failure> {
    let mut listing = archive.listing().map_err(failed)?;
    if let Some(wanted) = &args.vehicle {
        let wanted = wanted.to_lowercase();
        listing.entries.retain(|entry| entry.vehicle.as_ref().is_some_and(|name| name.to_lowercase().contains(&wanted)));
    }
    say(&match args.format.unwrap_or_default() {
        HistoryFormat::Text => as_text(&listing, archive.folder(), args.vehicle.as_deref()),
        HistoryFormat::Json => {
            let listed = Listed { store: archive.folder().display().to_string(), runs: &listing.entries, not_opened: &listing.not_opened };
            serde_json::to_string_pretty(&listed).map_err(|error| Failure::new(error, ""))? + "\n"
        }
    })?;
    Ok(ExitCode::SUCCESS)
}

fn as_text(listing: &Listing, store: &Path, vehicle: Option<&str>) -> String {
    let mut text = String::new();
    if listing.entries.is_empty() {
        let of = vehicle.map(|name| format!(" of a vehicle named `{}`", words::plain(name))).unwrap_or_default();
        let _ = writeln!(text, "No run{of} is kept in {}. Keep one: wellbled check LOG --keep", store.display());
    }
    let heading = ["run", "driven", "verdict", "vehicle", "log"];
    let names: Vec<String> = listing.entries.iter().map(|entry| words::plain(entry.vehicle.as_deref().unwrap_or("–"))).collect();
    let width = names.iter().map(|name| name.width()).chain([heading[3].len()]).max().unwrap_or_default();
    if !names.is_empty() {
        let [run, driven, verdict, vehicle, log] = heading;
        let _ = writeln!(text, "{run:12}  {driven:11}  {verdict:12}  {vehicle:width$}  {log}");
    }
    for (entry, name) in listing.entries.iter().zip(&names) {
        let padding = " ".repeat(width - name.width());
        let undated = if entry.started.is_none() { '*' } else { ' ' };
        let before = if entry.before_work { "  (before the work)" } else { "" };
        let _ = writeln!(
            text,
            "{}  {}{undated}  {:12}  {name}{padding}  {}{before}",
            entry.id,
            entry.driven().format("%Y-%m-%d"),
            entry.verdict,
            words::plain(&entry.source)
        );
    }
    if listing.entries.iter().any(|entry| entry.started.is_none()) {
        text += "* the log has no date: the day on which it was kept\n";
    }
    text + &named(&listing.not_opened)
}
