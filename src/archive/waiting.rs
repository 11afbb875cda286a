//! The folder `waiting`: where runs and lists are written before they are there, and go before they are gone.
//!
//! Nothing in it counts. What an interrupted program left is cleared after [`ABANDONED`]; it is renamed first, so that a program that
//! was only asleep fails to place its folder instead of placing half of it.

use super::sealed::sync_folder;
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, SystemTime};

/// Age from which a folder in `waiting` is taken for left behind: no writer needs a day.
const ABANDONED: Duration = Duration::from_secs(86_400);

/// A folder of one writer's own, cleared away if it is not placed.
#[derive(Debug)]
pub struct Aside {
    folder: PathBuf,
}

impl Aside {
    /// Makes one in a store.
    pub fn new(store: &Path) -> io::Result<Self> {
        Ok(Self { folder: fresh(store, |path| fs::create_dir(path))? })
    }

    /// Where to write.
    pub fn path(&self) -> &Path {
        &self.folder
    }

    /// Renames it to its place and brings the name to the disk; `false` if something stands there already.
    pub fn place(self, target: &Path) -> io::Result<bool> {
        // A folder that holds files is never replaced by a rename, on any system.
        match fs::rename(&self.folder, target) {
            Ok(()) => {
                target.parent().map_or(Ok(()), sync_folder)?;
                Ok(true)
            }
            Err(_) if target.is_dir() => Ok(false),
            Err(error) => Err(error),
        }
    }
}

impl Drop for Aside {
    fn drop(&mut self) {
        // After it was placed there is nothing here.
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// Takes a folder out of the store in one step, then clears it away.
pub fn discard(store: &Path, folder: &Path) -> io::Result<()> {
    let gone = fresh(store, |path| fs::rename(folder, path))?;
    folder.parent().map_or(Ok(()), sync_folder)?;
    // It is no longer in the store; what cannot be deleted now is cleared later.
    let _ = if gone.is_dir() { fs::remove_dir_all(gone) } else { fs::remove_file(gone) };
    Ok(())
}

/// Writes a small file of the store by way of `waiting`; what stood there is replaced. It is not waited for the disk: whoever reads such
/// a file notices one that a power cut left empty, and does without.
pub fn replace(store: &Path, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let aside = fresh(store, |path| fs::File::create_new(path).map(drop))?;
    let placed = fs::write(&aside, bytes).and_then(|()| fs::rename(&aside, path));
    if placed.is_err() {
        let _ = fs::remove_file(&aside);
    }
    placed
}

/// Clears what was left behind, as far as that can be done; keeping a run does not depend on it.
pub fn tidy(store: &Path) {
    let Ok(entries) = fs::read_dir(store.join("waiting")) else { return };
    let old = |path: &Path| {
        let changed = fs::metadata(path).and_then(|about| about.modified());
        changed.is_ok_and(|changed| SystemTime::now().duration_since(changed).is_ok_and(|age| age > ABANDONED))
    };
    for path in entries.flatten().map(|entry| entry.path()).filter(|path| old(path)) {
        let _ = discard(store, &path);
    }
}

/// Makes something under a name in `waiting` that nobody has.
fn fresh(store: &Path, make: impl Fn(&Path) -> io::Result<()>) -> io::Result<PathBuf> {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let waiting = store.join("waiting");
    fs::create_dir_all(&waiting)?;
    loop {
        let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).map_or(0, |since| since.as_nanos());
        let name = format!("{}-{}-{now}", std::process::id(), COUNT.fetch_add(1, Ordering::Relaxed));
        let path = waiting.join(name);
        match make(&path) {
            Ok(()) => return Ok(path),
            Err(error) if matches!(error.kind(), ErrorKind::AlreadyExists | ErrorKind::DirectoryNotEmpty) => {}
            Err(error) => return Err(error),
        }
    }
}
