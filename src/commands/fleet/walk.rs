//! Every file below a folder, in the order of their names.
//!
//! Hidden files and folders are passed over. Links are followed; a folder that was seen already, by whatever way, is not entered again,
//! so that a link to a folder above ends nothing. Own folders come before linked ones, so that a log is listed under its own path.

use crate::commands::failure::Failure;
use std::collections::HashSet;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

/// What lies below a folder.
#[derive(Default)]
pub struct Found {
    /// Files: name inside the folder with `/` between its parts, and path.
    pub files: Vec<(String, PathBuf)>,
    /// What could not be listed: name, why and the way out.
    pub not_listed: Vec<(String, Failure)>,
    /// Folders of kept runs, which are not entered.
    pub stores: Vec<String>,
}

/// Walks a folder.
///
/// # Errors
///
/// [`Failure`] if the folder itself cannot be listed.
pub fn below(folder: &Path) -> Result<Found, Failure> {
    let mut found = Found::default();
    let mut seen = HashSet::new();
    seen.extend(fs::canonicalize(folder).ok());
    enter(folder, "", &mut seen, &mut found)?;
    found.files.sort();
    Ok(found)
}

fn enter(folder: &Path, name: &str, seen: &mut HashSet<PathBuf>, found: &mut Found) -> Result<(), Failure> {
    let unread = |cause: std::io::Error| Failure::unread(folder, &cause);
    let mut entries: Vec<(OsString, PathBuf)> = Vec::new();
    for entry in fs::read_dir(folder).map_err(unread)? {
        let entry = entry.map_err(unread)?;
        entries.push((entry.file_name(), entry.path()));
    }
    entries.sort();
    let mut own = Vec::new();
    let mut linked = Vec::new();
    for (file, path) in entries {
        let file = file.to_string_lossy().into_owned();
        if file.starts_with('.') {
            continue;
        }
        let name = if name.is_empty() { file } else { format!("{name}/{file}") };
        let link = fs::symlink_metadata(&path).is_ok_and(|about| about.is_symlink());
        // A link that leads nowhere is neither file nor folder; a pipe or a socket is no log.
        match fs::metadata(&path) {
            Ok(about) if about.is_dir() => {
                if link {
                    linked.push((name, path))
                } else {
                    own.push((name, path))
                }
            }
            Ok(about) if about.is_file() => found.files.push((name, path)),
            _ => {}
        }
    }
    for (name, path) in own.into_iter().chain(linked) {
        if path.join("store.json").is_file() && path.join("runs").is_dir() {
            found.stores.push(name);
        } else if fs::canonicalize(&path).is_ok_and(|real| seen.insert(real))
            && let Err(failure) = enter(&path, &name, seen, found)
        {
            found.not_listed.push((format!("{name}/"), failure));
        }
    }
    Ok(())
}
