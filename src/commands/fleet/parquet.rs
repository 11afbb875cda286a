//! `--parquet`: the partitioned table, whole or not at all.
//!
//! Everything is written aside first. A folder that is not there yet appears in one step. Into one that is there (another part was first, or
//! this part is written again) the files are moved one after another, each whole; then those of an earlier run of this part that no longer
//! belong are removed. Names are fixed by part, vehicle and year, so that no two parts share a file and a second run replaces its own.
//!
//! Limits: killed between two moves into a folder that is there, the program leaves files of this part from before and from now side by
//! side. Its exit code says so, and running it again mends it.

use crate::commands::failure::Failure;
use crate::fleet::{Part, Row, frame, partition};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Beginning of the names of folders in which is written aside; engines pass over names that begin with a point.
const ASIDE: &str = ".wellbled-";

/// Whether a part can be written into this folder.
///
/// # Errors
///
/// [`Failure`] if it holds a table cut into another number of parts, which would count logs twice, or is no folder.
pub fn ready(folder: &Path, part: Part) -> Result<(), Failure> {
    let parent = folder.parent().filter(|parent| !parent.as_os_str().is_empty());
    if parent.is_some_and(|parent| !parent.is_dir()) {
        return Err(Failure::unwritten(folder, &io::ErrorKind::NotFound.into()));
    }
    if folder.exists() && !folder.is_dir() {
        return Err(Failure::new(format_args!("{}: this is a file", folder.display()), "name a folder: the table becomes many files"));
    }
    let other = written(folder).map_err(|cause| Failure::unread(folder, &cause))?.into_iter().find(|(_, there)| there.of != part.of);
    match other {
        None => Ok(()),
        Some((path, there)) => Err(Failure::new(
            format_args!("{}: it holds a table in {} parts ({}), and this one has {}", folder.display(), there.of, path.display(), part.of),
            "name another folder, or remove that one",
        )),
    }
}

/// Files of parts in a folder, each with its part.
fn written(folder: &Path) -> io::Result<Vec<(PathBuf, Part)>> {
    let mut found = Vec::new();
    for vehicle in listed(folder)? {
        for year in listed(&vehicle)? {
            for file in listed(&year)? {
                let name = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
                found.extend(Part::of_file(&name).map(|part| (file, part)));
            }
        }
    }
    Ok(found)
}

/// What lies in a folder; nothing where there is none.
fn listed(folder: &Path) -> io::Result<Vec<PathBuf>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut paths = fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect::<io::Result<Vec<_>>>()?;
    paths.sort();
    Ok(paths)
}

/// Writes the rows of a part.
///
/// # Errors
///
/// [`Failure`] if they cannot be written; see the header for what is there then.
pub fn write(folder: &Path, rows: &[Row], part: Part) -> Result<(), Failure> {
    let mut files = Vec::new();
    for file in partition::files(rows, part) {
        let bytes = frame::parquet(&file.rows).map_err(|error| Failure::new(format_args!("{}: {error}", folder.display()), ""))?;
        files.push((file.path, bytes));
    }
    place(folder, &files, part).map_err(|cause| Failure::unwritten(folder, &cause))
}

fn place(folder: &Path, files: &[(String, Vec<u8>)], part: Part) -> io::Result<()> {
    let there = folder.is_dir();
    let parent = folder.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let aside = tempfile::Builder::new().prefix(ASIDE).tempdir_in(if there { folder } else { parent })?;
    let table = aside.path().join("table");
    fs::create_dir(&table)?;
    for (path, bytes) in files {
        let path = table.join(path);
        path.parent().map_or(Ok(()), fs::create_dir_all)?;
        let mut file = File::create_new(path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
    }
    // Where another part came first meanwhile, the step fails and the files go the other way.
    if !there && fs::rename(&table, folder).is_ok() {
        return Ok(());
    }
    for (path, _) in files {
        let target = folder.join(path);
        target.parent().map_or(Ok(()), fs::create_dir_all)?;
        fs::rename(table.join(path), target)?;
    }
    let ours: Vec<PathBuf> = files.iter().map(|(path, _)| folder.join(path)).collect();
    for (path, _) in written(folder)?.into_iter().filter(|(path, of)| *of == part && !ours.contains(path)) {
        fs::remove_file(&path)?;
        // Empty folders go too; one that still holds another part stays.
        let _ = path.parent().map(fs::remove_dir).and_then(Result::ok).and_then(|()| path.parent()?.parent().map(fs::remove_dir));
    }
    Ok(())
}
