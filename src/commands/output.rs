//! Writing files whole or not at all.

use super::failure::Failure;
use crate::report::chart;
use crate::report::document::Chart;
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::Path;

/// Writes a file by way of a temporary neighbour, so that a full disk or an interruption leaves the old file or none. A program that is
/// killed in the moment between may leave the neighbour, a hidden file `.wellbled-….part` that can be deleted.
///
/// A link is followed: what it points to is replaced, not the link. What is no file (a pipe, a terminal) is written to as it is.
///
/// # Errors
///
/// [`Failure`] if it cannot be written.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let written = match fs::metadata(path) {
        Ok(there) if !there.is_file() && !there.is_dir() => {
            OpenOptions::new().write(true).open(path).and_then(|mut out| out.write_all(bytes))
        }
        Ok(_) => fs::canonicalize(path).and_then(|real| replace(&real, bytes)),
        Err(_) => replace(path, bytes),
    };
    written.map_err(|cause| Failure::unwritten(path, &cause))
}

fn replace(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // A program that is killed cannot clear it away: the name says whose it is, and that it is no report.
    let mut file = tempfile::Builder::new().prefix(".wellbled-").suffix(".part").tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    readable_by_all(file.as_file())?;
    file.persist(path).map_err(|error| error.error)?;
    Ok(())
}

/// Temporary files are private; a report is not.
#[cfg(unix)]
fn readable_by_all(file: &File) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_by_all(_: &File) -> std::io::Result<()> {
    Ok(())
}

/// Width and height of a PNG or SVG plot, in pixels: sharp on a phone, whole on a page.
const PLOT_PIXELS: (u32, u32) = (1200, 800);

/// Writes a plot in the form that the ending of its name, as [`ending`] found it, asks for.
///
/// # Errors
///
/// [`Failure`] if it cannot be drawn or written.
pub fn plot(path: &Path, ending: &str, chart: &Chart) -> Result<(), Failure> {
    let bytes = match ending {
        "png" => chart::png(chart, PLOT_PIXELS),
        _ => chart::svg(chart, chart::Theme::Paper, PLOT_PIXELS).map(String::into_bytes),
    };
    write(path, &bytes.map_err(undrawn)?)
}

/// A plot that cannot be drawn, as the person reads it.
pub fn undrawn(error: chart::ChartError) -> Failure {
    Failure::new(&error, error.hint())
}

/// A file name's ending in small letters, if it is one of `known`.
///
/// # Errors
///
/// [`Failure`] if it is another one; `what` is what the file holds ("a plot").
pub fn ending(path: &Path, known: &'static [&'static str], what: &str) -> Result<&'static str, Failure> {
    let given = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    known.iter().copied().find(|&ending| ending == given).ok_or_else(|| {
        let endings = known.iter().map(|ending| format!(".{ending}")).collect::<Vec<_>>().join(" or ");
        Failure::new(format_args!("{}: {what} is written as {endings}", path.display()), format!("end the name in {endings}"))
    })
}
