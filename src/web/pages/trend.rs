//! The trend of one vehicle: its measures over its kept runs.

use crate::archive::{Archive, Entry};
use crate::check::Earlier;
use crate::comparison::trend::day_of;
use crate::comparison::{self, Drive};
use crate::keeping::earlier;
use crate::report::build::comparison::over_time;
use crate::report::moved;
use crate::web::markup::text;
use crate::web::refusal::Refusal;

/// Fewest runs of which there is anything to draw.
const FEWEST: usize = 3;

/// Most runs that are measured anew for one page, the latest ones; `wellbled history trend` takes them all.
pub const MOST: usize = 40;

/// The section of a vehicle's trend; empty under three runs. A run that cannot be read is named and left out.
///
/// # Errors
///
/// [`Refusal`] if the picture cannot be drawn, which is a fault of the program.
pub fn section(archive: &Archive, name: &str, runs: &[Entry]) -> Result<String, Refusal> {
    if runs.len() < FEWEST {
        return Ok(String::new());
    }
    let mut notes = Vec::new();
    if runs.len() > MOST {
        notes.push(format!("Of the latest {MOST} runs; on the command line, wellbled history trend takes them all."));
    }
    let mut read: Vec<(f64, Earlier)> = Vec::new();
    for run in runs.iter().take(MOST) {
        match earlier::kept(archive, &run.id) {
            Ok(kept) => read.push((day_of(run.driven()), kept)),
            Err(error) => notes.push(format!("{} is left out: {error}", run.id)),
        }
    }
    read.sort_by(|one, other| one.0.total_cmp(&other.0));
    let drives: Vec<(f64, Drive)> = read.iter().map(|(day, kept)| (*day, kept.drive())).collect();
    let moved = over_time(name, &drives, &comparison::series(&drives));
    let notes: String = notes.iter().map(|note| format!("<p class=\"quiet\">{}</p>\n", text(note))).collect();
    let below = moved::readable(&moved).map_err(|error| Refusal::undrawn(&error))?;
    Ok(format!("<section class=\"card\" id=\"trend\">\n<h2>Over time</h2>\n{}{notes}</section>\n{below}", moved::sentences(&moved)))
}
